// The page: one reply on a sheet, and the modes in which a request is picked or typed.

import { CHOICES, SIZES } from "./numbers.js";
import { makeDevice, startDevice } from "./device.js";
import { at, say } from "./dom.js";
import { makeDrawing } from "./draw.js";
import { makeFlow } from "./flow.js";
import { onKeys } from "./keys.js";
import { ask, openLink, press, speak } from "./link.js";
import { drawNow, earWords } from "./now.js";
import { startFrom } from "./pick.js";
import { onPress, onSlide, screenChanged } from "./press.js";
import { isMeasured, measureScreen, reading } from "./scale.js";
import { makeSetup } from "./setup.js";
import { beyondReadBack, cutText, drawScreen, screensOf } from "./sheet.js";
import { sentence } from "./targets.js";
import { talkTarget, talkWords } from "./talk.js";

const EXAMPLES = [
  "“What do I set for three quarter plate with a quarter inch tip?”",
  "“How fast do I travel on half inch?”",
];
const TAPS = "Tap: next. Hold: ask.";
const SHORT_CAUTION = 60; // letters of one that leaves a step its room
const body = document.body;
const content = at("content");
const nav = at("targets");
let screen = measureScreen();
let shown = { key: "", index: 0, screens: [] };
let modes = []; // what is open above the sheet, the top one last
let problem = ""; // why the last words got no answer
let working = false;
let picking = false; // keys choose a target instead of turning the sheet
let wheel = null; // what keys turn, when a wheel is drawn
let turned = null;
let leaving = false; // our own step back in the browser's history

const link = openLink(() => refresh());
const told = () => link.notice?.told ?? null;
const runs = () => Boolean(link.notice?.keys);
const ear = () => (working ? "working" : link.notice?.ear ?? "");

// ---- what comes in -------------------------------------------------------------------------

function refresh() {
  // A helper that was started anew counts from the beginning: its run is part of the key.
  const key = link.notice ? `${link.notice.run} ${link.notice.number}` : "";
  if (key !== shown.key) {
    const looks = lookOf(told());
    // "Again" and "more" are new words about the same sheet: it stays where it was turned to.
    const same = looks === shown.looks;
    shown = { key, looks, index: same ? shown.index : 0, screens: [] };
    problem = "";
    working = false;
    if (told()) {
      startFrom(told().request);
      closeAll();
      say(at("spoken"), told().sentences.join(" "));
    }
    draw();
  } else refreshBar();
}

function lookOf(reply) {
  if (!reply) return "";
  const { kind, understood, figures, technique, cautions, notes, options } = reply;
  const words = figures.length || technique.length ? null : reply.sentences;
  return JSON.stringify([kind, understood, figures, technique, cautions, notes, options, words]);
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
    const silence = Math.round(link.silence());
    const since = silence < 5400 ? `${silence} s` : `${Math.round(silence / 3600)} h`;
    return `No link to the helper for ${since}. What is below may be wrong now.`;
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
  const does = silent ? "no link" : ear() || "no link yet";
  say(at("ear"), earWords(does));
  at("ear").dataset.ear = does;
  drawNow(silent ? null : link.notice, link.silence());
  talkWords(nav, ear(), screen.mm);
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

/** Tells a running helper of a key; the page alone has nobody to tell. */
async function pressKey(key, down, holds) {
  if (!runs()) return;
  try {
    await press(key, down, holds);
  } catch (fault) {
    problem = fault.message;
    refreshBar();
  }
}

const sayAloud = (prompt, choice) => link.notice?.speaks && speak(prompt ?? null, choice ?? null);
const saidOf = (choice) => choice?.said ?? choice?.words ?? choice?.text;

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
  if (!mode?.prompt) return;
  const stands = mode.wheel?.value() ?? mode.options?.find(({ first }) => first);
  sayAloud(mode.prompt, saidOf(stands));
}

