// The page: one reply on a sheet, and the modes in which a request is picked or typed.

import { CHOICES, SIZES } from "./numbers.js";
import { at, make, say } from "./dom.js";
import { onKeys } from "./keys.js";
import { drawNow, earWords } from "./now.js";
import { ask, openLink, press, speak } from "./link.js";
import { onPress, screenChanged } from "./press.js";
import { isMeasured, keep, measureScreen, pixelsAMm } from "./scale.js";
import { beyondReadBack, cutText, drawScreen, screensOf } from "./sheet.js";
import { capacity, drawTargets, fillWith, fitTargets, fitting } from "./targets.js";
import * as pick from "./pick.js";

const EXAMPLES = [
  "“What do I set for three quarter plate with a quarter inch tip?”",
  "“How fast do I travel on half inch?”",
];
const TAPS = "Tap: next. Hold: ask.";
const body = document.body;
const content = at("content");
const nav = at("targets");
let screen = measureScreen();
let shown = { key: "", index: 0, screens: [] };
let modes = []; // what is open above the sheet, the top one last
let problem = ""; // why the last words got no answer
let working = false;
let picking = false; // keys choose a target instead of turning the sheet
let leaving = false; // our own step back in the browser's history

const link = openLink(() => refresh());
const told = () => link.notice?.told ?? null;

// ---- what comes in -------------------------------------------------------------------------

function refresh() {
  // A helper that was started anew counts from the beginning: its run is part of the key.
  const key = link.notice ? `${link.notice.run} ${link.notice.number}` : "";
  if (key !== shown.key) {
    shown = { key, index: 0, screens: [] };
    problem = "";
    working = false;
    if (told()) {
      pick.startFrom(told().request);
      closeAll();
      say(at("spoken"), told().sentences.join(" "));
    }
    draw();
  } else refreshBar();
}

/** How far what is shown can be trusted: waiting, live, old, lost or stopped. */
function liveness() {
  if (link.notice?.closed) return "stopped";
  if (link.lost) return "lost";
  if (!link.notice) return "waiting";
  return told() && link.age() > SIZES.OLD_S ? "old" : "live";
}

function ageWords(seconds) {
  if (seconds < 5) return "just now";
  if (seconds < 100) return `${Math.floor(seconds)} s ago`;
  if (seconds < 5400) return `${Math.round(seconds / 60)} min ago`;
  return `${Math.round(seconds / 3600)} h ago`;
}

function warningWords(live) {
  const ago = ageWords(link.age());
  if (live === "stopped") return "The helper has stopped. What is below is no longer live.";
  if (live === "lost") {
    const since = Math.round(link.silence());
    return `No link to the helper for ${since} s. What is below may be wrong now.`;
  }
  if (live === "old") return `Old answer, ${ago}. Ask again before you set anything.`;
  return problem;
}

/** The parts that change by themselves: ear, age, warnings. Redraws all when the room changes. */
function refreshBar() {
  const room = () => {
    const lengths = ["warning", "faults", "timers"].map((id) => at(id).textContent.length);
    return `${body.dataset.live} ${lengths} ${at("now").hidden}`;
  };
  const before = room();
  drawBar();
  if (before !== room()) draw();
}
setInterval(refreshBar, 1000);

function drawBar() {
  const live = liveness();
  body.dataset.live = live;
  const silent = live === "lost" || live === "stopped";
  const ear = silent ? "no link" : working ? "working" : link.notice?.ear ?? "no link yet";
  say(at("ear"), earWords(ear, link.notice));
  at("ear").dataset.ear = ear;
  drawNow(silent ? null : link.notice, link.silence());
  say(at("age"), told() ? ageWords(link.age()) : "");
  const warning = warningWords(live);
  say(at("warning"), warning);
  at("warning").hidden = !warning;
}

// ---- what goes out -------------------------------------------------------------------------

