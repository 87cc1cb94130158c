// The page about the page: its size on this device, how far it reads, its keys and tones, devices.

import { CHOICES, READING, SIZES, TONES } from "./numbers.js";
import { keepPixels, keepReading, pixelsAMm, reading } from "./scale.js";
import { sentence } from "./targets.js";
import { makeWheel } from "./wheel.js";

const KEY_NAMES = { " ": "space", ArrowRight: "right", ArrowLeft: "left", ArrowUp: "up",
  ArrowDown: "down", PageUp: "page up", PageDown: "page down" };
const KEY_DOES = {
  talk: "hold it and talk; without a voice helper it goes on",
  confirm: "takes what stands, or asks",
  next: "goes on",
  back: "goes back",
  again: "says it again",
  stop: "stops the voice, and leads back",
};

const shadeWords = (shade) => (shade === 1 ? "none" : `shade ${shade}`);

/** The targets of the page about the page; `page` opens modes, `device` tells what works here. */
export function makeSetup(page, device) {
  const openPage = () => page.open({
    title: "This page",
    options: [
      { text: "Size", name: "size", act: openSize },
      { text: "Distance", name: "distance", act: openDistance },
      { text: "Keys", name: "keys", act: openKeys },
      { text: "Tones", name: "tones", act: openTones },
      { text: "Devices", name: "devices", act: device.open },
    ],
  });

  /** Pixels a millimetre as a wheel: the rules on the glass must meet the edges of a bank card. */
  const openSize = () => {
    const step = 0.05;
    const least = Math.round(SIZES.PIXELS_A_MM_LEAST / step);
    const most = Math.round(SIZES.PIXELS_A_MM_MOST / step);
    const values = [];
    for (let n = least; n <= most; n += 1) values.push({ shown: "fits", pixels: n * step });
    const off = (value) => Math.abs(value.pixels - pixelsAMm());
    page.open({
      wheel: makeWheel({
        rings: [{ values }], words: ["Narrower", "Wider"],
        start: values.reduce((one, other) => (off(other) < off(one) ? other : one)),
      }),
      take: (value) => {
        keepPixels(value.pixels);
        page.back();
      },
    });
  };

  // How far, through which filter, how bright: then how high digits must be, and to keep that.
  const distances = READING.distances.map((metres) =>
    ({ shown: `${metres} m`, metres, under: `${Math.round(metres * 39.37)} inches` }));
  const shades = READING.shades.map((shade) => ({ shown: shadeWords(shade), shade }));
  const openDistance = () => page.open({
    title: "How far is the screen?",
    wheel: makeWheel({
      rings: [{ values: distances }], words: ["Nearer", "Farther"],
      start: distances.find(({ metres }) => metres === reading().metres),
    }),
    take: ({ metres }) => openShade(metres),
  });
  const openShade = (metres) => page.open({
    title: "Which filter is before your eyes?",
    wheel: makeWheel({
      rings: [{ values: shades }], words: ["Lighter", "Darker"],
      start: shades.find(({ shade }) => shade === READING.design),
    }),
    take: ({ shade }) => openLight(metres, shade),
  });
  const openLight = (metres, shade) => page.open({
    title: "How bright is the screen?",
    options: Object.keys(READING.screens).map((name) =>
      ({ text: name, act: () => openHeight(metres, shade, name), first: name === "full" })),
  });
  function openHeight(metres, shade, screen) {
    const atOne = READING.heights[shade][screen];
    const needed = atOne === null ? null : Math.round(10 * atOne * metres) / 10;
    const high = needed && Math.max(SIZES.LEAST_DIGITS_MM, needed);
    const keep = () => {
      keepReading(high, metres);
      page.close();
    };
    page.open({
      title: high === null ? "Too dark to read" : `Digits ${high} mm high`,
      note: () => (high === null
        ? "Take a lighter filter or a brighter screen. The voice does not need either."
        : `to be read at ${metres} m, through ${
          shade === 1 ? "no filter" : shadeWords(shade)}, the screen ${screen} bright.`),
      options: high === null ? [] : [{ text: "Keep", name: "keep", act: keep, first: true }],
    });
  }

  const openKeys = () => page.open({
    title: "Keys and pedals",
    lines: () => [
      ...Object.entries(KEY_DOES).map(([meaning, does]) => {
        const keys = Object.entries(CHOICES.keys).filter(([, meant]) => meant === meaning);
        return `${sentence(keys.map(([key]) => KEY_NAMES[key] ?? key).join(", "))}: ${does}.`;
      }),
      "By touch: tap a sheet for the next screen, slide it to the right for the one before; on a "
        + "phone hold it to ask.",
      "On a wheel up, right and page up are more; down, left and page down are less.",
    ],
  });

  const openTones = () => page.open({
    title: "Tones",
    lines: () => Object.values(TONES).map((line) => `${sentence(line)}.`),
  });

  return { openPage };
}
