// What this device can do for the page: stay awake, be installed, work without the helper.

import { make } from "./dom.js";

const LOOK_AGAIN_MS = 1500;
let lock = null;
let awake = "";

/** Keeps the screen on while the page is seen; browsers allow it on this machine or over https. */
async function stayAwake() {
  if (!("wakeLock" in navigator)) {
    awake = isSecureContext
      ? "This browser cannot keep the screen on: set its time-out to never."
      : "Over plain http a browser cannot keep the screen on: set its time-out to never, "
        + "or start the helper with ‑‑https.";
    return;
  }
  try {
    lock = await navigator.wakeLock.request("screen");
    awake = "The screen stays on while this page is open.";
    lock.addEventListener("release", () => (lock = null));
  } catch {
    awake = "The device does not keep the screen on now; a low battery does that.";
  }
}

/** Keeps a copy of the page on the device, so that it opens, and says so, without the helper. */
async function keepCopy() {
  if (!("serviceWorker" in navigator)) return false;
  try {
    await navigator.serviceWorker.register("worker.js", { scope: "./" });
    return true;
  } catch {
    return false; // a certificate that the device does not trust
  }
}

export function startDevice() {
  stayAwake();
  keepCopy();
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden && !lock) stayAwake();
  });
}

const isInstalled = () => matchMedia("(display-mode: standalone), (display-mode: fullscreen)").matches;

function copyWords() {
  if (!isSecureContext) {
    return "Over plain http it cannot be installed, and does not open without the helper: "
      + "‑‑https lets it.";
  }
  if (isInstalled()) return "It is installed on this device.";
  const ready = navigator.serviceWorker?.controller;
  return ready
    ? "It can be installed from the browser's menu, and opens without the helper too."
    : "The browser keeps no copy yet: without the helper it will not open.";
}

/** What this device does, and, on the helper's own screen, how others join. */
export function makeDevice(page) {
  const tell = () => fetch("share").then((reply) => (reply.ok ? reply.json() : null))
    .catch(() => null);

  function linesOf(share) {
    const own = [awake, copyWords()];
    if (share?.off) {
      own.unshift("Only this machine sees the page. To show it on a tablet or a phone, start the "
        + "helper with ‑‑share.");
    }
    if (share?.secure) {
      own.push("This device warns of the helper's certificate until you install it: open "
        + `${location.origin}/helper.crt and trust it for websites.`);
    }
    return own;
  }

  async function open() {
    const share = await tell();
    if (share?.code) openPairing(share);
    else page.open({ title: "Devices", lines: () => linesOf(share) });
  }

  /** The code stands here until it was used; the next one takes its place at once. */
  function openPairing(share) {
    const mode = { title: "", lines: () => [""], picture: (content) => drawCode(content, mode.share) };
    mode.share = share;
    page.open(mode);
    const timer = setInterval(async () => {
      if (!page.isTop(mode)) return clearInterval(timer);
      const now = await tell();
      if (now?.code && now.code !== mode.share.code) {
        mode.share = now;
        page.draw();
      }
    }, LOOK_AGAIN_MS);
  }

  return { open };
}

const spaced = (code) => code.replace(/(...)(?=.)/g, "$1 ");

function drawCode(content, { qr, code, address, paired }) {
  const picture = make("img", { className: "qr" });
  picture.src = qr;
  picture.alt = `QR code of ${address}`;
  const count = ["No device is", "One device is"][paired] ?? `${paired} devices are`;
  const words = make("div", { inside: [
    make("p", { text: "Scan, or open" }),
    make("p", { className: "address", text: address.replace(/\/$/, "") }),
    make("p", { text: "and type" }),
    make("p", { className: "code", text: spaced(code) }),
    make("p", { text: `It works once. ${count} paired.` }),
  ] });
  content.className = "pairing";
  content.removeAttribute("style");
  content.replaceChildren(picture, words);
}