async function send(words) {
  if (!words.trim() || working) return;
  working = true;
  problem = "";
  refreshBar();
  try {
    const notice = await ask(words);
    const late = notice.run === link.notice?.run && notice.number < link.notice.number;
    if (!late) link.take(notice);
    working = false; // a running helper shows by its ear that it works
    closeAll();
  } catch (fault) {
    problem = fault.message;
    working = false;
  }
  draw();
}

// ---- modes ---------------------------------------------------------------------------------

function open(mode) {
  if (!modes.length) history.pushState({ inside: true }, "");
  modes.push(mode);
  draw();
  sayStep();
}

/** Has the helper say the step that is open, so that nobody has to look at it. */
function sayStep() {
  const mode = modes.at(-1);
  if (mode?.prompt && link.notice?.speaks) speak(mode.prompt, mode.wheel?.value().words);
}

function back() {
  modes.pop();
  if (!modes.length) stepOut();
  draw();
}

function closeAll() {
  if (modes.length) stepOut();
  modes = [];
}

function stepOut() {
  if (!history.state?.inside) return;
  leaving = true;
  history.back();
}

addEventListener("popstate", () => {
  if (leaving) {
    leaving = false;
    return;
  }
  if (!modes.length) return;
  modes.pop();
  if (modes.length) history.pushState({ inside: true }, "");
  draw();
});

const openThickness = () => open({ prompt: "thickness", wheel: pick.thicknessWheel(openTip) });
const openTip = () => open({ prompt: "tip", wheel: pick.tipWheel(openFuel) });
const openFuel = () => open({
  prompt: "fuel",
  options: pick.fuelChoices().map((choice) => ({
    text: choice.shown,
    act: () => {
      pick.picked.fuel = choice;
      send(pick.settingWords(pick.picked));
    },
  })),
});
const openType = (text = "") => open({ type: true, text });
const openSize = () => open({
  wheel: pick.scaleWheel(pixelsAMm(), (pixels) => {
    keep(pixels);
    back();
  }),
});

const starters = () => [
  { text: "Ask", name: "ask", act: openThickness, first: true },
  { text: "Type", name: "type", act: () => openType() },
  { text: "Size", name: "size", act: openSize },
];

// ---- drawing -------------------------------------------------------------------------------

function draw() {
  screen = measureScreen();
  body.toggleAttribute("data-low", screen.low);
  screenChanged();
  drawBar();
  say(at("place"), "");
  say(at("foot"), "");
  at("foot").className = "";
  nav.replaceChildren();
  nav.style.removeProperty("--target-text");
  picking = false;
  const mode = modes.at(-1);
  if (mode?.wheel) drawWheel(mode.wheel);
  else if (mode?.options) drawOptions([CHOICES.prompts[mode.prompt]], mode.options, mode);
  else if (mode?.type) drawType(mode);
  else drawSheet();
  document.title = told()?.understood ? `Helper: ${told().understood}` : "Helper";
}

/** The first sentence large, the others below it. */
function drawPrompt([title, ...sentences]) {
  content.removeAttribute("style");
  content.className = "text prompt";
  const below = sentences.map((text) => make("p", { text }));
  content.replaceChildren(make("h1", { text: title }), ...below);
}

/** What a reply that wants one of its options says; the options themselves are the targets. */
function promptOf(reply) {
  const said = beyondReadBack(reply).slice(0, 1);
  return reply.kind === "question" ? said : ["Not understood", ...said];
}

const sentence = (text) => text.charAt(0).toUpperCase() + text.slice(1);

function readBack(reply) {
  say(at("understood"), sentence(reply?.understood ?? ""));
  say(at("heard"), reply?.heard ? `heard: ${reply.heard}` : "");
  at("readback").hidden = !(reply?.understood || reply?.heard);
  at("caution").hidden = !reply?.cautions.length;
  say(at("caution-words"), reply?.cautions[0] ?? "");
}

