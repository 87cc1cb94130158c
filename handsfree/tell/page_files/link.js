// The link to the helper: what it shows comes in, words go out; a cut link is noticed.

import { SIZES } from "./numbers.js";

const TRY_AGAIN_MS = 1000;
const now = () => ({ steady: performance.now(), wall: Date.now() });
// A device that slept stops its steady clock; the wall clock may be set. The longer time is safe.
const since = (then) =>
  Math.max(performance.now() - then.steady, Date.now() - then.wall, 0) / 1000;

/** Calls `changed(link)` at each event and when the link is lost or found. */
export function openLink(changed) {
  const link = {
    notice: null,
    lost: false,
    heardAt: now(),
    silence: () => since(link.heardAt),
    age: () => (link.notice ? link.notice.age + since(link.heardAt) : 0),
    take(notice) {
      link.notice = notice;
      link.heardAt = now();
      link.lost = false;
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

/** Sends words; gives the board after the answer, or throws an Error with a sentence. */
export async function ask(words) {
  let reply;
  try {
    reply = await fetch("ask", {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ words: words.slice(0, SIZES.WORDS_AT_MOST) }),
    });
  } catch {
    throw new Error("The helper cannot be reached. Nothing was asked.");
  }
  const body = await reply.json().catch(() => ({}));
  if (!reply.ok) throw new Error(body.error ?? "The helper could not answer. Ask again.");
  return body;
}
