// Asking by touch and the menus: each step is a mode, and the last press of a way sends words.

import { CHOICES, SIZES } from "./numbers.js";
import { addingWords, picked, settingWords, standing } from "./pick.js";
import { makeWheel } from "./wheel.js";

const { doors } = CHOICES;
const words = ["Thinner", "Thicker"];
// A ring is named for what leads to it.
const rings = (first) => [
  { name: "Inches", values: first },
  { name: "Finer", values: CHOICES.finer },
  { name: "Millimetres", values: CHOICES.metric },
];
const plateRings = rings([...CHOICES.gauges, ...CHOICES.stock]);
const otherRings = rings(CHOICES.stock);
const tipRings = rings([CHOICES.notKnown, ...CHOICES.stock]);
const measure = (choice) => choice.millimetres ?? 0;

/** The ways; `page` opens modes, sends words, and tells how many presses were made. */
export function makeFlow(page) {
  const option = (choice, act) => ({ text: choice.shown, said: choice.said ?? choice.words, act });
  const door = (name, act) => ({ text: doors[name], name, said: doors[name], act });
  let adding = false; // what is picked goes on the list of work instead of being asked about
  const send = () => page.send(adding ? addingWords() : settingWords());

  /** Sets what is picked and goes on. */
  const take = (name, choice, next) => () => {
    picked[name] = choice;
    if (name !== "metal") picked.metal = null;
    next();
  };

  const openShape = (adds = false) => {
    adding = adds === true;
    openShapeStep();
  };
  const openShapeStep = () => page.open({
    prompt: "shape",
    note: () => standing({ shape: false }),
    options: [
      { ...option(CHOICES.plate, take("shape", "plate", openSize)), first: true },
      option(CHOICES.pipe, take("shape", "pipe", openSize)),
      door("section", () => openShapes("section", CHOICES.sections)),
      door("hollow", () => openShapes("hollow", CHOICES.hollow)),
      door("metal", openMetal),
    ],
  });
  const openShapes = (prompt, list) => page.open({
    prompt,
    note: () => standing({ shape: false }),
    options: list.map((choice) => option(choice, take("shape", choice.words, openSize))),
  });
  const openMetal = () => page.open({
    prompt: "metal",
    note: () => standing({ shape: false }),
    options: [
      option(CHOICES.mild, () => {
        picked.steel = null;
        picked.coating = null;
        take("metal", null, openSize)();
      }),
      door("steel", () => openList("steel", "steel", CHOICES.steels, openSize)),
      door("not_steel", () => openList("not_steel", "metal", CHOICES.notSteels, send)),
      door("coating", () => openList("coating", "coating", CHOICES.coatings, openSize)),
      door("fuel", () => openList("fuel", "fuel", CHOICES.fuels, openSize)),
    ],
  });
  const openList = (prompt, name, list, next) => page.open({
    prompt,
    options: list.map((choice) => option(choice, take(name, choice, next))),
  });

  const openSize = () => (picked.shape === "pipe" ? openPipe() : openThickness());
  function openThickness() {
    const plate = picked.shape === "plate";
    page.open({
      prompt: "thickness",
      note: () => standing(),
      wheel: makeWheel({
        rings: plate ? plateRings : otherRings, start: startOn(plate), words, measure, kind: "size",
      }),
      take: (choice) => take("thickness", choice, openTipOrSend)(),
    });
  }
  /** A gauge stands on the plate's wheel alone. */
  const startOn = (plate) => (!plate && CHOICES.gauges.includes(picked.thickness)
    ? CHOICES.stock[0] : picked.thickness);

  const openPipe = () => page.open({
    prompt: "pipe_size",
    note: () => standing(),
    wheel: makeWheel({
      rings: [{ values: CHOICES.pipeSizes }], start: picked.pipeSize,
      words: ["Smaller", "Larger"], kind: "size",
    }),
    take: (choice) => take("pipeSize", choice, openWall)(),
  });
  const openWall = () => page.open({
    prompt: "pipe_wall",
    note: () => standing({ size: true }),
    options: CHOICES.pipeWalls.map((choice) => ({
      ...option(choice, take("wall", choice, openTipOrSend)),
      small: choice.under,
    })),
  });

  /** The tip is asked for while that keeps within five presses; else the one that stands counts. */
  const openTipOrSend = () =>
    (!adding && page.presses() + 1 <= SIZES.PRESSES_TO_AN_ANSWER ? openTip() : send());
  const openTip = () => page.open({
    prompt: "tip",
    note: () => standing({ size: true }),
    wheel: makeWheel({
      rings: tipRings, start: picked.tip ?? tipStart(), words, measure, kind: "size",
    }),
    take: (choice) => take("tip", choice === CHOICES.notKnown ? null : choice, send)(),
  });
  /** Nothing told of the tip yet: a wheel that starts near the steel is turned least. */
  const tipStart = () => (CHOICES.stock.includes(picked.thickness) && picked.shape !== "pipe"
    ? picked.thickness : CHOICES.notKnown);

  const openSteps = () => page.open({ prompt: "steps", options: spoken(CHOICES.steps) });
  const openWork = () => page.open({
    prompt: "work",
    options: [
      { ...option(CHOICES.work[0], () => page.send(CHOICES.work[0].words)), first: true },
      door("add", () => openShape(true)),
      ...(page.ticks().length ? [door("done", openDone)] : []),
      ...spoken(CHOICES.work.slice(1)),
    ],
  });
  const openDone = () => page.open({
    prompt: "done",
    options: page.ticks().map(({ shown, words: tick }) =>
      ({ text: shown, said: tick, act: () => page.send(tick) })),
  });
  const openVoice = () => page.open({ prompt: "voice", options: spoken(CHOICES.voice) });
  const spoken = (list) =>
    list.map((choice) => option(choice, () => page.send(choice.words)));

  /** What else there is; on a phone it begins with asking and talking. */
  const menu = (helper) => [
    door("steps", openSteps),
    door("work", openWork),
    door("tips", () => page.send(CHOICES.tipsWords)),
    door("type", () => page.openType()),
    ...(helper ? [door("voice", openVoice)] : []),
    door("page", page.openPage),
  ];
  const ask = { ...door("ask", () => openShape()), first: true };
  return { ask, openShape, menu, door };
}
