// Draws what is open above the sheet: choices, wheels, the line to type in, pages of text.

import { CHOICES, SIZES } from "./numbers.js";
import { at, make, say } from "./dom.js";
import { cutText, drawScreen } from "./sheet.js";
import { capacity, drawTargets, fillWith, fitTargets, fitting, sentence } from "./targets.js";
import { makeWheel } from "./wheel.js";

const TAPS = "Tap: next. Hold: back.";
const HIGHEST_MM = 48; // of a target beside the sheet

/** `page` gives the screen as it is measured, and leads back. */
export function makeDrawing(page) {
  const { content, nav, body } = page;
  const back = () => ({ text: "Back", name: "back", said: CHOICES.doors.back, act: page.back });

  /** A title and below it a note; nothing that may be pressed. */
  function drawPrompt([title, ...sentences]) {
    content.removeAttribute("style");
    content.className = "text prompt";
    const below = sentences.filter(Boolean).map((text) => make("p", { text }));
    content.replaceChildren(...(title ? [make("h1", { text: title })] : []), ...below);
  }

  function fill(list) {
    body.dataset.nav = "fill";
    fillWith(nav, list, page.screen());
  }

  /**
   * Choices as targets; more than a large screen takes in parts, more than a phone takes as a
   * wheel, so that a slide chooses any of them in one press. `state` keeps which part, and where the wheel stands.
   */
  function drawOptions(prompt, options, extras, state) {
    const screen = page.screen();
    const room = capacity(screen);
    let list = [...options, ...extras];
    if (list.length > room && room < SIZES.TARGETS_A_SCREEN) {
      state.choices ??= wheelOf(list);
      drawWheel(prompt, state.choices, (option) => option.act(), []);
      return;
    }
    state.choices = undefined;
    drawPrompt(prompt);
    if (list.length > room) {
      const part = room - extras.length - 1;
      const parts = Math.ceil(options.length / part);
      state.part = (state.part ?? 0) % parts;
      const more = () => {
        state.part = (state.part + 1) % parts;
        page.draw();
      };
      list = [
        ...options.slice(state.part * part, (state.part + 1) * part),
        { text: "More", name: "more", act: more },
        ...extras,
      ];
    }
    fill(list);
  }

  const wheelOf = (list) => makeWheel({
    rings: [{ values: list }], start: list.find(({ first }) => first) ?? list[0],
    words: ["", ""], round: true, kind: "option",
  });

  const shownOf = (value) => value.shown ?? value.text;
  const saidOf = (value) => value.said ?? value.words ?? value.text;

  /** One value to take, less and more on both sides of it. */
  function drawWheel(prompt, wheel, take, extras) {
    const screen = page.screen();
    drawPrompt(prompt);
    if (wheel.value().pixels) drawCard(wheel.value().pixels);
    const near = (by) => {
      const value = wheel.near(by);
      return value && !value.pixels ? shownOf(value) : "";
    };
    const side = (word, name, by) => ({
      text: word || near(by), name, act: () => turn(by), repeat: () => turn(by),
      ...(word && !wheel.value().pixels ? { small: near(by) } : {}),
    });
    const turn = (by) => {
      wheel.turn(by);
      refresh();
      page.turned(wheel.value());
    };
    let from = null; // where the wheel stood when the slide began
    const slide = {
      by: (steps) => {
        if (steps && from === null) from = wheel.place();
        wheel.put((from ?? wheel.place()) + steps);
        refresh();
        page.turned(wheel.value());
      },
      lifted: () => {
        from = null;
        take(wheel.value());
      },
      cancelled: () => {
        wheel.put(from);
        from = null;
        refresh();
      },
    };
    const column = fitting(screen.width) < 3 && !screen.low;
    const less = side(wheel.words[0], "less", -1);
    const more = side(wheel.words[1], "more", 1);
    const use = {
      text: shownOf(wheel.value()), name: "use", value: true, small: underOf(wheel.value()),
      verb: column || screen.low || wheel.kind === "option" ? undefined : "Use",
      act: () => take(wheel.value()), first: true, whole: !column && !screen.low, slide, held: page.isOpen() ? page.back : null, holdMs: SIZES.HOLD_BACK_MS,
    };
    const ring = wheel.ringAfter();
    const others = [
      ...(ring ? [{ text: ring, name: "ring", act: () => turnRing(wheel) }] : []),
      ...extras,
    ];
    // A phone has room for the wheel alone; elsewhere its value spans what turns it and the rest.
    const alone = column ? [more, use, less] : [less, use, more];
    const list = column || screen.low
      ? alone : [use, less, more, ...others.slice(0, capacity(screen) - 3)];
    const columns = column ? 1 : screen.low ? 3 : screen.wide ? list.length - 1 : 2;
    body.dataset.nav = "fill";
    drawTargets(nav, list, columns, screen.mm);
    if (column) nav.style.gridTemplateRows = "1fr 1.2fr 1fr";
    const named = (name) => nav.querySelector(`[data-target="${name}"]`);
    function refresh() {
      const value = wheel.value();
      const node = named("use");
      node.firstChild.textContent = sentence(shownOf(value));
      node.querySelector("small").textContent = underOf(value);
      node.dataset.option = value.name ?? shownOf(value);
      const names = [shownOf(value), underOf(value), saidOf(value), "use"].filter(Boolean);
      node.setAttribute("aria-label", [...new Set(names)].join(", "));
      for (const [name, word, by] of [["less", wheel.words[0], -1], ["more", wheel.words[1], 1]]) {
        const small = named(name).querySelector("small");
        if (small) small.textContent = near(by);
        else named(name).firstChild.textContent = word || sentence(near(by));
      }
      if (value.pixels) drawCard(value.pixels);
      fitTargets(nav, screen.mm, 16);
    }
    page.wheelIs({ turn, use: () => take(wheel.value()) });
    refresh();
    const leave = page.isOpen() ? " Hold the middle: back." : "";
    if (list === alone) say(at("foot"), `Slide: change. Tap: take.${leave}`);
  }

  const underOf = (value) => value.under ?? value.small ?? "";

  function turnRing(wheel) {
    wheel.turnRing();
    page.draw();
    page.turned(wheel.value());
  }

  function drawCard(pixels) {
    const long = SIZES.CARD_LONG_MM * SIZES.PIXELS_A_MM_MOST < innerWidth;
    const edge = long ? SIZES.CARD_LONG_MM : SIZES.CARD_SHORT_MM;
    const text = `${long ? "long" : "short"} edge of a bank card`;
    const card = make("div", { className: "card", text });
    card.style.width = `${edge * pixels}px`;
    content.replaceChildren(card);
  }

  function drawType(mode) {
    drawPrompt(["What do you want to know?"]);
    const line = make("input");
    Object.assign(line, { type: "text", value: mode.text, maxLength: SIZES.WORDS_AT_MOST,
      autocomplete: "off", autocapitalize: "none", spellcheck: false, enterKeyHint: "send" });
    line.setAttribute("aria-label", "What do you want to know?");
    line.addEventListener("input", () => (mode.text = line.value));
    content.append(line);
    fill([
      { text: "Ask", name: "send", act: () => page.send(line.value), first: true },
      back(),
    ]);
    line.focus();
  }

  /** Targets beside or under the sheet. */
  function drawRow(list) {
    const screen = page.screen();
    body.dataset.nav = screen.wide && !screen.small ? "side" : "row";
    const columns = body.dataset.nav === "side" ? 1 : list.length;
    drawTargets(nav, list, columns, screen.mm);
    const row = `${SIZES.TARGET_MM * screen.mm}px`;
    if (body.dataset.nav === "row") nav.style.gridAutoRows = row;
    else if (list.length < 3) nav.style.gridAutoRows = `minmax(${row}, ${HIGHEST_MM * screen.mm}px)`;
    fitTargets(nav, screen.mm, 8);
  }

  /** Lines to read, as many screens as they need. */
  function drawLines(mode) {
    const { small, low } = page.screen();
    const next = { text: "Next", name: "next", act: () => turnLines(mode, 1), first: true };
    const leave = back();
    // A phone needs all its room for the lines: there a tap goes on.
    body.dataset.nav = "none";
    if (small) say(at(low ? "place" : "foot"), TAPS);
    else drawRow([leave, next]);
    const screens = cutText({ title: mode.title, items: mode.lines() }, content);
    mode.index = Math.min(mode.index ?? 0, screens.length - 1);
    mode.count = screens.length;
    if (screens.length === 1 && !small) drawRow([leave]);
    drawScreen(screens[mode.index], content, page.screen().mm);
    if (mode.picture && mode.index === 0) mode.picture(content);
    const place = `${mode.index + 1} of ${screens.length}`;
    if (screens.length > 1) say(at("place"), low ? `${place} \u2013 ${TAPS}` : place);
  }

  function turnLines(mode, by) {
    mode.index = (mode.index + by + mode.count) % mode.count;
    page.draw();
  }

  return { back, drawPrompt, drawOptions, drawWheel, drawType, drawRow, drawLines, turnLines, fill };
}
