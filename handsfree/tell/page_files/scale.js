// How many pixels a real millimetre has on this device, and the sizes that follow from it.

import { typeface } from "./fit.js";
import { SIZES } from "./numbers.js";

const KEPT_AS = "helper.pixels-a-mm";

/** What was measured against a bank card on this device, or null. */
function kept() {
  try {
    const { pixels, ratio } = JSON.parse(localStorage.getItem(KEPT_AS));
    // The browser's zoom changes the ratio of device pixels; the glass stays as it is.
    const now = (pixels * ratio) / devicePixelRatio;
    return Number.isFinite(now) && now > 0 ? now : null;
  } catch {
    return null;
  }
}

let trial = null;

/** Pixels a millimetre, as measured or as assumed for this sort of device. */
export function pixelsAMm() {
  const touch = matchMedia("(pointer: coarse)").matches;
  return trial ?? kept() ?? (touch ? SIZES.PIXELS_A_MM_BY_TOUCH : SIZES.PIXELS_A_MM_BY_POINTER);
}

export const isMeasured = () => kept() !== null;

export function keep(pixels) {
  try {
    localStorage.setItem(KEPT_AS, JSON.stringify({ pixels, ratio: devicePixelRatio }));
  } catch {
    trial = pixels; // storage is shut: the measure holds until the page is closed
  }
}

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
