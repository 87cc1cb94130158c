// Asking by touch: wheels and choices that end in words, as if they had been said.

import { CHOICES, SIZES } from "./numbers.js";

const { thicknesses, fuels } = CHOICES;
const tips = [CHOICES.notKnown, ...thicknesses];

/** What was picked last, so that asking again starts there. */
export const picked = {
  thickness: thicknesses.find((choice) => choice.shown === "1/2"),
  tip: null,
  fuel: fuels[0],
};

const same = (one, other) => Math.abs(one - other) < 0.3;

/** Starts the wheels where the latest request stands, however it was asked. */
export function startFrom(request) {
  if (!request) return;
  const asked = thicknesses.find((choice) => same(choice.millimetres, request.thickness_mm));
  picked.thickness = asked ?? picked.thickness;
  picked.fuel = fuels.find((choice) => choice.words === request.fuel) ?? picked.fuel;
}

/** The words of a request for a setting. */
export function settingWords({ thickness, tip, fuel }) {
  const known = tip && tip !== CHOICES.notKnown;
  const pattern = known ? CHOICES.settingWords : CHOICES.settingWordsWithoutTip;
  return pattern
    .replace("{thickness}", thickness.words)
    .replace("{tip}", tip?.words ?? "")
    .replace("{fuel}", fuel.words);
}

/**
 * A wheel: thinner, thicker, use. `values` are choices; `small` says more about one, `use` gets the
 * one that stands.
 */
function wheel({ title, words = ["Thinner", "Thicker"], values, start, small, use }) {
  let place = Math.max(0, values.indexOf(start));
  const move = (by) => (redraw) => {
    place = Math.min(values.length - 1, Math.max(0, place + by));
    redraw();
  };
  return {
    title,
    words,
    less: move(-1),
    more: move(1),
    value: () => values[place],
    small: () => small(values[place]),
    use: () => use(values[place]),
  };
}

const inch = ({ millimetres }) => (millimetres ? `inch = ${millimetres.toFixed(1)}\u00a0mm` : "");

export const thicknessWheel = (use) =>
  wheel({
    title: CHOICES.prompts.thickness,
    values: thicknesses,
    start: picked.thickness,
    small: inch,
    use: (choice) => {
      picked.thickness = choice;
      use();
    },
  });

export const tipWheel = (use) =>
  wheel({
    title: CHOICES.prompts.tip,
    values: tips,
    start: picked.tip ?? picked.thickness,
    small: inch,
    use: (choice) => {
      picked.tip = choice;
      use();
    },
  });

/** The fuels as choices, the one in use first. */
export const fuelChoices = () =>
  [picked.fuel, ...fuels.filter((choice) => choice !== picked.fuel)];

/** Pixels a millimetre as a wheel: the rules on the glass must meet the edges of a bank card. */
export function scaleWheel(start, use) {
  const step = 0.05;
  const least = Math.round(SIZES.PIXELS_A_MM_LEAST / step);
  const most = Math.round(SIZES.PIXELS_A_MM_MOST / step);
  const values = [];
  for (let at = least; at <= most; at += 1) values.push({ shown: "fits", pixels: at * step });
  const off = (value) => Math.abs(value.pixels - start);
  return wheel({
    title: "",
    words: ["Narrower", "Wider"],
    values,
    start: values.reduce((one, other) => (off(other) < off(one) ? other : one)),
    small: () => "",
    use: (value) => use(value.pixels),
  });
}
