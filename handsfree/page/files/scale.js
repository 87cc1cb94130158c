// What is kept on this device: pixels a real millimetre, and how high digits must be here.

import { typeface } from "./fit.js";
import { SIZES } from "./numbers.js";

const PIXELS = "helper.pixels-a-mm";
const DIGITS = "helper.digits-mm";

/** Storage may be shut, full or changed by hand: then what was told holds until the page closes. */
const here = new Map();
function read(name) {
  try {
    return JSON.parse(localStorage.getItem(name)) ?? here.get(name) ?? null;
  } catch {
    return here.get(name) ?? null;
  }
}
function write(name, value) {
  here.set(name, value);
  try {
    localStorage.setItem(name, JSON.stringify(value));
  } catch {
    // kept in `here`
  }
}

/** What was measured against a bank card on this device, or null. */
function kept() {
  const { pixels, ratio } = read(PIXELS) ?? {};
  // The browser's zoom changes the ratio of device pixels; the glass stays as it is.
  const now = (pixels * ratio) / devicePixelRatio;
  return Number.isFinite(now) && now > 0 ? now : null;
}

/** Pixels a millimetre, as measured or as assumed for this sort of device. */
export function pixelsAMm() {
  const touch = matchMedia("(pointer: coarse)").matches;
  return kept() ?? (touch ? SIZES.PIXELS_A_MM_BY_TOUCH : SIZES.PIXELS_A_MM_BY_POINTER);
}

export const isMeasured = () => kept() !== null;
export const keepPixels = (pixels) => write(PIXELS, { pixels, ratio: devicePixelRatio });

/** How high digits must be on this device, and for what distance, in metres. */
export function reading() {
  const { millimetres, metres } = read(DIGITS) ?? {};
  return millimetres >= SIZES.LEAST_DIGITS_MM && metres > 0
    ? { millimetres, metres }
    : { millimetres: SIZES.DIGITS_MM, metres: SIZES.READING_DISTANCE_MM / 1000 };
}
export const keepReading = (millimetres, metres) =>
  write(DIGITS, { millimetres: Math.max(SIZES.LEAST_DIGITS_MM, millimetres), metres });

/** The screen in millimetres, and the styles that depend on it. */
export function measureScreen() {
  const mm = pixelsAMm();
  const width = innerWidth / mm;
  const height = innerHeight / mm;
  const root = document.documentElement.style;
  root.setProperty("--mm", `${mm}px`);
  const wide = width > 1.2 * height;
  const share = Math.min(width, 1.35 * height) / (wide ? 44 : 38);
  const capital = Math.min(SIZES.LARGEST_TEXT_MM, Math.max(SIZES.SMALLEST_TEXT_MM, share));
  const rem = parseFloat(getComputedStyle(document.documentElement).fontSize);
  const { cap } = typeface();
  root.setProperty("--cap", cap);
  root.setProperty("--text", `${Math.max((capital * mm) / cap, 1.1 * rem)}px`);
  const small = Math.min(width, height) < 100; // a phone
  return { mm, width, height, small, low: small && width > height, wide };
}
