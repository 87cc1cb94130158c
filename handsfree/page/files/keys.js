// Keys: what foot pedals and presentation remotes send does all that touch does.

import { CHOICES } from "./numbers.js";

const MORE = ["ArrowRight", "ArrowUp", "PageUp"]; // on a wheel up is more
const LESS = ["ArrowLeft", "ArrowDown", "PageDown"];

/** Listens to keys; `page` gives what is open and does what they mean. */
export function onKeys(page) {
  const focused = () => page.nav.contains(document.activeElement);
  let talking = null; // the key that is held to talk

  function moveFocus(by) {
    const list = [...page.nav.children];
    const index = list.indexOf(document.activeElement);
    const from = index < 0 && by < 0 ? 0 : index;
    const node = list[(from + by + list.length) % list.length];
    node?.focus();
    if (node) page.focused(node);
    return true;
  }

  /** What confirm does: the target that has the focus, else the one that stands out, if any. */
  function chosen() {
    if (focused()) return document.activeElement;
    return page.nav.querySelector(".first");
  }

  function wheelKey(key, meaning, wheel) {
    if (MORE.includes(key)) wheel.turn(1);
    else if (LESS.includes(key)) wheel.turn(-1);
    else if (meaning === "confirm" && focused()) chosen().click();
    else if (meaning === "confirm") wheel.use();
    else return false;
    return true;
  }

  function pickKey(meaning) {
    if (meaning === "next") return moveFocus(1);
    if (meaning === "back") return moveFocus(-1);
    if (meaning !== "confirm") return false;
    const target = chosen();
    if (!target) return moveFocus(1); // nothing stands out: confirm takes nothing unseen
    target.click();
    return true;
  }

  /**
   * On a sheet the helper goes on with the page: its voice says more. Back turns back, and from the
   * first screen leads to the reply before.
   */
  function sheetKey(meaning) {
    if (meaning === "confirm" && focused()) chosen().click();
    else if (meaning === "next") {
      page.turn(1);
      page.press("next");
    } else if (meaning === "back") page.turnBack();
    else if (meaning === "confirm" && page.isAsked()) page.press("confirm");
    else if (meaning === "confirm") page.ask();
    else return false;
    return true;
  }

  function typeKey(key, mode) {
    if (key !== "Enter" || focused()) return false;
    page.send(mode.text);
    return true;
  }

  /** Held, it is the whole request. */
  function talk(event) {
    if (talking) return;
    talking = event.key;
    page.press("talk", true, true);
  }

  function hushed() {
    if (!talking) return;
    talking = null;
    page.press("talk", false, true);
  }

  /** Whether the key meant something here. */
  function did(event) {
    const { key } = event;
    const mode = page.mode();
    const typing = mode?.type && key.length === 1;
    const meaning = typing ? null : CHOICES.keys[key];
    if (meaning === "stop") {
      page.press("stop");
      if (mode) page.back();
    } else if (meaning === "again") page.press("again");
    else if (meaning === "talk" && page.hasHelper()) talk(event);
    else if (mode?.type) return typeKey(key, mode);
    else if (meaning) return doHere(key, meaning, mode);
    else if (/^[a-z0-9.]$/i.test(key)) page.type(key);
    else return false;
    return true;
  }

  /** Without a helper to talk to, the talk key goes on, or takes what stands. */
  function doHere(key, meaning, mode) {
    const alone = meaning === "talk";
    const wheel = page.wheel();
    if (wheel) return wheelKey(key, alone ? "confirm" : meaning, wheel);
    if (mode?.lines && (alone || meaning !== "confirm")) {
      page.turnLines(meaning === "back" ? -1 : 1);
      return true;
    }
    if (page.picking()) return pickKey(alone ? "confirm" : meaning);
    return sheetKey(alone ? "next" : meaning);
  }

  addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey || event.key === "Tab") return;
    // A pedal that is stood on turns a wheel on and on; it confirms, stops and asks only once.
    const once = !["next", "back"].includes(CHOICES.keys[event.key]);
    const typed = page.mode()?.type && event.key.length === 1;
    if (event.repeat && once && !typed) event.preventDefault();
    else if (did(event)) event.preventDefault();
  });
  addEventListener("keyup", (event) => {
    // A browser clicks a focused target when space comes up.
    if (event.key === " " && !page.mode()?.type) event.preventDefault();
    if (event.key === talking) hushed();
  });
  // A key that comes up elsewhere is never seen to come up.
  addEventListener("blur", hushed);
  document.addEventListener("visibilitychange", () => document.hidden && hushed());
}
