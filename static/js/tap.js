/* Tap the beat beside a tempo field, and the tempo stands in it. Without this file it is typed. */
(() => {
  "use strict";

  const PAUSE = 2500; // after so many milliseconds the next tap begins anew
  const LEAST = 3; // taps before anything is written
  const LAST = 8; // so many beats count: who speeds up gets the later tempo
  const SLOWEST = 1;
  const FASTEST = 400;
  const QUIET = 700;

  let taps = [];
  let field = null;
  let telling = 0;
  const said = document.createElement("p");
  said.className = "visually-hidden";
  said.setAttribute("role", "status");

  document.querySelectorAll("input[data-tap]").forEach((input) => input.after(buttonOf(input)));
  document.querySelector("main").append(said);

  function buttonOf(input) {
    const button = document.createElement("button");
    const more = document.createElement("span");
    button.type = "button";
    button.className = "tap";
    button.title = "Tap the beat three times or more; or T in the field";
    more.className = "visually-hidden";
    more.textContent = ` the beat: ${input.labels[0] ? input.labels[0].textContent.trim() : ""}`;
    button.append("Tap", more);
    input.parentElement.classList.add("field-tap");
    listen(button, input);
    return button;
  }

  function listen(button, input) {
    button.addEventListener("pointerdown", (event) => {
      if (event.isPrimary && event.button === 0) tap(input, event.timeStamp);
    });
    /* The cursor stays where it is: a phone's keyboard that closed would move the button. */
    button.addEventListener("mousedown", (event) => event.preventDefault());
    button.addEventListener("keydown", (event) => {
      if (isPlain(event) && (event.key === " " || event.key === "Enter")) beat(input, event);
    });
    button.addEventListener("keyup", (event) => {
      if (event.key === " ") event.preventDefault();
    });
    /* What has neither pointer nor key, such as a screen reader, clicks. */
    button.addEventListener("click", (event) => {
      if (event.detail === 0 && !event.pointerType) tap(input, event.timeStamp);
    });
    input.addEventListener("keydown", (event) => {
      if (isPlain(event) && event.key.toLowerCase() === "t") beat(input, event);
    });
  }

  function isPlain(event) {
    return !(event.ctrlKey || event.metaKey || event.altKey || event.isComposing);
  }

  function beat(input, event) {
    event.preventDefault();
    if (!event.repeat) tap(input, event.timeStamp);
  }

  function tap(input, now) {
    if (input !== field || now - taps[taps.length - 1] > PAUSE) taps = [];
    field = input;
    taps = [...taps, now].slice(-LAST - 1);
    if (taps.length < LEAST) return;
    const tempo = tempoOf(taps);
    input.value = tempo;
    input.dispatchEvent(new Event("input", { bubbles: true }));
    input.dispatchEvent(new Event("change", { bubbles: true }));
    window.clearTimeout(telling);
    telling = window.setTimeout(() => { said.textContent = `${tempo} beats a minute`; }, QUIET);
  }

  /* The median takes no notice of one beat that was missed or hit twice. */
  function tempoOf(times) {
    const gaps = times.slice(1).map((time, n) => time - times[n]).sort((a, b) => a - b);
    const middle = (gaps[(gaps.length - 1) >> 1] + gaps[gaps.length >> 1]) / 2;
    return Math.min(Math.max(Math.round(60000 / middle), SLOWEST), FASTEST);
  }
})();
