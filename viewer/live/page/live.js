// The live room: joins what is seen, what is told, and what is asked of the program that serves it.

import { Chosen } from "./chosen.js";
import { Link } from "./link.js";
import { savePicture } from "./picture.js";
import { Room } from "./room.js";
import { askToSave, answerSaved } from "./saving.js";
import { Start } from "./start.js";
import { button, made, offer, plain } from "./made.js";
import { Table } from "./table.js";

const at = (id) => document.getElementById(id);
const SAID_FOR = 6000; // milliseconds that what was said stands

class Page {
  constructor() {
    this.figures = null;
    this.opened = null;
    this.chosen = null;
    this.before = false;
    this.choice = { quantity: "off-axis", speaker: null, band: 3 };
    this.room = new Room(at("room").querySelector("canvas"), at("room").querySelector(".names"), {
      picked: (name) => this.pick(name),
      dragged: (thing, ray, gesture) => this.drag(thing, ray, gesture),
      dropped: (thing) => this.ask("drop", { thing }),
      arrived: (stop) => this.arrived(stop),
    });
    this.seats = new Table(at("table"), (name) => this.pick(name));
    this.panel = new Chosen(at("chosen"), (act, what) => this.ask(act, what), (act, what) => this.link.step(act, what));
    this.listen();
    this.link = new Link((message) => this.take(message), (joined) => this.joined(joined));
  }

  // --- what comes in

  joined(whether) {
    document.body.classList.toggle("joining", !whether);
    if (!whether) {
      this.lost = true;
      this.news("The program that serves this page does not answer. Your changes are kept: start it again, and the page that it opens offers them.");
      return;
    }
    if (this.lost) this.news("");
    this.lost = false;
    this.room.forget(); // all of it is told to a page that joins
    this.panel.stale = true;
    this.look();
  }

  async take(message) {
    const acts = {
      room: () => this.begin(message),
      state: () => this.show(message),
      findings: () => this.findings(message),
      clear: () => this.clear(message),
      refused: () => this.refused(message),
      news: () => this.news(message.words, message.choices),
      offers: () => askToSave(at("saving"), message, (what) => this.ask("save", what)),
      saved: () => answerSaved(at("saving"), message),
      start: () => this.start(message),
      opened: () => this.look(),
    };
    this.last = (this.last ?? Promise.resolve()).then(() => acts[message.kind]()).catch((error) => this.say(String(error), true));
    await this.last;
    if (message.n) document.body.dataset.answered = message.n;
  }

  /** What was typed goes back to what holds with the state that follows. */
  refused({ words }) {
    this.panel.stale = true;
    this.say(words, true);
  }

  start(message) {
    document.body.classList.add("empty");
    this.first ??= new Start(at("start"), (act, what) => this.ask(act, what));
    this.first.fill(message);
    document.body.dataset.shown = "start";
  }

  async begin(message) {
    document.body.classList.remove("empty");
    at("start").hidden = true;
    try {
      await this.room.begin(message, message.parts[0]);
    } catch (error) {
      if (this.room.stage) throw error;
      this.blind = true; // no WebGL: the figures work all the same
      document.body.classList.add("blind");
      at("instead").hidden = false;
    }
    const buttons = message.stops.map((stop, index) => {
      const one = button("", () => this.room.goTo(stop.id), { title: `Key ${index + 1}` });
      one.append(made("bdi", { textContent: stop.name }));
      one.dataset.stop = stop.id;
      return one;
    });
    at("stops").replaceChildren(...buttons);
    offer(at("band"), message.bands.map((words, id) => ({ id, words })), this.choice.band);
    document.title = at("title").title = at("title").textContent = plain(message.title);
    if (this.blind) return;
    this.arrived(this.room.stage.stop);
    this.tint();
  }

  tint() {
    this.room.stage?.tint(getComputedStyle(document.body).getPropertyValue("--edge").trim());
  }

  async show(message) {
    Object.assign(this, { figures: message.figures, opened: message.opened ?? this.opened, state: message });
    offer(at("scheme"), message.schemes.map((name) => ({ id: name ?? "", words: name ?? "as it stands" })), message.scheme ?? "");
    at("scheme-field").hidden = message.schemes.length < 2;
    for (const [id, label] of [["undo", message.undo], ["redo", message.redo]]) {
      at(id).disabled = label === null;
      at(id).title = plain(label ?? "");
    }
    at("save").classList.toggle("unsaved", message.unsaved > 0);
    at("save").textContent = message.unsaved ? `Save (${message.unsaved} changed)` : "Save";
    document.body.classList.toggle("before", message.before);
    at("before").setAttribute("aria-pressed", String(message.before));
    this.table();
    this.panel.fill(message.chosen, message.plane);
    this.mapOf();
    this.map = message.map ?? this.map;
    this.key(this.map.key);
    if (message.said || (message.n && !this.room.held)) this.say(message.said);
    at("chosen").inert = message.before; // what is changed is what is, not what was
    if (!this.blind) await this.draw(message);
    document.body.dataset.shown = message.n ?? "";
  }

