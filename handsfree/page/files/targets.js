// Lays out what can be pressed: 30 mm and more, 10 mm apart, at most six, fewer on a small screen.

import { SIZES } from "./numbers.js";
import { typeface } from "./fit.js";
import { make } from "./dom.js";
import { onPress, onSlide } from "./press.js";

const { TARGET_MM, GAP_MM, EDGE_MM, TARGETS_A_SCREEN } = SIZES;

/** A word as it stands on a target: with a capital. */
export const sentence = (text) =>
  text.charAt(0).toUpperCase() + text.slice(1).replace(/\bi\b/g, "I");

/** How many targets of full size fit side by side into that many millimetres. */
export const fitting = (room) =>
  Math.max(1, Math.floor((room - 2 * EDGE_MM + GAP_MM + 1) / (TARGET_MM + GAP_MM)));

/** How many targets a picking screen takes; below its bar and title there is this much room. */
export function capacity(screen) {
  const room = screen.height - (screen.small ? 12 : 36);
  const rows = Math.max(1, Math.floor((room - EDGE_MM + GAP_MM) / (TARGET_MM + GAP_MM)));
  const fits = fitting(screen.width) * rows;
  // Three is the least that any choice needs; a phone gives each as much room as it has.
  return Math.min(TARGETS_A_SCREEN, Math.max(3, fits));
}

/**
 * Draws targets in as many columns as give them their size first, and large words then.
 * On a phone that lies on its side three stand in a row, a little narrower than they should be.
 */
export function fillWith(nav, list, screen) {
  const most = Math.max(fitting(screen.width), screen.low ? 3 : 1);
  let best = { score: -1 };
  for (let columns = 1; columns <= Math.min(most, list.length); columns += 1) {
    drawTargets(nav, list, columns, screen.mm);
    const words = fitTargets(nav, screen.mm);
    const { width, height } = nav.firstElementChild.getBoundingClientRect();
    const least = Math.min(width, height, SIZES.TARGET_MM * screen.mm);
    // Long words in a tall and narrow target make a column of single words: hard to read.
    const score = 10 * least + words * Math.sqrt(Math.min(1, width / height));
    if (score > best.score) best = { score, columns };
  }
  drawTargets(nav, list, best.columns, screen.mm);
  fitTargets(nav, screen.mm);
}

/**
 * Draws targets into `nav`. Each is {text, act}: with `first` it is what confirm does, with `value`
 * its text is shown larger, `small` below it; `repeat` and `held` as of a press, `slide` as of a
 * slide; `name` is what it is called where its text changes.
 */
export function drawTargets(nav, list, columns, mm) {
  nav.replaceChildren();
  nav.style.gridTemplateColumns = `repeat(${columns}, minmax(0, 1fr))`;
  nav.style.gridTemplateRows = "";
  nav.style.gridAutoRows = "minmax(0, 1fr)";
  for (const target of list) {
    const text = make("span", { className: target.value ? "value" : "" });
    text.textContent = sentence(target.text);
    const node = make("button", { inside: [text] });
    node.classList.toggle("first", Boolean(target.first));
    node.classList.toggle("whole", Boolean(target.whole));
    node.type = "button";
    if (target.small !== undefined) node.append(make("small", { text: target.small }));
    if (target.verb) node.append(make("span", { className: "verb", text: target.verb }));
    node.dataset.target = target.name ?? target.text;
    if (target.said) node.dataset.said = target.said;
    if (target.slide) onSlide(node, () => mm, target.slide);
    if (target.talk) target.talk(node);
    else onPress(node, target.act, target);
    nav.append(node);
  }
}

/** Gives all texts in `nav` the greatest size up to `most` millimetres that fits; returns it. */
export function fitTargets(nav, mm, most = SIZES.LABELS_MM) {
  const face = typeface();
  let size = (most * mm) / face.cap;
  for (const node of nav.children) {
    const larger = node.firstChild.className ? 1.7 : 1; // as in page.css
    const room = (node.clientWidth - 2 * mm) / larger;
    const words = node.firstChild.textContent.split(/\s+/);
    const widest = Math.max(...words.map(face.width));
    size = Math.min(size, room / widest / 1.02);
  }
  nav.style.setProperty("--target-text", `${size}px`);
  for (let tries = 0; tries < 24; tries += 1) {
    const over = [...nav.children].some((node) =>
      node.scrollHeight > node.clientHeight + 1 || node.scrollWidth > node.clientWidth + 1);
    if (!over) return size;
    size *= 0.92;
    nav.style.setProperty("--target-text", `${size}px`);
  }
  return size;
}
