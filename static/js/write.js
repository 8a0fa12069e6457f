/* The fast editor of requirements: Enter goes to the next row and adds one at the end. Without
   this file the rows are a plain form, and "More rows" adds to them. */
(() => {
  "use strict";

  const form = document.querySelector("[data-write]");
  if (!form) return;
  const list = form.querySelector("[data-write-rows]");
  const blank = form.querySelector("[data-write-blank]");
  const number = form.querySelector("[data-write-number]");
  const groups = document.getElementById("groups");

  form.addEventListener("keydown", (event) => {
    const at = event.target;
    const plain = !(event.ctrlKey || event.metaKey || event.altKey || event.shiftKey);
    if (event.key !== "Enter" || !plain || event.isComposing) return;
    const row = at.closest("[data-write-row]");
    if (!row) return;
    event.preventDefault();
    const next = row.nextElementSibling || add();
    field(next, "name").focus();
  });

  form.addEventListener("change", (event) => {
    const row = event.target.closest("[data-write-row]");
    if (!row) return;
    const name = field(row, "name");
    if (event.target === name && !name.value.trim()) askBeforeRemoval(row, name);
    if (event.target === name || event.target === field(row, "kind")) offerGroups();
  });

  /* What is typed is not lost by a slip: the browser asks before it leaves the page. */
  let unsaved = false;
  form.addEventListener("input", () => { unsaved = true; });
  form.addEventListener("submit", () => { unsaved = false; });
  window.addEventListener("beforeunload", (event) => {
    if (unsaved) event.preventDefault();
  });

  function field(row, name) {
    return row.querySelector(`[name$="-${name}"]:not([name^="initial-"])`);
  }

  function add() {
    const made = document.createElement("template");
    made.innerHTML = blank.innerHTML.replaceAll("__n__", number.value);
    const row = made.content.querySelector("[data-write-row]");
    number.value = Number(number.value) + 1;
    list.append(row);
    if (window.htmx) window.htmx.process(row);
    return row;
  }

  /* A row is removed by emptying its name, after asking. */
  function askBeforeRemoval(row, name) {
    const remove = field(row, "remove");
    if (!remove || remove.checked) return;
    const label = row.querySelector(".write-remove label").textContent.trim();
    if (window.confirm(`${label}: “${row.dataset.stored}”?`)) remove.checked = true;
    else name.value = row.dataset.stored;
  }

  function offerGroups() {
    const names = [...list.querySelectorAll("[data-write-row]")]
      .filter((row) => field(row, "kind").selectedOptions[0].dataset.group !== undefined)
      .map((row) => field(row, "name").value.trim())
      .filter(Boolean);
    groups.replaceChildren(...names.map((name) => new Option(name, name)));
  }
})();
