/* The study time before sight-reading: a silent clock, then "Play". Without this file the page says
   how long to look by the clock. */
(() => {
  "use strict";

  const box = document.querySelector("[data-sight]");
  if (!box) return;
  const part = (name) => box.querySelector(`[data-sight-${name}]`);
  const clock = part("clock");
  const word = part("word");
  const start = part("start");
  const stop = part("stop");
  const seconds = Number(box.dataset.seconds);
  let ends = 0;
  let ticking = 0;

  part("plain").hidden = true;
  part("acts").hidden = false;

  start.addEventListener("click", () => {
    ends = performance.now() + seconds * 1000;
    box.dataset.sight = "looking";
    word.textContent = "Look, do not play yet.";
    running(true);
    stop.focus();
    tick();
    ticking = window.setInterval(tick, 100);
  });

  stop.addEventListener("click", () => {
    end("", "");
    show(seconds);
  });

  function tick() {
    const left = Math.max(0, Math.ceil((ends - performance.now()) / 1000));
    show(left);
    if (!left) end("play", "Play.");
  }

  function show(left) {
    const text = `${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")}`;
    if (clock.textContent !== text) clock.textContent = text;
  }

  function end(state, said) {
    window.clearInterval(ticking);
    box.dataset.sight = state;
    word.textContent = said;
    running(false);
    start.textContent = "Start again";
    start.focus();
  }

  function running(now) {
    start.hidden = now;
    stop.hidden = !now;
  }
})();