function back() {
  modes.pop();
  if (!modes.length) stepOut();
  draw();
  sayStep();
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

const page = {
  body, content, nav, open, back, send, draw,
  close: () => {
    closeAll();
    draw();
  },
  screen: () => screen,
  isOpen: () => modes.length > 0,
  isTop: (mode) => modes.at(-1) === mode,
  presses: () => modes.length + 1,
  ticks: () => told()?.ticks ?? [],
  openType: (text = "") => open({ type: true, text }),
  openPage: () => setup.openPage(),
  wheelIs: (drawn) => (wheel = drawn),
  turned: sayTurned,
};
const drawing = makeDrawing(page);
const flow = makeFlow(page);
const setup = makeSetup(page, makeDevice(page));

/** A wheel that stands still is said, to the ear by the helper and to readers by the browser. */
function sayTurned(value) {
  clearTimeout(turned);
  const stands = modes.at(-1);
  turned = setTimeout(() => {
    if (modes.at(-1) !== stands) return;
    say(at("spoken"), saidOf(value) ?? "");
    sayAloud(null, saidOf(value));
  }, SIZES.SPEAK_AFTER_MS);
}

// ---- drawing -------------------------------------------------------------------------------

function draw() {
  screen = measureScreen();
  body.toggleAttribute("data-low", screen.low);
  body.toggleAttribute("data-small", screen.small);
  screenChanged();
  drawBar();
  say(at("place"), "");
  say(at("foot"), "");
  at("foot").className = "";
  nav.replaceChildren();
  nav.style.removeProperty("--target-text");
  picking = false;
  wheel = null;
  const mode = modes.at(-1);
  if (mode) drawMode(mode);
  else drawSheet();
  document.title = told()?.understood ? `Helper: ${told().understood}` : "Helper";
}

function drawMode(mode) {
  picking = true;
  readBack(null);
  const title = mode.title ?? CHOICES.prompts[mode.prompt] ?? "";
  const prompt = [title, mode.note?.() ?? ""];
  if (mode.type) drawing.drawType(mode);
  else if (mode.lines) drawing.drawLines(mode);
  else if (mode.wheel) drawing.drawWheel(prompt, mode.wheel, mode.take, [drawing.back()]);
  else drawing.drawOptions(prompt, mode.options, [drawing.back()], mode);
}

/** What a reply that wants one of its options says; the options themselves are the targets. */
function promptOf(reply) {
  const said = beyondReadBack(reply).slice(0, 1);
  if (reply.led && reply.kind === "not_understood" && reply.about === "steps") {
    return [...said, reply.led.ask];
  }
  return reply.kind === "question" ? said : ["Not understood", ...said];
}

/** The caution that stays in sight. A step comes first: a long one is left to its own screen. */
function cautionOf(reply) {
  const cautions = reply?.cautions ?? [];
  if (reply?.kind !== "step") return cautions[0] ?? "";
  return screen.low ? "" : cautions.find(({ length }) => length <= SHORT_CAUTION) ?? "";
}

function readBack(reply) {
  say(at("understood"), sentence(reply?.understood ?? ""));
  say(at("heard"), reply?.heard ? `heard: ${reply.heard}` : "");
  at("readback").hidden = !(reply?.understood || reply?.heard);
  const caution = cautionOf(reply);
  at("caution").hidden = !caution;
  say(at("caution-words"), caution);
}

function drawSheet() {
  const reply = told();
  readBack(reply);
  if (reply?.options.length && ["question", "not_understood"].includes(reply.kind)) {
    picking = true;
    // A plain yes is what confirm says; of other answers it takes none that was not chosen first.
    const options = reply.options.map((text) =>
      ({ text, said: text, act: () => send(text), first: text === "yes" }));
    drawing.drawOptions(promptOf(reply), options, [{ ...flow.ask, first: false }], shown);
    return;
  }
  // On a phone the digits need the whole sheet: a tap is next, holding it is asking.
  body.dataset.nav = "none";
  if (!screen.small) drawing.drawRow(rowOf(reply));
  else if (!screen.low && reply) say(at("foot"), TAPS);
  at("foot").className = reply ? "line" : "";
  content.replaceChildren();
  const goal = reading();
  shown.screens = reply ? screensOf(reply, content, screen.mm, goal.millimetres) : [];
  const faults = link.notice?.faults ?? [];
  if (faults.length && reply) {
    const items = faults.map(({ sentence: said }) => said);
    shown.screens.push(...cutText({ title: "Faults", items }, content));
  }
  if (reply?.led && reply.options.length) shown.screens.push({ answers: true });
  shown.screens.push({ menu: true });
  shown.index = Math.min(shown.index, shown.screens.length - 1);
  const now = shown.screens[shown.index];
  if (!reply) drawStart();
  else if (now.menu) drawMenu();
  else if (now.answers) drawAnswers(reply);
  else drawScreen(now, content, screen.mm, shown.key);
  if (reply) drawPlace(now, goal);
}

function drawPlace(now, goal) {
  const words = [`${shown.index + 1} of ${shown.screens.length}`];
  const hints = screen.small && !now.menu ? [TAPS] : [];
  if (now.digits < goal.millimetres) {
    const reach = (now.digits / goal.millimetres) * goal.metres;
    hints.push(`Reads at ${reach.toFixed(1)} m.`);
  }
  // The foot is one line high already where there is one: what it says never moves the digits.
  if (screen.small && !screen.low) hints.length && say(at("foot"), hints.join(" "));
  else if (hints.length) words.push(`\u2013 ${hints.join(" ")}`);
  say(at("place"), words.join(" "));
}

const talk = () => talkTarget(pressKey, ear);
const turner = (text, name, by, more = {}) => ({ text, name, act: () => turn(by), ...more });

/** What stands beside or under a sheet. */
function rowOf(reply) {
  if (!reply) {
    return [flow.ask, ...(runs() ? [talk()] : [flow.door("type", () => page.openType())]),
      { text: "More", name: "menu", act: openMenu }];
  }
  if (runs()) {
    const next = turner("Next", "next", 1, { held: turnBack, small: "hold: back" });
    return [talk(), next, flow.ask];
  }
  return [turner("Back", "back", -1), turner("Next", "next", 1), flow.ask];
}

const openMenu = () => open({ prompt: "menu", options: flow.menu(runs()) });

/** What can be answered to the step of a list; a number is said or typed, never tapped. */
function drawAnswers({ led, options }) {
  picking = true;
  readBack(null);
  say(at("foot"), "");
  at("foot").className = "";
  const answers = options.map((text) => ({ text, said: text, act: () => send(text) }));
  const first = turner("Back", "back", -1, { said: CHOICES.doors.back });
  drawing.drawOptions([led.say, led.ask], answers, [first], shown);
}

/** The last screen of every answer: what else there is. */
function drawMenu() {
  picking = true;
  readBack(null);
  say(at("foot"), "");
  at("foot").className = "";
  const first = turner("Back", "back", 1, { said: CHOICES.doors.back });
  if (screen.small) {
    const options = [flow.ask, ...(runs() ? [talk()] : []), ...flow.menu(runs())];
    drawing.drawOptions([CHOICES.prompts.menu], options, [first], shown);
  } else drawing.drawOptions([CHOICES.prompts.menu], flow.menu(runs()), [first], shown);
}

/** The screen before the first answer. */
function drawStart() {
  if (screen.small) {
    picking = true;
    drawing.drawPrompt([runs() ? "Ask aloud, or press:" : "Press:"]);
    drawing.fill(rowOf(null));
  } else if (runs()) drawScreen(cutText({ title: "Ask aloud:", items: EXAMPLES }, content)[0], content);
  else drawScreen(cutText({ title: "Press Ask, or type:", items: EXAMPLES }, content)[0], content);
  at("foot").className = "";
  const { millimetres, metres } = reading();
  say(at("foot"), isMeasured()
    ? `Digits ${millimetres} mm high, to be read at ${metres} m.`
    : "Sizes are a guess until you hold a bank card to the screen: More, Page, Size.");
}

// ---- turning, keys, taps -------------------------------------------------------------------

function turn(by) {
  const count = shown.screens.length;
  shown.index = (shown.index + by + count) % count;
  draw();
}

/** Back one screen; from the first one to the reply before, which a running helper remembers. */
function turnBack() {
  if (shown.index === 0 && runs()) pressKey("back");
  else turn(-1);
}

onKeys({
  nav,
  mode: () => modes.at(-1),
  picking: () => picking,
  wheel: () => wheel,
  hasHelper: runs,
  isAsked: () => runs() && told()?.kind === "question",
  focused: (node) => sayAloud(null, node.dataset.said),
  press: pressKey,
  back,
  turn,
  turnBack,
  turnLines: (by) => drawing.turnLines(modes.at(-1), by),
  ask: flow.openShape,
  type: page.openType,
  send,
});
/** On a phone a tap goes on and holding it does the other thing; elsewhere targets do. */
function tapped() {
  const lines = modes.at(-1)?.lines;
  if (lines && screen.small) drawing.turnLines(modes.at(-1), 1);
  else if (!picking) turn(1);
}

function heldDown() {
  if (modes.at(-1)?.lines) back();
  else if (!picking) flow.openShape();
}
onPress(content, tapped, { held: heldDown });

/** A sheet that is slid to the right goes back, to the left on. */
let slid = 0;
onSlide(content, () => screen.mm, {
  across: true,
  by: (steps) => (slid = steps),
  lifted: () => {
    const lines = modes.at(-1)?.lines;
    if (lines) drawing.turnLines(modes.at(-1), slid > 0 ? -1 : 1);
    else if (picking || !slid) return;
    else if (slid > 0) turnBack();
    else turn(1);
  },
});

// A keyboard that slides in changes the room too; the line that is being typed must stay.
addEventListener("resize", () => (modes.at(-1)?.type ? (screen = measureScreen()) : draw()));
startDevice();
draw();
refreshBar();
