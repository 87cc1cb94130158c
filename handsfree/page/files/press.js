// A press of a gauntlet: acts when it is lifted, never on a screen that changed under it.

import { SIZES } from "./numbers.js";

let drawing = 0;

/** To be called at each new screen: presses that began before it then do nothing. */
export const screenChanged = () => (drawing += 1);

/**
 * Lets `node` act when a press on it is lifted. With `repeat`, holding it acts again and again;
 * with `held`, holding it for `holdMs` does that instead.
 */
export function onPress(node, act, { repeat = null, held = null, holdMs = SIZES.HOLD_MS } = {}) {
  let began = null;
  let timer = null;
  let wasHeld = false;
  const stop = () => {
    clearTimeout(timer);
    clearInterval(timer);
    node.classList.remove("held");
  };
  node.addEventListener("pointerdown", () => {
    stop();
    began = drawing;
    wasHeld = false;
    if (!repeat && !held) return;
    timer = setTimeout(() => {
      if (node.dataset.slides) return;
      wasHeld = true;
      if (held) {
        stop();
        held();
        return;
      }
      node.classList.add("held");
      repeat();
      timer = setInterval(repeat, SIZES.HOLD_STEP_MS);
    }, holdMs);
  });
  node.addEventListener("pointerup", stop);
  node.addEventListener("pointercancel", stop);
  node.addEventListener("pointerleave", stop);
  node.addEventListener("contextmenu", (event) => event.preventDefault());
  node.addEventListener("click", (event) => {
    const byKey = event.detail === 0;
    if (byKey || (began === drawing && !wasHeld && !node.dataset.slides)) act();
    began = null;
    delete node.dataset.slides;
  });
}

/**
 * Lets a slide on `node` turn something: `by(steps)` tells how many steps right or up it is from
 * where it began, `lifted` when it is lifted, `cancelled` when the device took it away. Only right
 * and left count when it goes `across`; `mm` gives the pixels of a millimetre.
 */
export function onSlide(node, mm, { by, lifted, cancelled = () => {}, across = false }) {
  let from = null;
  let began = null;
  let steps = 0;
  node.addEventListener("pointerdown", (event) => {
    if (event.target.closest("input")) return; // a line that is being typed is marked by sliding
    from = { x: event.clientX, y: event.clientY };
    began = drawing;
    steps = 0;
    delete node.dataset.slides;
    node.setPointerCapture(event.pointerId);
  });
  node.addEventListener("pointermove", (event) => {
    if (!from) return;
    const [x, y] = [event.clientX - from.x, from.y - event.clientY];
    const far = (across || Math.abs(x) > Math.abs(y) ? x : y) / mm();
    if (!node.dataset.slides && Math.abs(far) < SIZES.SLIDE_FROM_MM) return;
    node.dataset.slides = "yes";
    node.classList.add("held");
    // A step counts when the glove is two thirds of the way to it, and is held half a step back.
    const whole = Math.round(far / SIZES.SLIDE_MM);
    const firm = Math.abs(far / SIZES.SLIDE_MM - steps) > 0.65;
    if (whole !== steps && firm) {
      steps = whole;
      by(steps);
    }
  });
  node.addEventListener("pointerup", () => {
    const slid = from && node.dataset.slides;
    from = null;
    node.classList.remove("held");
    if (!slid) return;
    // The click that follows belongs to the slide; where none follows, the mark must not stay.
    setTimeout(() => delete node.dataset.slides, 50);
    if (began === drawing) lifted();
  });
  node.addEventListener("pointercancel", () => {
    if (from && node.dataset.slides && began === drawing) cancelled();
    from = null;
    delete node.dataset.slides;
    node.classList.remove("held");
  });
}