  async draw({ moved, gone, parts, figures, map, limits }) {
    if (moved >= 0) await this.room.move(parts[moved], gone);
    this.room.name(figures, this.chosen);
    if (map) this.room.paint(map, parts[map.part]);
    this.room.limit(limits);
  }

  table() {
    this.seats.fill(this.figures, this.opened, this.chosen, at("told-as").value);
  }

  findings({ findings }) {
    const list = findings.map((one) => made("li", { className: one.severity },
      made("b", { textContent: { error: "Stop", warning: "Look again", note: "Note" }[one.severity] }),
      made("span", {}, made("bdi", { textContent: one.subject }), `: ${one.message}`)));
    const none = made("p", { className: "soft", textContent: "Nothing stands against it." });
    at("findings").replaceChildren(list.length ? made("ul", {}, ...list) : none);
    const stopped = findings.filter((one) => one.severity === "error").map((one) => one.subject);
    this.room.warn(new Set(stopped));
    const held = findings.find((one) => one.subject === this.room.held?.name && one.severity !== "note");
    if (held) this.say(held.message, true);
  }

  /** Where the hole of the chosen speaker could go, and by how much to slide it there. */
  async clear(message) {
    this.panel.slideTo(message);
    if (!this.blind) await this.room.clear(message.parts[0] ?? null);
  }

  // --- what is told

  say(words, alarm = false) {
    at("said").textContent = plain(words);
    at("said").classList.toggle("alarm", alarm);
    window.clearTimeout(this.saying);
    this.saying = window.setTimeout(() => { at("said").textContent = ""; }, SAID_FOR);
  }

  news(words, choices = []) {
    at("news").hidden = !words;
    const buttons = choices.map(({ act, what, words: label }) => button(label, () => {
      this.news("");
      if (act) this.ask(act, what);
    }));
    at("news").replaceChildren(plain(words), " ", ...buttons);
  }

  mapOf() {
    const speakers = this.figures.speakers.filter((one) => one.judged);
    const set = this.choice.quantity === "level" ? [] : [{ id: "", words: "the whole set" }];
    const one = [{ id: "*", words: "the chosen speaker" }, ...speakers.map(({ name, called }) => ({ id: name, words: called }))];
    offer(at("map-of"), [...set, ...one], this.choice.speaker ?? (set.length ? "" : "*"));
    at("map-of").parentElement.hidden = ["spread", ""].includes(this.choice.quantity);
    at("band-field").hidden = !["level", "spread"].includes(this.choice.quantity);
  }

  key({ title, colors, labels, unit }) {
    const steps = colors.map((color, index) => {
      const swatch = made("i", { ariaHidden: "true" });
      swatch.style.background = color;
      return made("li", {}, swatch, labels[index]);
    });
    at("key").replaceChildren(made("p", {}, made("b", { textContent: title }), ` ${unit}`), made("ul", {}, ...steps));
    at("key").hidden = this.choice.quantity === "";
  }

  // --- what is asked

  ask(act, what) {
    const number = this.link.ask(act, what);
    if (!number) this.say("The program that serves this page does not answer; nothing was changed.", true);
    return number;
  }

  /** Tells what is to be seen: which map, which thing, before or after. */
  look() {
    const speaker = this.choice.speaker === "*" || (this.choice.quantity === "level" && !this.choice.speaker) ? this.chosen : this.choice.speaker;
    this.link.ask("look", { quantity: this.choice.quantity || "off-axis", speaker, band: this.choice.band, chosen: this.chosen, before: this.before, all_cones: at("cones").value === "all" });
  }

  pick(name) {
    if (name === this.chosen) return;
    this.chosen = name;
    this.say("");
    this.look();
  }

  drag(thing, ray, gesture) {
    if (this.before) return;
    this.link.step("drag", { thing, ...ray, gesture: `drag ${gesture}`, snap: at("snap").getAttribute("aria-pressed") === "true" });
  }

  arrived(stop) {
    at("stops").querySelectorAll("button").forEach((one) => one.setAttribute("aria-pressed", String(one.dataset.stop === stop.id)));
  }

  toggle(id) {
    const on = at(id).getAttribute("aria-pressed") !== "true";
    at(id).setAttribute("aria-pressed", String(on));
    return on;
  }