function drawSheet() {
  const reply = told();
  readBack(reply);
  if (reply?.options.length && ["question", "not_understood"].includes(reply.kind)) {
    const options = reply.options.map((text) => ({ text, act: () => send(text) }));
    drawOptions(promptOf(reply), options, shown);
    return;
  }
  // On a phone the digits need the whole sheet: a tap is next, holding it is asking.
  const { wide } = screen;
  body.dataset.nav = screen.small ? "none" : wide ? "side" : "row";
  if (!screen.small) drawRow(reply ? turners() : starters());
  else if (!screen.low && reply) say(at("foot"), TAPS);
  at("foot").className = reply ? "line" : "";
  content.replaceChildren();
  shown.screens = reply ? screensOf(reply, content, screen.mm) : [];
  if (screen.small || !reply) shown.screens.push({ starters: true });
  shown.index = Math.min(shown.index, shown.screens.length - 1);
  const now = shown.screens[shown.index];
  if (now.starters) drawStart();
  else drawScreen(now, content, screen.mm);
  const words = [];
  if (shown.screens.length > 1) words.push(`${shown.index + 1} of ${shown.screens.length}`);
  const hints = screen.small && reply && !now.starters ? [TAPS] : [];
  if (now.digits < SIZES.DIGITS_MM) {
    const reach = ((now.digits / SIZES.DIGITS_MM) * SIZES.READING_DISTANCE_MM) / 1000;
    hints.push(`Reads at ${reach.toFixed(1)} m.`);
  }
  // The foot is one line high already where there is one: what it says never moves the digits.
  if (screen.small && !screen.low && hints.length) say(at("foot"), hints.join(" "));
  else words.push(...hints);
  say(at("place"), words.join(". "));
}

const turners = () => [
  { text: "Back", name: "back", act: () => turn(-1) },
  { text: "Next", name: "next", act: () => turn(1), first: true },
  { text: "Ask", name: "ask", act: openThickness },
];

/** Targets beside or under the sheet. */
function drawRow(list) {
  drawTargets(nav, list, screen.wide ? 1 : list.length);
  if (!screen.wide) nav.style.gridAutoRows = `${SIZES.TARGET_MM * screen.mm}px`;
  fitTargets(nav, screen.mm, 8);
}

/** The screen before the first answer, and the last one of every answer. */
function drawStart() {
  const examples = { title: "Ask aloud:", items: EXAMPLES };
  if (screen.small) {
    readBack(null);
    drawPrompt(["Ask aloud, or press:"]);
    fillTargets(starters());
  } else drawScreen(cutText(examples, content)[0], content);
  at("foot").className = "";
  const reach = Math.floor(SIZES.READING_DISTANCE_MM / 1000);
  say(at("foot"), isMeasured()
    ? `Digits ${SIZES.DIGITS_MM} mm high, to be read at ${reach} m.`
    : "Sizes are a guess until you hold a bank card to the screen: Size.");
}

function fillTargets(list) {
  body.dataset.nav = "fill";
  fillWith(nav, list, screen);
}

function drawOptions(prompt, options, mode) {
  picking = true;
  drawPrompt(prompt);
  const leave = { text: "Back", name: "back", act: back };
  const extras = modes.length ? [leave] : starters().slice(0, 1);
  const room = capacity(screen);
  let list = [...options.map((option) => ({ ...option })), ...extras];
  if (list.length > room) {
    const part = room - 1;
    const parts = Math.ceil(list.length / part);
    mode.part = (mode.part ?? 0) % parts;
    list = list.slice(mode.part * part, (mode.part + 1) * part);
    const more = () => {
      mode.part = (mode.part + 1) % parts;
      draw();
    };
    list.push({ text: "More", name: "more", act: more });
  }
  fillTargets(list);
}

