// The panel of what is chosen: where it is, as it is taped, how it is aimed, of which type it is.

import { button, field, made, offer, plain } from "./made.js";

const LONGEST = 100; // letters of what is typed as a length

/** Gives an element the key by which the focus finds it again when the panel is filled anew. */
const keyed = (key, element) => {
  element.dataset.key = key;
  return element;
};

function select(options, value, act) {
  const list = made("select");
  offer(list, options, value);
  list.addEventListener("change", () => act(list.value));
  return list;
}

/** Has a field ask when it is left, or at Enter, if it says something else; Escape, and nothing at all, puts back what it said. */
function typed(input, act) {
  input.dataset.said = input.value;
  const leave = () => {
    input.value = input.dataset.said;
    input.dispatchEvent(new Event("left", { bubbles: true }));
  };
  input.addEventListener("change", () => {
    if (input.value.trim() === "") return leave();
    input.dataset.said = input.value;
    act(input.value);
  });
  input.addEventListener("keydown", (event) => { if (event.key === "Escape") leave(); });
  return input;
}

const text = (value, act) => typed(made("input", { type: "text", value, maxLength: LONGEST, autocomplete: "off", spellcheck: false }), act);

/** Whether something is being typed in a field, or its range is in somebody's hand. */
const busy = (input) => input.dataset.held === "yes" || (input.dataset.said !== undefined && input.value !== input.dataset.said);

/** A range whose panel is left as it is while a pointer holds it. */
function held(range) {
  range.addEventListener("pointerdown", () => { range.dataset.held = "yes"; });
  for (const kind of ["pointerup", "pointercancel", "blur"]) range.addEventListener(kind, () => { delete range.dataset.held; });
  return range;
}

function slider(key, words, value, low, high, step, act) {
  const range = keyed(key, held(made("input", { type: "range", min: low, max: high, step, value: value.toFixed(1), ariaLabel: words })));
  const number = made("input", { type: "number", min: low, max: high, step: "0.1", value: value.toFixed(1), ariaLabel: `${words}, degrees` });
  keyed(`${key} figure`, typed(number, (said) => act(Math.min(high, Math.max(low, Number(said))), false)));
  range.addEventListener("input", () => {
    number.value = range.value;
    act(Number(range.value), true);
  });
  range.addEventListener("change", () => act(Number(range.value), false));
  return made("div", { className: "slider", role: "group", ariaLabel: words }, made("span", { textContent: words }), range, number, made("span", { textContent: "°" }));
}

/** What is chosen, with `ask(act, what)` for what is to be done to it and `step(act, what)` for what goes on. */
export class Chosen {
  constructor(holder, ask, step) {
    Object.assign(this, { holder, ask, step });
    this.turning = null;
    this.far = null;
    this.slide = null; // by how much to slide what is chosen, and where that holds
    this.told = null; // what was to be shown last, and what is
    this.filled = null;
    this.stale = false; // whether fields may say what does not hold
    holder.addEventListener("left", () => this.fill(...this.told));
  }

  /** Shows what is chosen, or where nothing is, the height of the map. What somebody is at is left as it is until it is let go. */
  fill(what, plane) {
    this.told = [what, plane];
    const said = JSON.stringify(this.told);
    if (said === this.filled && !this.stale) return;
    const inside = this.holder.contains(document.activeElement) ? document.activeElement : null;
    if (inside && busy(inside) && what?.name === this.what?.name) {
      const words = this.holder.querySelector(".aim-words");
      if (words && what?.aim) words.textContent = plain(what.aim.words);
      return;
    }
    Object.assign(this, { what, filled: said, stale: false });
    this.holder.replaceChildren(...(what === null ? this.nothing(plane) : this.something(what)));
    if (inside) this.back(inside.dataset.key);
  }

  /** Puts the focus back to where it was, or where that is gone, to the top of the panel. */
  back(key) {
    const there = key && this.holder.querySelector(`[data-key="${CSS.escape(key)}"]`);
    (there || this.holder.querySelector("h2")).focus();
  }

  /** Offers to slide a thing clear by what a message says, as long as it is shown as it now is. */
  slideTo(message) {
    this.slide = message.words ? { ...message, holds: this.filled } : null;
    const ends = this.holder.querySelector(".ends");
    if (!ends) return;
    const focus = ends.contains(document.activeElement) ? document.activeElement.dataset.key : null;
    ends.replaceWith(this.ends(this.what));
    if (focus) this.back(focus);
  }

