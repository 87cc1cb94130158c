// A reply as a list of screens, and each screen as elements.

import { arrange, ends, longestWord, noteOf, oneLine, trust, typeface, unitOf } from "./fit.js";
import { make } from "./dom.js";

const LARGER = [1.9, 1.7, 1.5, 1.3, 1.15]; // sizes for text that leaves room
const OFFER = "More?"; // the voice's offer to go on: here the next screen is always there

const bare = (text) => text.toLowerCase().replace(/[^a-z0-9]+/g, " ").trim();

/** What the reply says besides its read-back, which comes first and stands above everything. */
export const beyondReadBack = (told) =>
  told.sentences.slice(told.understood ? 1 : 0).filter((sentence) => sentence !== OFFER);

/** The reply in parts, before they are cut into screens: figures, then titled lists. */
function partsOf(told) {
  const parts = [];
  const said = beyondReadBack(told);
  const list = (title, items, more = {}) => items.length && parts.push({ title, items, ...more });
  if (told.kind === "step") parts.push(stepOf(told.technique, told.led));
  else if (told.kind === "refusal") list("No", said, { loud: true });
  else if (told.kind === "not_understood") list("Not understood", said, { loud: true });
  else if (told.kind === "question") list("", said, { loud: true });
  else if (told.kind === "steps") parts.push(...stepsOf(told, said));
  else if (told.rows?.length) {
    list("", told.technique, { loud: true });
    list("Piece by piece", told.rows, { numbered: true });
    parts.push({ figures: told.figures });
  } else if (told.figures.length) {
    parts.push({ figures: told.figures });
    list("How", [...saidOfTip(told, said), ...told.technique]);
  } else list("", told.technique.length ? told.technique : said, { loud: true });
  // First where the order of cuts was asked for; else after what is set or taken up, and what is
  // said of each piece.
  const before = told.rows?.length ? 2 : told.about === "cut_order" ? 0 : 1;
  if (told.picture) parts.splice(before, 0, { picture: told.understood });
  if (told.led?.say && told.kind !== "step") {
    parts.push(stepOf([told.led.say, told.led.ask], told.led));
  }
  if (told.cautions.length > (told.kind === "step" ? 0 : 1)) list("Cautions", told.cautions);
  list("Notes", told.notes);
  list("Sources", sourcesOf(told));
  return parts;
}

/** What is to be done largest, then what is asked; last which step of which list it is. */
function stepOf([first, ...rest], led) {
  const place = led ? [`${led.title}: step ${led.number} of ${led.of}`] : [];
  return { title: first, items: [...rest, ...place], loud: true };
}

/**
 * The steps, with what goes before them before them: `technique` ends with it, the voice starts
 * with it, except in an emergency, which starts with its first step.
 */
function stepsOf(told, said) {
  const isStep = (sentence) => /^Step \w/.test(sentence);
  const count = said.filter(isStep).length || told.technique.length;
  const steps = { title: "Steps", items: told.technique.slice(0, count), numbered: true };
  const around = { title: "Mind", items: told.technique.slice(count), loud: true };
  const order = said.length && isStep(said[0]) ? [steps, around] : [around, steps];
  return order.filter((part) => part.items.length);
}

/** Whether the tip is right is said and is no figure: whatever is neither figure nor listed. */
function saidOfTip(told, said) {
  const labels = told.figures.map((figure) => figure.label);
  const starts = [...labels, ...told.technique, ...told.cautions].map(bare);
  const known = (sentence) => starts.some((start) => bare(sentence).startsWith(start));
  return said.slice(0, 1).filter((sentence) => !known(sentence));
}

/** Each source once, with the figures that come from it and how far it can be trusted. */
function sourcesOf(told) {
  const figures = new Map();
  for (const { label, source, status } of told.figures) {
    const named = `${source} (${trust(status)})`;
    figures.set(named, [...(figures.get(named) ?? []), label]);
  }
  const named = new Set(told.figures.map((figure) => figure.source));
  const lines = [...figures].map(([source, labels]) => `${source}: ${labels.join(", ")}`);
  return [...lines, ...told.sources.filter((source) => !named.has(source))];
}

/** Cuts a reply into screens that fit `content`; measures in it, and leaves it empty. */
export function screensOf(told, content, mm, goal) {
  const style = getComputedStyle(content);
  const box = {
    width: content.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight),
    height: content.clientHeight - parseFloat(style.paddingTop) - parseFloat(style.paddingBottom),
  };
  const note = 0.85 * parseFloat(getComputedStyle(document.body).fontSize); // as in page.css
  const screens = [];
  for (const part of partsOf(told)) {
    if (part.picture) screens.push(part);
    else if (part.figures) screens.push(...arrange(part.figures, box, mm, note, goal));
    else screens.push(...cutText(part, content));
  }
  content.replaceChildren();
  return screens;
}

