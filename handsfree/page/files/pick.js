// What is picked by touch, and the words that it comes to, as if they had been said.

import { CHOICES } from "./numbers.js";

const { stock, gauges, finer, metric, fuels, coatings, steels, notSteels } = CHOICES;
const byShown = (list, shown) => list.find((choice) => choice.shown === shown);

/** What stands: the latest request's, however it was asked, and what was picked since. */
export const picked = {
  shape: "plate",
  thickness: byShown(stock, "1/2"),
  pipeSize: byShown(CHOICES.pipeSizes, "4"),
  wall: byShown(CHOICES.pipeWalls, "40"),
  steel: null,
  metal: null,
  coating: null,
  fuel: null,
  tip: null,
};

const nearest = (millimetres, lists) => {
  for (const list of lists) {
    const found = list.find((choice) => Math.abs(choice.millimetres - millimetres) < 0.06);
    if (found) return found;
  }
  return null;
};
const shapes = Object.keys(CHOICES.pieces);

/** Starts where the latest request stands. */
export function startFrom(request) {
  if (!request?.about) return;
  const { shape, thickness_mm: thickness, tip_made_for_mm: madeFor } = request;
  if (shapes.includes(shape)) picked.shape = shape === "sheet" ? "plate" : shape;
  const lists = picked.shape === "plate" ? [gauges, stock, finer, metric] : [stock, finer, metric];
  if (shape !== "pipe" && thickness) picked.thickness = nearest(thickness, lists) ?? picked.thickness;
  const named = (list, words) => list.find((choice) => choice.words === words) ?? null;
  const inches = (choice) => choice.shown.split(" ").map((part) => {
    const [over, under = 1] = part.split("/");
    return over / under;
  }).reduce((one, other) => one + other);
  const nominal = CHOICES.pipeSizes.find((choice) => inches(choice) === request.nominal_in);
  picked.pipeSize = nominal ?? picked.pipeSize;
  picked.wall = byShown(CHOICES.pipeWalls, request.schedule) ?? picked.wall;
  picked.metal = null;
  if (request.metal) picked.steel = named(steels, request.metal);
  if (request.metal && !named(notSteels, request.metal)) {
    const coated = (choice) => choice.words.endsWith(request.surface ?? "nothing");
    picked.coating = coatings.find(coated) ?? null;
  }
  picked.fuel = named(fuels, request.fuel) ?? picked.fuel;
  if (madeFor) picked.tip = nearest(madeFor, [stock, finer, metric]);
}

const fill = (pattern, values) =>
  pattern.replace(/\{(\w+)\}/g, (_whole, name) => values[name] ?? "").replace(/\s+/g, " ").trim();

const coatingBehind = () => {
  const coating = picked.metal ? "" : picked.coating?.words ?? "";
  return coating.startsWith(CHOICES.behind) ? coating : "";
};

function pieceWords() {
  const { shape, metal, wall } = picked;
  if (metal) return metal.words;
  const size = sizeOf().words;
  const sheet = shape === "plate" && size.endsWith("gauge");
  return fill(CHOICES.pieces[sheet ? "sheet" : shape], {
    coating: coatingBehind() ? "" : picked.coating?.words,
    size,
    wall: wall.words,
    steel: picked.steel?.words,
  });
}

/** The words that put what is picked on the list of what goes up. */
export const addingWords = () =>
  [fill(CHOICES.add, { piece: pieceWords() }), coatingBehind()].filter(Boolean).join(" ");

/** The words of a request for a setting; the server's own patterns, filled in. */
export function settingWords() {
  const { metal, fuel, tip } = picked;
  const asked = fill(CHOICES.request, { piece: pieceWords() });
  if (metal) return asked;
  return [
    asked,
    coatingBehind(),
    fuel ? fill(CHOICES.onFuel, { fuel: fuel.words }) : "",
    tip ? fill(CHOICES.withTip, { tip: tip.words }) : "",
  ].filter(Boolean).join(" ");
}

export const sizeOf = () => (picked.shape === "pipe" ? picked.pipeSize : picked.thickness);

/** What stands besides the size, in a few words, to be seen before anything is picked. */
export function standing({ size = false, shape = true } = {}) {
  const { shown } = sizeOf();
  const sized = shown.includes(" mm") || shown.includes(" ga") ? shown : `${shown} inch`;
  return [
    [
      picked.coating && `${coatingName(picked.coating)} `,
      size && `${sized} `,
      size && picked.shape === "pipe" && `${wallName(picked.wall)} `,
      picked.steel?.words ?? "mild steel",
      shape && ` ${picked.shape}`,
    ].filter(Boolean).join(""),
    picked.coating ? "" : "clean",
    picked.fuel?.words ?? "",
  ].filter(Boolean).join(", ");
}

const coatingName = ({ shown }) => (shown === "not known" ? "coated (not known)" : shown);
const wallName = ({ shown }) => (/^\d/.test(shown) ? `schedule ${shown}` : shown);
