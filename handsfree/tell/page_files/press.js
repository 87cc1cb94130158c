// A press of a gauntlet: acts when it is lifted, never on a screen that changed under it.

import { SIZES } from "./numbers.js";

let drawing = 0;

/** To be called at each new screen: presses that began before it then do nothing. */
export const screenChanged = () => (drawing += 1);

/**
 * Lets `node` act when a press on it is lifted. With `repeat`, holding it acts again and again;
 * with `held`, holding it does that instead.
 */
export function onPress(node, act, { repeat = null, held = null } = {}) {
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
      wasHeld = true;
      if (held) {
        stop();
        held();
        return;
      }
      node.classList.add("held");
      repeat();
      timer = setInterval(repeat, SIZES.HOLD_STEP_MS);
    }, SIZES.HOLD_MS);
  });
  node.addEventListener("pointerup", stop);
  node.addEventListener("pointercancel", stop);
  node.addEventListener("pointerleave", stop);
  node.addEventListener("contextmenu", (event) => event.preventDefault());
  node.addEventListener("click", (event) => {
    const byKey = event.detail === 0;
    if (byKey || (began === drawing && !wasHeld)) act();
    began = null;
  });
}