/** One screen with larger letters where they fit, else as many screens as the items need. */
export function cutText(part, content) {
  for (const scale of LARGER) {
    const screen = { ...part, from: 0, scale };
    drawText(screen, content);
    if (!overflows(content) && !breaksWord(content)) return [screen];
  }
  const screens = [];
  let from = 0;
  while (from < part.items.length) {
    let to = part.items.length;
    let screen = null;
    for (; to > from; to -= 1) {
      screen = { ...part, items: part.items.slice(from, to), from };
      drawText(screen, content);
      if (!overflows(content)) break;
    }
    to = Math.max(to, from + 1);
    screens.push({ ...part, items: part.items.slice(from, to), from });
    from = to;
  }
  return screens;
}

/** Puts one screen into `content`. */
export function drawScreen(screen, content, mm, key = "") {
  if (screen.picture) {
    drawPicture(screen, content, key);
    return;
  }
  if (screen.figures) drawFigures(screen, content, mm);
  else drawText(screen, content);
  shrinkToFit(content);
}

/** The picture of this very reply, which the key names; its words stand on the other screens. */
function drawPicture({ picture }, content, key) {
  const image = make("img", { className: "sketch" });
  image.src = `sketch.svg?${encodeURIComponent(key)}`;
  image.alt = `Sketch: ${picture}. The cuts follow in words.`;
  content.className = "";
  content.removeAttribute("style");
  content.replaceChildren(image);
}

function drawText(screen, content) {
  content.removeAttribute("style");
  content.className = `text${screen.loud ? " loud" : ""}`;
  content.style.setProperty("--body", `calc(${screen.scale ?? 1} * var(--text))`);
  const inside = screen.title ? [make("h1", { text: screen.title })] : [];
  if (screen.loud) inside.push(...screen.items.map((text) => make("p", { text })));
  else {
    const items = screen.items.map((text) => make("li", { text }));
    const list = make(screen.numbered ? "ol" : "ul", { inside: items });
    list.style.setProperty("--from", screen.from ?? 0);
    inside.push(list);
  }
  content.replaceChildren(...inside);
}

function drawFigures({ figures, columns, digits, label, stacked, under }, content, mm) {
  content.className = "figures";
  content.removeAttribute("style");
  content.style.gridTemplateColumns = `repeat(${columns}, minmax(0, 1fr))`;
  content.style.setProperty("--digits", `calc(${digits * mm}px / var(--cap))`);
  content.style.setProperty("--label", `calc(${label * mm}px / var(--cap))`);
  content.replaceChildren(...figures.map((figure) => drawFigure(figure, stacked, under)));
}

function drawFigure(figure, stacked, under) {
  const parts = stacked ? ends(figure) : null;
  const number = (text) => make("span", { className: "number", text });
  const unit = make("span", { className: "unit", text: unitOf(figure) });
  const to = make("small", { text: "to " });
  const last = parts ? [to, number(parts[1])] : [number(oneLine(figure))];
  if (!under) last.push(unit);
  const lines = parts ? [[number(parts[0])], last] : [last];
  const inside = [
    make("p", { className: "label", text: figure.label }),
    ...lines.map((line) => make("p", { className: "digits", inside: line })),
  ];
  if (under) inside.push(make("p", { className: "under", inside: [unit] }));
  if (noteOf(figure)) inside.push(make("p", { className: "note", text: noteOf(figure) }));
  const node = make("div", { className: "figure", inside });
  node.dataset.name = figure.name;
  return node;
}

function overflows(content) {
  const bottom = content.getBoundingClientRect().bottom - 1;
  // The line boxes of digits are lower than their type, so scrollHeight says too much here.
  const low = [...content.children].some((node) => node.getBoundingClientRect().bottom > bottom);
  const digits = [...content.querySelectorAll(".digits")];
  return low || digits.some((node) => node.scrollWidth > node.clientWidth + 1);
}

/** Whether a word is wider than its line, and would go on in the next one. */
function breaksWord(content) {
  const face = typeface();
  return [...content.querySelectorAll("h1, p, li")].some((node) => {
    const { fontSize, paddingLeft } = getComputedStyle(node);
    const room = node.clientWidth - parseFloat(paddingLeft);
    return longestWord(node.textContent, face) * parseFloat(fontSize) > room;
  });
}

/** What was measured may be off by a hair, a sentence longer than the screen: nothing is cut. */
function shrinkToFit(content) {
  const figures = content.classList.contains("figures");
  const full = content.style.getPropertyValue(figures ? "--digits" : "--body") || "var(--text)";
  for (let size = 96; size >= 30 && overflows(content); size -= 4) {
    content.style.setProperty(figures ? "--digits" : "--body", `calc(${size / 100} * ${full})`);
  }
}