  nothing(plane) {
    const height = keyed("plane", text(plane.text, (value) => this.ask("plane", { text: value })));
    const [low, high] = plane.from_to;
    const range = keyed("plane range", held(made("input", { type: "range", min: low, max: high, step: 0.005, value: plane.height, ariaLabel: "Height of the map" })));
    range.addEventListener("input", () => this.step("plane", { metres: Number(range.value), gesture: this.gesture(true), rough: true }));
    range.addEventListener("change", () => this.ask("plane", { metres: Number(range.value), gesture: this.gesture(false) }));
    return [
      made("h2", { textContent: "Nothing chosen", tabIndex: -1 }),
      made("p", { className: "soft", textContent: "Choose a speaker or a seat in the room or in the table: drag it, type a tape measurement, tilt and turn it." }),
      field("Height of the map over the floor", height),
      range,
    ];
  }

  something(what) {
    const parts = [made("h2", { tabIndex: -1 }, made("bdi", { textContent: what.called })), made("p", { className: "soft", textContent: what.words })];
    if (what.types?.length) {
      const types = select(what.types, what.type, (value) => this.ask("retype", { thing: what.name, type: value }));
      parts.push(field("Type", keyed("type", types)));
    }
    parts.push(this.place(what));
    if (what.aim) parts.push(this.aim(what));
    parts.push(this.ends(what));
    return parts;
  }

  /** What is done to all of it with one press. */
  ends(what) {
    const press = (act, words) => keyed(act, button(words, () => this.ask(act, { thing: what.name })));
    const parts = [];
    if (this.slide?.holds === this.filled) parts.push(press("clear", `Slide it clear: ${this.slide.words}`));
    if (what.partner) parts.push(press("mirror", `Mirror to ${what.partner}`));
    if (what.changed) parts.push(press("revert", "As it was opened"));
    return made("div", { className: "group ends" }, ...parts);
  }

  place(what) {
    const rows = what.fields.map((one) => {
      const input = text(one.text, (value) => this.ask("tape", { thing: what.name, key: one.key, text: value }));
      return field(one.words, keyed(`tape ${one.key}`, input));
    });
    const group = made("fieldset", {}, made("legend", { textContent: "Place" }), made("div", { className: "fields" }, ...rows));
    if (what.ways.length > 1) {
      const ways = select(what.ways, what.way, (value) => this.ask("remeasure", { thing: what.name, way: Number(value) }));
      group.append(field("Taped", keyed("ways", ways)));
    }
    group.append(this.pad(what));
    return group;
  }

  /** Four arrows that move it along its face by a step. */
  pad(what) {
    if (!what.steps.some((step) => step.id === this.far)) this.far = what.steps[1].id;
    const by = keyed("far", select(what.steps, this.far, (value) => { this.far = value; }));
    const arrows = [["←", -1, 0, "left"], ["↑", 0, 1, what.ways_of_pad[0]], ["↓", 0, -1, what.ways_of_pad[1]], ["→", 1, 0, "right"]];
    const pads = arrows.map(([sign, right, up, words]) => {
      const called = { ariaLabel: `Move ${words}`, title: `Move ${words}`, className: "arrow" };
      return keyed(`pad ${words}`, button(sign, () => this.nudge(what.name, right, up), called));
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
    if (aim.limit) group.append(slider("tilt", "Tilt", aim.tilt, 0, aim.limit, 0.5, turn(true, false)));
    if (aim.turns) group.append(slider("heading", "Turned to", aim.heading ?? 0, 0, 360, 1, turn(false, true)));
    if (aim.faces !== null) {
      const face = (value, goes) => {
        const told = { thing: what.name, heading: value, gesture: this.gesture(goes) };
        if (goes) this.step("face", { ...told, rough: true });
        else this.ask("face", told);
      };
      group.append(slider("faces", "Faces", aim.faces, 0, 360, 1, face));
    }
    if (aim.turns || aim.faces !== null) group.append(made("p", { className: "soft", textContent: "0° to the front, 90° to the right" }));
    const ends = [];
    if (aim.aims) {
      const seats = [{ id: "", words: "a seat" }, ...aim.seats.map((name) => ({ id: name, words: name }))];
      const at = (seat) => seat && this.ask("aim", { thing: what.name, at: "seat", seat });
      ends.push(keyed("aim main", button("Aim at the main seats", () => this.ask("aim", { thing: what.name, at: "main" }))));
      ends.push(field("or at", keyed("aim seat", select(seats, "", at))));
    }
    if (aim.straightens) ends.push(keyed("aim none", button("Square to its face", () => this.ask("aim", { thing: what.name, at: "none" }))));
    if (ends.length) group.append(made("div", { className: "group" }, ...ends));
    return group;
  }
}
