// Decides how many figures a screen takes and how high their digits are.

import { SIZES } from "./numbers.js";

const LINE = 0.8; // line height of digits, as in page.css
const LABEL_LINE = 1.1;
const HIGHEST_MM = 60;
const SMALLER_LABELS_MM = [10, 8, 6.5, 5, 4];
const pen = document.createElement("canvas").getContext("2d");

let measured = null;

/** The type of this device for a font size of 1: widths of texts, and the lowest digit's height. */
export function typeface() {
  if (measured) return measured;
  const { fontFamily } = getComputedStyle(document.body);
  const measure = (text) => {
    pen.font = `700 100px ${fontFamily}`;
    return pen.measureText(text);
  };
  const widths = new Map();
  const width = (text) => {
    if (widths.size > 2000) widths.clear();
    if (!widths.has(text)) widths.set(text, measure(text).width / 100);
    return widths.get(text);
  };
  const heights = [..."0123456789H"].map((sign) => measure(sign).actualBoundingBoxAscent / 100);
  measured = { width, cap: Math.min(...heights) || 0.7 };
  return measured;
}

/** A range as its two ends, or null when it is one value or cannot be split surely. */
export function ends(figure) {
  if (!(figure.low < figure.high)) return null;
  const parts = figure.digits.split(/\s*[–—]\s*|\s+to\s+|\s+-\s+/);
  if (parts.length === 2 && parts.every(Boolean)) return parts;
  const hyphens = figure.digits.split("-");
  return hyphens.length === 2 && hyphens.every(Boolean) ? hyphens.map((part) => part.trim()) : null;
}

/** The figure's digits on one line: a range with a true dash. */
export const oneLine = (figure) => ends(figure)?.join("–") ?? figure.digits;

/**
 * The figures as screens: [{figures, columns, digits, label, stacked, under}], digits and label in
 * millimetres. As many a screen as keep their full height; at least one.
 */
export function arrange(figures, box, mm, note, goal, face = typeface()) {
  const screens = [];
  for (let at = 0; at < figures.length; ) {
    const screen = nextScreen(figures.slice(at), { box, mm, note, goal, face });
    screens.push(screen);
    at += screen.figures.length;
  }
  return screens;
}

function nextScreen(rest, room) {
  const { goal } = room;
  for (let count = Math.min(SIZES.FIGURES_A_SCREEN, rest.length); count >= 1; count -= 1) {
    const best = bestOf(rest.slice(0, count), SIZES.LABELS_MM, room);
    if (best.digits >= goal) return best;
  }
  const alone = SMALLER_LABELS_MM.map((label) => bestOf(rest.slice(0, 1), label, room));
  const full = alone.find((screen) => screen.digits >= goal);
  return full ?? alone.reduce((one, other) => (other.digits > one.digits * 1.05 ? other : one));
}

function bestOf(figures, label, { box, mm, note, goal, face }) {
  let best = { digits: 0 };
  for (const stacked of [false, true]) {
    for (let columns = 1; columns <= figures.length; columns += 1) {
      for (const under of [false, true]) {
        const plan = { figures, columns, label, stacked, under };
        const digits = Math.min(Math.max(HIGHEST_MM, goal), highest(plan, box, mm, note, face));
        // A range on one line reads faster: two lines must gain something.
        const gain = best.digits >= goal && stacked && !best.stacked ? 1.3 : 1.04;
        if (digits > best.digits * gain) best = { ...plan, digits };
      }
    }
  }
  // Too long for any size: small is better than nothing, and the page then shrinks it further.
  const digits = Math.max(3, best.digits);
  return { columns: 1, label, stacked: false, under: true, figures, ...best, digits };
}

/** The greatest height of the digits, in millimetres, with which every figure fits its cell. */
function highest({ figures, columns, label, stacked, under }, box, mm, note, face) {
  const pad = 3 * mm;
  const rows = Math.ceil(figures.length / columns);
  // Columns stand so far apart that two figures are never read as one; as in page.css.
  const wide = (box.width - 4 * pad * (columns - 1)) / columns - 2;
  const high = (box.height - pad * (rows - 1)) / rows - Math.max(2, 0.8 * mm) - 2;
  const small = (label * mm) / face.cap; // font size of label and unit
  const heights = figures.map((figure) => {
    const parts = stacked ? ends(figure) : null;
    if (stacked && parts === null && figures.length === 1) return 0;
    // "3 1/2–5 1/2" on one line can be read as one to five: such ranges take two.
    if (!stacked && ends(figure)?.some((end) => end.includes(" "))) return 0;
    if (longestWord(figure.label, face) * small > wide) return 0;
    const labelLines = linesOf(figure.label, wide / small, face);
    const unit = face.width(unitOf(figure)) * small;
    if (unit > wide) return 0;
    const beside = under || !unitOf(figure) ? 0 : unit + 0.25 * small;
    const lines = parts ? 2 : 1;
    const across = parts
      ? Math.min(wide / face.width(parts[0]),
          (wide - beside - face.width("to ") * small) / face.width(parts[1]))
      : (wide - beside) / face.width(oneLine(figure));
    const noted = noteOf(figure);
    const noteLines = noted ? linesOf(noted, wide / note, face) : 0;
    const left = high - small * (0.12 + LABEL_LINE * labelLines) -
      (under && unitOf(figure) ? 1.1 * small : 0) - 1.15 * note * noteLines;
    return (Math.min(across, left / (LINE * lines)) * face.cap) / mm;
  });
  return Math.max(0, Math.min(...heights));
}

export const longestWord = (text, face) => Math.max(...text.split(/\s+/).map(face.width));

function linesOf(text, room, face) {
  let lines = 1;
  let line = "";
  for (const word of text.split(/\s+/)) {
    const longer = line ? `${line} ${word}` : word;
    if (line && face.width(longer) > room) {
      lines += 1;
      line = word;
    } else line = longer;
  }
  return lines;
}

/** The unit beside the digits, unless the label ends with that word already. */
export const unitOf = (figure) =>
  figure.unit && figure.label.split(" ").at(-1) === figure.unit
    ? "" : figure.unit.replace("ft3", "ft\u00b3");

const TRUST = { memory: "from memory", secondary: "second hand", computed: "worked out" };

/** How far a figure can be trusted, in words. */
export const trust = (status) => TRUST[status] ?? status;

/** What stands small under a figure: its note, and how far to trust it unless it was read. */
export const noteOf = (figure) =>
  [figure.note, figure.status === "read" ? "" : trust(figure.status)].filter(Boolean).join(", ");
