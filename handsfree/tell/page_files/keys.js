// Keys: what foot pedals and presentation remotes send does all that touch does.

const NEXT = ["ArrowRight", "ArrowDown", "PageDown"];
const BEFORE = ["ArrowLeft", "ArrowUp", "PageUp"];
const MORE = ["ArrowRight", "ArrowUp", "PageUp"]; // on a wheel up is more
const LESS = ["ArrowLeft", "ArrowDown", "PageDown"];
const DO = ["Enter", " "];

/** Listens to keys; `page` gives what is open and does what they mean. */
export function onKeys(page) {
  const focused = () => page.nav.contains(document.activeElement);

  function moveFocus(by) {
    const list = [...page.nav.children];
    const index = list.indexOf(document.activeElement);
    const from = index < 0 && by < 0 ? 0 : index;
    list[(from + by + list.length) % list.length]?.focus();
    return true;
  }

  /** What enter does: the target that has the focus, else the first. */
  function chosen() {
    if (focused()) return document.activeElement;
    return page.nav.querySelector(".first") ?? page.nav.firstElementChild;
  }

  function wheelKey(key, wheel) {
    if (MORE.includes(key)) page.turnWheel(wheel.more);
    else if (LESS.includes(key)) page.turnWheel(wheel.less);
    else if (DO.includes(key) && focused()) return false;
    else if (DO.includes(key)) wheel.use();
    else return false;
    return true;
  }

  function pickKey(key) {
    if (NEXT.includes(key)) return moveFocus(1);
    if (BEFORE.includes(key)) return moveFocus(-1);
    if (!DO.includes(key)) return false;
    chosen()?.click();
    return true;
  }

  function sheetKey(key) {
    if (DO.includes(key) && focused()) return false;
    if (NEXT.includes(key) || key === " ") page.turn(1);
    else if (BEFORE.includes(key)) page.turn(-1);
    else if (key === "Enter") page.ask();
    else return false;
    return true;
  }

  function typeKey(key, mode) {
    if (key !== "Enter" || focused()) return false;
    page.send(mode.text);
    return true;
  }

  /** Whether the key meant something here. */
  function did(key) {
    const mode = page.mode();
    if (mode && key === "Escape") {
      page.back();
      return true;
    }
    if (mode?.type) return typeKey(key, mode);
    if (mode?.wheel ? wheelKey(key, mode.wheel) : page.picking() ? pickKey(key) : sheetKey(key)) {
      return true;
    }
    if (!/^[a-z0-9.]$/i.test(key)) return false;
    page.type(key);
    return true;
  }

  addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey || event.key === "Tab") return;
    if (did(event.key)) event.preventDefault();
  });
}
