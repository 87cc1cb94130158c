// What goes on now: the words that are being said, how loud they are, what can be said, what fails.

import { SIZES } from "./numbers.js";
import { at, make, say } from "./dom.js";

const WAITING = "waiting for the phrase";

/** What the ear does, short enough for the bar; how to call it stands below. */
export const earWords = (ear) => (ear === WAITING ? "waiting" : ear);

const share = (level) => 1 - level / SIZES.METER_LEAST_DB;
const QUIET = share(SIZES.METER_QUIET_DB);
const LOUD = share(SIZES.METER_LOUD_DB);

/** The loudness in words; quiet is only meant of somebody who talks. */
function levelWords({ level, partial }) {
  if (level >= LOUD) return "too loud";
  return partial && level < QUIET ? "too quiet" : "";
}

/** Draws what goes on; without a helper behind the page, or without a link, there is nothing. */
export function drawNow(notice, silence) {
  const runs = Boolean(notice?.keys);
  at("now").hidden = !runs;
  drawFaults(notice?.faults ?? []);
  drawTimers(notice?.timers ?? [], silence);
  if (!runs) return;
  const open = notice.level !== null;
  at("meter").hidden = !open;
  if (open) at("meter").firstChild.style.width = `${100 * notice.level}%`;
  const loudness = open ? levelWords(notice) : "";
  const offered = notice.can_say.join(", ");
  const waits = notice.ear === WAITING && notice.phrase;
  const call = waits ? `Say \u201c${notice.phrase}\u201d, then ` : "Say: ";
  const offer = offered || waits ? `${call}${offered || "what you want to know."}` : "";
  const heard = notice.partial && `\u201c${notice.partial}\u201d`;
  at("now").toggleAttribute("data-idle", !heard && !loudness && !notice.advice);
  say(at("now-words"), [loudness, heard || notice.advice || offer].filter(Boolean).join(". "));
}

/** What fails, in its first sentence; what to do about it is on the sheet's screen of faults. */
function drawFaults(faults) {
  const node = at("faults");
  const first = faults.map(({ sentence }) => sentence.split(/(?<=[.!?]) /)[0]);
  const text = first.join("\n");
  node.hidden = !faults.length;
  if (node.dataset.text === text) return;
  node.dataset.text = text;
  node.replaceChildren(...first.map((sentence) => make("li", { text: sentence })));
}

/** A time as it runs down: minutes and seconds, hours where there are any. */
export function clock(seconds) {
  const whole = Math.max(0, Math.ceil(seconds));
  const two = (number) => String(number).padStart(2, "0");
  const hours = Math.floor(whole / 3600);
  const minutes = Math.floor((whole % 3600) / 60);
  return hours ? `${hours}:${two(minutes)}:${two(whole % 60)}` : `${minutes}:${two(whole % 60)}`;
}

function drawTimers(timers, silence) {
  const node = at("timers");
  node.hidden = !timers.length;
  const lines = timers.map((timer) => {
    const left = timer.left - silence;
    const over = timer.ringing || left <= 0;
    return make("li", {
      className: timer.ringing ? "ringing" : "",
      inside: [
        make("span", { text: timer.name }),
        make("b", { text: over ? "time is up" : clock(left) }),
      ],
    });
  });
  node.replaceChildren(...lines);
}
