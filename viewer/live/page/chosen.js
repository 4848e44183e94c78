// The panel of what is chosen: where it is, as it is taped, how it is aimed, of which type it is.

import { made } from "./table.js";

const button = (words, act, what = {}) => {
  const element = made("button", { type: "button", textContent: words, ...what });
  element.addEventListener("click", act);
  return element;
};

const field = (words, input) => made("label", { className: "field" }, made("span", { textContent: words }), input);

function select(options, value, act) {
  const list = made("select", {}, ...options.map(({ id, words }) => made("option", { value: id, textContent: words, selected: id === value })));
  list.addEventListener("change", () => act(list.value));
  return list;
}

/** A text field that asks when it is left, or at Enter, if it says something else; Escape puts back what it said. */
function text(value, act, what = {}) {
  const input = made("input", { type: "text", value, autocomplete: "off", spellcheck: false, ...what });
  input.addEventListener("change", () => act(input.value));
  input.addEventListener("keydown", (event) => {
    if (event.key === "Escape") input.value = value;
  });
  return input;
}

/** A range whose panel is left as it is while a pointer holds it. */
function held(range) {
  range.addEventListener("pointerdown", () => { range.dataset.held = "yes"; });
  for (const kind of ["pointerup", "pointercancel", "blur"]) range.addEventListener(kind, () => { delete range.dataset.held; });
  return range;
}

function slider(words, value, low, high, step, act) {
  const range = held(made("input", { type: "range", min: low, max: high, step, value: value.toFixed(1), ariaLabel: words }));
  const number = made("input", { type: "number", min: low, max: high, step: "0.1", value: value.toFixed(1), ariaLabel: `${words}, degrees` });
  range.addEventListener("input", () => {
    number.value = range.value;
    act(Number(range.value), true);
  });
  range.addEventListener("change", () => act(Number(range.value), false));
  number.addEventListener("change", () => act(Number(number.value), false));
  return made("div", { className: "slider", role: "group", ariaLabel: words }, made("span", { textContent: words }), range, number, made("span", { textContent: "°" }));
}

/** What is chosen, with `ask(act, what)` for what is to be done to it and `step(act, what)` for what goes on. */
export class Chosen {
  constructor(holder, ask, step) {
    Object.assign(this, { holder, ask, step });
    this.turning = null;
    this.far = null;
  }

  fill(what, plane) {
    const inside = this.holder.contains(document.activeElement) ? document.activeElement : null;
    if (inside?.type === "range" && inside.dataset.held) { // under somebody's hand
      const words = this.holder.querySelector(".aim-words");
      if (words && what?.aim) words.textContent = what.aim.words;
      return;
    }
    const key = inside?.dataset.key;
    this.holder.replaceChildren(...(what === null ? this.nothing(plane) : this.something(what)));
    if (key) this.holder.querySelector(`[data-key="${CSS.escape(key)}"]`)?.focus();
  }

  nothing(plane) {
    const height = text(plane.text, (value) => this.ask("plane", { text: value }));
    height.dataset.key = "plane";
    const [low, high] = plane.from_to;
    const range = held(made("input", { type: "range", min: low, max: high, step: 0.005, value: plane.height, ariaLabel: "Height of the map" }));
    range.dataset.key = "plane range";
    range.addEventListener("input", () => this.step("plane", { metres: Number(range.value), gesture: this.gesture(true), rough: true }));
    range.addEventListener("change", () => this.ask("plane", { metres: Number(range.value), gesture: this.gesture(false) }));
    return [
      made("h2", { textContent: "Nothing chosen" }),
      made("p", { className: "soft", textContent: "Choose a speaker or a seat in the room or in the table: drag it, type a tape measurement, tilt and turn it." }),
      field("Height of the map over the floor", height),
      range,
    ];
  }

  something(what) {
    const parts = [made("h2", {}, made("bdi", { textContent: what.called })), made("p", { className: "soft", textContent: what.words })];
    if (what.types?.length) {
      const types = select(what.types, what.type, (value) => this.ask("retype", { thing: what.name, type: value }));
      types.dataset.key = "type";
      parts.push(field("Type", types));
    }
    parts.push(this.place(what));
    if (what.aim) parts.push(this.aim(what));
    const ends = [];
    if (this.slide?.thing === what.name) ends.push(button(`Slide it clear: ${this.slide.words}`, () => this.ask("clear", { thing: what.name })));
    if (what.partner) ends.push(button(`Mirror to ${what.partner}`, () => this.ask("mirror", { thing: what.name })));
    if (what.changed) ends.push(button("As it was opened", () => this.ask("revert", { thing: what.name })));
    ends.forEach((one, index) => { one.dataset.key = `end ${index}`; });
    if (ends.length) parts.push(made("div", { className: "group ends" }, ...ends));
    return parts;
  }

