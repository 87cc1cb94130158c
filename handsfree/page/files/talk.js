// The target that talks: held it is a request, tapped it listens or ends; while the helper speaks it
// is the one that stops it.

import { fitTargets } from "./targets.js";

const WORDS = { speaking: "Stop", working: "Stop", listening: "Done" };
const wordsFor = (ear) => WORDS[ear] ?? "Talk";

/** The target; `press` tells the helper of a key, `ear` what its ears do. */
export const talkTarget = (press, ear) => ({
  text: wordsFor(ear()),
  name: "talk",
  said: "talk",
  act: () => press(wordsFor(ear()) === "Stop" ? "stop" : "talk"),
  talk(node) {
    let down = null;
    const lift = () => {
      if (down === "Talk") press("talk", false, true);
      down = null;
      node.classList.remove("held");
    };
    node.addEventListener("pointerdown", (event) => {
      down = wordsFor(ear());
      node.setPointerCapture(event.pointerId);
      node.classList.add("held");
      // A request begins at once, or its first word would be lost.
      if (down === "Talk") press("talk", true, true);
    });
    node.addEventListener("pointerup", () => {
      if (down === "Stop") press("stop");
      else if (down === "Done") press("talk");
      lift();
    });
    node.addEventListener("pointercancel", lift);
    node.addEventListener("contextmenu", (event) => event.preventDefault());
    // Keys and readers click without a pointer.
    node.addEventListener("click", (event) => {
      if (event.detail === 0) press(wordsFor(ear()) === "Stop" ? "stop" : "talk");
    });
  },
});

/** Puts the words of what the ears do now on a target that is drawn already. */
export function talkWords(nav, ear, mm) {
  const node = nav.querySelector('[data-target="talk"]');
  const words = wordsFor(ear);
  if (!node || node.firstChild.textContent === words) return;
  node.firstChild.textContent = words;
  node.classList.toggle("stop", words === "Stop");
  fitTargets(nav, mm, 8);
}