function drawWheel(wheel) {
  picking = true;
  readBack(null);
  drawPrompt([wheel.title]);
  if (wheel.value().pixels) drawCard(wheel.value().pixels);
  const turned = (text, name, move) =>
    ({ text, name, act: () => turnWheel(move), repeat: () => turnWheel(move) });
  const less = turned(wheel.words[0], "less", wheel.less);
  const more = turned(wheel.words[1], "more", wheel.more);
  const use = { text: wheel.value().shown, name: "use", value: true, small: wheel.small(),
    verb: "Use", act: wheel.use, first: true };
  const column = fitting(screen.width) < 3 && !screen.low;
  const list = column ? [more, use, less] : [less, use, more];
  const extras = [{ text: "Back", name: "back", act: back }];
  if (wheel.title) extras.push(...starters().slice(1));
  list.push(...extras.slice(0, capacity(screen) - list.length));
  body.dataset.nav = "fill";
  drawTargets(nav, list, column ? 1 : 3);
  fitTargets(nav, screen.mm, 16);
  refreshWheel = () => {
    const node = nav.querySelector('[data-target="use"]');
    node.firstChild.textContent = wheel.value().shown;
    node.querySelector("small").textContent = wheel.small();
    if (wheel.value().pixels) drawCard(wheel.value().pixels);
    fitTargets(nav, screen.mm, 16);
  };
}

let refreshWheel = () => {};

/** Turns the wheel without a new screen, so that the target that is held stays under the glove. */
function turnWheel(move) {
  move(() => refreshWheel());
  clearTimeout(turned);
  const stands = modes.at(-1);
  turned = setTimeout(() => {
    if (modes.at(-1) === stands && link.notice?.speaks) speak(null, stands.wheel.value().words);
  }, SIZES.SPEAK_AFTER_MS);
}

let turned = null;

function drawCard(pixels) {
  const long = SIZES.CARD_LONG_MM * SIZES.PIXELS_A_MM_MOST < innerWidth;
  const edge = long ? SIZES.CARD_LONG_MM : SIZES.CARD_SHORT_MM;
  const text = `${long ? "long" : "short"} edge of a bank card`;
  const card = make("div", { className: "card", text });
  card.style.width = `${edge * pixels}px`;
  content.replaceChildren(card);
}

function drawType(mode) {
  picking = true;
  readBack(null);
  drawPrompt(["What do you want to know?"]);
  const line = make("input");
  Object.assign(line, { type: "text", value: mode.text, maxLength: SIZES.WORDS_AT_MOST,
    autocomplete: "off", autocapitalize: "none", spellcheck: false, enterKeyHint: "send" });
  line.setAttribute("aria-label", "What do you want to know?");
  line.addEventListener("input", () => (mode.text = line.value));
  content.append(line);
  fillTargets([
    { text: "Ask", name: "send", act: () => send(line.value), first: true },
    { text: "Back", name: "back", act: back },
  ]);
  line.focus();
}

// ---- turning, keys, taps -------------------------------------------------------------------

function turn(by) {
  const count = shown.screens.length;
  shown.index = (shown.index + by + count) % count;
  draw();
}

/** Tells a running helper of a key; the page alone has nobody to tell. */
async function pressKey(key, down, holds) {
  if (!link.notice?.keys) return;
  try {
    await press(key, down, holds);
  } catch (fault) {
    problem = fault.message;
    refreshBar();
  }
}

const isAsked = () => Boolean(link.notice?.keys) && told()?.kind === "question";

onKeys({
  nav,
  hasHelper: () => Boolean(link.notice?.keys),
  press: pressKey,
  isAsked,
  mode: () => modes.at(-1),
  picking: () => picking,
  back,
  turn,
  turnWheel,
  ask: openThickness,
  type: openType,
  send,
});
onPress(content, () => picking || turn(1), { held: () => picking || openThickness() });

// A keyboard that slides in changes the room too; the line that is being typed must stay.
addEventListener("resize", () => (modes.at(-1)?.type ? (screen = measureScreen()) : draw()));
draw();
refreshBar();