  place(what) {
    const rows = what.fields.map((one) => {
      const input = text(one.text, (value) => this.ask("tape", { thing: what.name, key: one.key, text: value }));
      input.dataset.key = `tape ${one.key}`;
      return field(one.words, input);
    });
    const group = made("fieldset", {}, made("legend", { textContent: "Place" }), made("div", { className: "fields" }, ...rows));
    if (what.ways.length > 1) {
      const ways = select(what.ways, what.way, (value) => this.ask("remeasure", { thing: what.name, way: value }));
      ways.dataset.key = "ways";
      group.append(field("Taped", ways));
    }
    group.append(this.pad(what));
    return group;
  }

  /** Four arrows that move it along its face by a step. */
  pad(what) {
    if (!what.steps.some((step) => step.id === this.far)) this.far = what.steps[1].id;
    const by = select(what.steps, this.far, (value) => { this.far = value; });
    by.dataset.key = "far";
    const arrows = [["←", -1, 0, "left"], ["↑", 0, 1, what.ways_of_pad[0]], ["↓", 0, -1, what.ways_of_pad[1]], ["→", 1, 0, "right"]];
    const pads = arrows.map(([sign, right, up, words]) => {
      const one = button(sign, () => this.nudge(what.name, right, up), { ariaLabel: `Move ${words}`, title: `Move ${words}`, className: "arrow" });
      one.dataset.key = `pad ${words}`;
      return one;
    });
    return made("div", { className: "pad" }, ...pads, field("by", by));
  }

  nudge(thing, right, up, times = 1) {
    this.ask("nudge", { thing, right: right * times, up: up * times, far: this.far });
  }

  /** What the steps of one turn have in common, while it goes on and at its end. */
  gesture(goes) {
    if (!this.turning) {
      this.turns = (this.turns ?? 0) + 1;
      this.turning = `turn ${this.turns} ${Date.now()}`;
    }
    const gesture = this.turning;
    if (!goes) this.turning = null;
    return gesture;
  }

  aim(what) {
    const { aim } = what;
    const group = made("fieldset", {}, made("legend", { textContent: "Aim" }), made("p", { className: "soft aim-words", textContent: aim.words }));
    const turn = (tilt, heading) => (value, goes) => {
      const told = { thing: what.name, tilt: tilt ? value : null, heading: heading ? value : null, gesture: this.gesture(goes) };
      if (goes) this.step("turn", { ...told, rough: true });
      else this.ask("turn", told);
    };
    if (aim.limit) {
      const tilt = slider("Tilt", aim.tilt, 0, aim.limit, 0.5, turn(true, false));
      tilt.querySelector("[type=range]").dataset.key = "tilt";
      tilt.querySelector("[type=number]").dataset.key = "tilt figure";
      group.append(tilt);
    }
    if (aim.turns) {
      const heading = slider("Turned to", aim.heading ?? 0, 0, 360, 1, turn(false, true));
      heading.querySelector("[type=range]").dataset.key = "heading";
      heading.querySelector("[type=number]").dataset.key = "heading figure";
      group.append(heading);
    }
    if (aim.faces !== null) {
      const face = (value, goes) => {
        const told = { thing: what.name, heading: value, gesture: this.gesture(goes) };
        if (goes) this.step("face", { ...told, rough: true });
        else this.ask("face", told);
      };
      const faces = slider("Faces", aim.faces, 0, 360, 1, face);
      faces.querySelector("[type=range]").dataset.key = "faces";
      faces.querySelector("[type=number]").dataset.key = "faces figure";
      group.append(faces);
    }
    if (aim.turns || aim.faces !== null) group.append(made("p", { className: "soft", textContent: "0° to the front, 90° to the right" }));
    const ends = [];
    if (aim.aims) {
      ends.push(button("Aim at the main seats", () => this.ask("aim", { thing: what.name, at: "main" })));
      ends.push(field("or at", select([{ id: "", words: "a seat" }, ...aim.seats.map((name) => ({ id: name, words: name }))], aim.seat ?? "", (value) => value && this.ask("aim", { thing: what.name, at: "seat", seat: value }))));
    }
    if (aim.straightens) ends.push(button("Square to its face", () => this.ask("aim", { thing: what.name, at: "none" })));
    ends.forEach((one, index) => { (one.querySelector("select") ?? one).dataset.key = `aim ${index}`; });
    if (ends.length) group.append(made("div", { className: "group" }, ...ends));
    return group;
  }
}
