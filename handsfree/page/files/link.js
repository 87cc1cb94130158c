// The link to the helper: what it shows comes in, words go out; a cut link is noticed.

import { SIZES } from "./numbers.js";

const TRY_AGAIN_MS = 1000;
const LAST = "helper.last";
const now = () => ({ steady: performance.now(), wall: Date.now() });
// A device that slept stops its steady clock; the wall clock may be set. The longer time is safe.
const since = (then) =>
  Math.max(performance.now() - then.steady, Date.now() - then.wall, 0) / 1000;

/** The last answer stays on the device, to be shown with its age when the helper is not there. */
function keepLast(notice) {
  const key = `${notice.run} ${notice.number}`;
  if (!notice.told || key === kept) return;
  kept = key;
  try {
    localStorage.setItem(LAST, JSON.stringify({ notice, at: Date.now() }));
  } catch {
    // storage is shut or full: then there is nothing to show without the helper
  }
}
let kept = "";

function showLast(link) {
  try {
    const last = JSON.parse(localStorage.getItem(LAST));
    if (!last?.notice?.told) return;
    link.notice = { ...last.notice, keys: false, speaks: false, faults: [], timers: [] };
    link.heardAt = { steady: performance.now(), wall: last.at };
  } catch {
    // nothing was kept
  }
}

/** Calls `changed(link)` at each event and when the link is lost or found. */
export function openLink(changed) {
  const link = {
    notice: null,
    lost: false,
    heardAt: now(),
    silence: () => since(link.heardAt),
    age: () => (link.notice ? link.notice.age + since(link.heardAt) : 0),
    take(notice) {
      // A reply is sent once; what comes after it until the next one leaves it out.
      link.notice = "told" in notice ? notice : { ...notice, told: link.notice?.told ?? null };
      link.heardAt = now();
      link.lost = false;
      keepLast(link.notice);
      changed(link);
    },
  };
  let source = null;
  let retry = null;
  const close = () => {
    clearTimeout(retry);
    source?.close();
    source = null;
  };
  const open = () => {
    close();
    source = new EventSource("events");
    source.onmessage = (event) => link.take(JSON.parse(event.data));
    source.onerror = () => {
      close();
      link.lost = true;
      if (!link.notice) showLast(link);
      changed(link);
      retry = setTimeout(open, TRY_AGAIN_MS);
    };
  };
  // A browser holds few streams to one host: a page that is not seen gives its stream back.
  document.addEventListener("visibilitychange", () => (document.hidden ? close() : open()));
  setInterval(() => {
    if (!link.lost && !document.hidden && link.silence() > SIZES.LOST_S) {
      link.lost = true;
      changed(link);
      open();
    }
  }, 500);
  if (!document.hidden) open();
  return link;
}

/** Posts a JSON object; gives the reply's object, or throws an Error with a sentence. */
async function post(where, what, sentence) {
  let reply;
  try {
    reply = await fetch(where, {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify(what),
      keepalive: true,
    });
  } catch {
    throw new Error(`The helper cannot be reached. ${sentence}`);
  }
  if (reply.status === 204) return null;
  const body = await reply.json().catch(() => ({}));
  if (!reply.ok) throw new Error(body.error ?? `The helper could not do that. ${sentence}`);
  return body;
}

/** Sends words; gives the board after the answer. */
export const ask = (words) =>
  post("ask", { words: words.slice(0, SIZES.WORDS_AT_MOST) }, "Nothing was asked.");

// Down and up must arrive in their order, so each waits for the one before.
let pressed = Promise.resolve();

/** Tells the helper of a key that went down or came up. */
export function press(key, down = true, holds = false) {
  const sent = () => post("key", { key, down, holds }, "The key did nothing.");
  const done = pressed.then(sent);
  pressed = done.catch(() => {});
  return done;
}

/** Has the helper say a prompt of ours, a choice of ours, or both. */
export const speak = (prompt, choice) => post("speak", { prompt, choice }, "").catch(() => {});
