/* Comfort only: every page works without this file. */
(() => {
  "use strict";

  const FIELDS = "input:not([type=hidden]), select, textarea";
  let before = "";

  /* Where a keyboard stands before a piece of the page is replaced. */
  document.addEventListener("htmx:beforeSwap", () => {
    const at = document.activeElement;
    before = at ? at.id : "";
  });

  document.addEventListener("htmx:afterSettle", (event) => {
    const wrong = event.detail.elt.querySelector(".form-errors");
    if (wrong) return stand(wrong);
    if (!before || document.activeElement !== document.body) return;
    const place = document.getElementById(before);
    if (place) stand(place);
  });

  function stand(element) {
    if (element.tabIndex < 0) element.tabIndex = -1;
    element.focus();
  }

  function tell(text) {
    const area = document.getElementById("notices");
    if (!area) return;
    const notice = document.createElement("div");
    const words = document.createElement("p");
    notice.className = "notice notice-error";
    words.textContent = text;
    notice.append(words);
    area.replaceChildren(notice);
  }

  document.addEventListener("htmx:sendError", () => {
    tell("Problem: nothing was saved, the studio can't be reached. Try again when you are online.");
  });

  document.addEventListener("htmx:responseError", () => {
    tell("Problem: nothing was saved. Reload the page and try again.");
  });

  document.addEventListener("keydown", (event) => {
    if (event.defaultPrevented || event.isComposing || event.altKey) return;
    const at = event.target;
    const typing = at.matches(FIELDS);
    const command = event.ctrlKey || event.metaKey;

    if (event.key === "/" && !typing && !command) {
      const search = document.querySelector("[data-search]");
      if (!search) return;
      event.preventDefault();
      search.focus();
      search.select();
    } else if (event.key === "Enter" && command && at.form) {
      event.preventDefault();
      at.form.requestSubmit();
    } else if (event.key === "Enter" && at.matches("input, select") && at.closest("[data-enter-next]")) {
      moveOn(event);
    }
  });

  /* Quick entry: Enter goes to the next field, in a column to the next one below; in the last one
     it saves, as everywhere. */
  function moveOn(event) {
    const within = event.target.closest("[data-enter-next]");
    const column = event.target.dataset.column;
    const fields = [...within.querySelectorAll(FIELDS)].filter(
      (field) => !field.disabled && field.offsetParent && (!column || field.dataset.column === column)
    );
    const next = fields[fields.indexOf(event.target) + 1];
    if (!next) return;
    event.preventDefault();
    next.focus();
    if (next.select) next.select();
  }

  /* What is folded on the screen stands open on paper. */
  window.addEventListener("beforeprint", () => unfold(true));
  window.addEventListener("afterprint", () => unfold(false));

  function unfold(open) {
    const folds = `details[data-unfold="${open ? "" : "now"}"]${open ? ":not([open])" : ""}`;
    document.querySelectorAll(folds).forEach((fold) => {
      fold.open = open;
      fold.dataset.unfold = open ? "now" : "";
    });
  }

  document.addEventListener("DOMContentLoaded", () => {
    const wrong = document.querySelector(".form-errors");
    if (wrong) return stand(wrong);
    const first = document.querySelector("[autofocus]");
    if (first && first.select && first.value === first.defaultValue) first.select();
  });
})();