  listen() {
    const click = (id, act) => at(id).addEventListener("click", act);
    click("undo", () => this.ask("undo"));
    click("redo", () => this.ask("redo"));
    click("before", () => { this.before = !this.before; this.look(); });
    click("save", () => this.ask("ask to save"));
    click("help", () => at("helping").showModal());
    at("told-as").addEventListener("change", () => this.table());
    click("picture", () => this.picture());
    click("names", () => { this.room.shown.names = this.toggle("names"); this.room.show(); });
    click("places", () => { this.room.shown.places = this.toggle("places"); this.room.show(); });
    click("snap", () => this.toggle("snap"));
    click("client", () => this.alone(!document.body.classList.contains("alone")));
    at("scheme").addEventListener("change", () => this.ask("scheme", { scheme: at("scheme").value || null }));
    at("cones").addEventListener("change", () => { this.room.shown.cones = at("cones").value; this.room.show(); this.look(); });
    at("quantity").addEventListener("change", () => {
      this.choice.quantity = at("quantity").value;
      this.room.shown.map = this.choice.quantity !== "";
      this.room.show();
      this.look();
    });
    at("map-of").addEventListener("change", () => { this.choice.speaker = at("map-of").value || null; this.look(); });
    at("band").addEventListener("change", () => { this.choice.band = Number(at("band").value); this.look(); });
    document.addEventListener("keydown", (event) => this.press(event));
    document.addEventListener("fullscreenchange", () => { if (!document.fullscreenElement) this.alone(false); });
    window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.tint());
  }

  /** The room alone, for who is to see it: the panels are away, and the screen is all its own where that can be. */
  alone(on) {
    if (document.body.classList.contains("alone") === on) return;
    document.body.classList.toggle("alone", on);
    at("client").setAttribute("aria-pressed", String(on));
    at("client").textContent = on ? "Leave" : "Full screen";
    if (on) document.documentElement.requestFullscreen?.().catch(() => {});
    else if (document.fullscreenElement) document.exitFullscreen();
    this.room.resize();
  }

  picture() {
    const { state } = this, view = this.room.stage.stop.name;
    const when = new Date().toISOString().slice(0, 10);
    const scheme = state.scheme === null ? "as it stands" : `scheme: ${state.scheme}`;
    const which = state.before ? "as it was opened" : state.unsaved ? "with changes that are not saved" : "";
    const under = [scheme, which, view, when, "coverage predicted from the room's measurements, not measured"].filter(Boolean).join(" · ");
    const file = [state.file.replace(/\.[^.]*$/, ""), state.scheme ?? "", view, state.before ? "before" : ""].filter(Boolean).join("-");
    this.room.finely(() => savePicture(this.room.canvas, this.room.holder, {
      title: document.title, under, key: this.choice.quantity ? this.map.key : null, file: file.replace(/[^\p{L}\p{N}-]+/gu, "-"),
    }));
  }

  press(event) {
    const writes = /^(INPUT|SELECT|TEXTAREA)$/.test(event.target.tagName) && event.target.type !== "range";
    if (writes || document.querySelector("dialog[open]")) return;
    const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
    const arrow = arrows[event.key];
    if (arrow && event.altKey && this.chosen) {
      event.preventDefault();
      if (this.before) return;
      this.panel.nudge(this.chosen, ...arrow, event.shiftKey ? 12 : 1);
      return;
    }
    const key = event.key.toLowerCase();
    if (event.ctrlKey || event.metaKey) {
      const act = { z: event.shiftKey ? "redo" : "undo", y: "redo" }[key];
      if (act) { event.preventDefault(); this.ask(act); }
      return;
    }
    if (event.altKey) return;
    const stop = this.room.stops?.[Number(event.key) - 1];
    const onRoom = event.target === this.room.canvas;
    const turn = Math.PI / 36;
    const acts = {
      z: () => this.ask("undo"), y: () => this.ask("redo"), b: () => at("before").click(), n: () => at("names").click(),
      f: () => at("client").click(), escape: () => (document.body.classList.contains("alone") ? this.alone(false) : this.pick(null)),
      ...(onRoom && arrow ? { [key]: () => this.room.stage.turn(turn * arrow[0], turn * arrow[1]) } : {}),
      ...(onRoom ? { "+": () => this.room.stage.nearer(1.12), "=": () => this.room.stage.nearer(1.12), "-": () => this.room.stage.nearer(1 / 1.12), home: () => this.room.goTo(this.room.stage.stop.id) } : {}),
    };
    const act = stop ? () => this.room.goTo(stop.id) : acts[key];
    if (!act) return;
    event.preventDefault();
    act();
  }
}

window.earshed = new Page();
