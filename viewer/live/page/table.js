// What each seat gets of each speaker, and what has become of it since the scene was opened.

import { made } from "./made.js";

const MARKS = ["●", "◐", "✕"];
const WORDS = ["covered", "fringe", "outside"];

/** How a cell stands against what it was: better, worse, or neither. */
function change(now, was) {
  if (!was) return "";
  const rank = ([, verdict, obstacle]) => (obstacle === null ? verdict : 2.5);
  const by = rank(now) - rank(was);
  if (by !== 0) return by < 0 ? "better" : "worse";
  return Math.abs(now[0] - was[0]) < 0.05 ? "" : "other";
}

function cellWords([angle, verdict, obstacle, level, counts], was, kind) {
  const sight = obstacle === null ? "" : `, hidden by ${obstacle}`;
  const other = counts ? "" : ", another speaker of its channel counts";
  const before = was && kind ? `; was ${was[0].toFixed(1)}°, ${was[2] === null ? WORDS[was[1]] : "hidden"}` : "";
  return `${angle.toFixed(1)}° off axis, ${WORDS[verdict]}${sight}, ${level.toFixed(1)} dB${other}${before}`;
}

function levelCell(now, was) {
  const [, , , level, counts] = now;
  const figure = `${level.toFixed(1)} dB`;
  const inside = [made("span", { textContent: counts ? figure : `(${figure})` })];
  const by = was ? level - was[3] : 0;
  if (Math.abs(by) >= 0.1) inside.push(made("small", { textContent: `${by > 0 ? "+" : "−"}${Math.abs(by).toFixed(1)} dB` }));
  return made("td", { title: cellWords(now, was, change(now, was)) }, ...inside);
}

function cell(now, was) {
  const [angle, verdict, obstacle, , counts] = now;
  const kind = change(now, was);
  const hidden = obstacle !== null;
  const mark = made("span", { className: `mark ${hidden ? "hidden-mark" : WORDS[verdict]}`, textContent: hidden ? "▨" : MARKS[verdict], ariaHidden: "true" });
  const figure = made("span", { textContent: counts ? `${Math.round(angle)}°` : `(${Math.round(angle)}°)` });
  const inside = [mark, figure];
  if (kind) {
    const sign = { better: "▲", worse: "▼", other: "" }[kind];
    const from = `${sign} was ${was[2] === null ? MARKS[was[1]] : "▨"}${Math.round(was[0])}°`;
    inside.push(made("small", { className: kind, textContent: from.trim() }));
  }
  const box = made("td", { title: cellWords(now, was, kind) }, ...inside);
  box.append(made("span", { className: "unseen", textContent: ` ${hidden ? `hidden by ${obstacle}` : WORDS[verdict]}` }));
  return box;
}

function picker(one, chosen, pick) {
  const button = made("button", { type: "button", className: "pick" }, made("bdi", { textContent: one.name }));
  button.setAttribute("aria-pressed", String(one.name === chosen));
  button.dataset.thing = one.name;
  button.addEventListener("click", () => pick(one.name === chosen ? null : one.name));
  return button;
}

/** The seats in the order of columns: main ones first, each with its row in the figures. */
const columnsOf = (figures) => figures.seats.map((seat, row) => ({ ...seat, row })).sort((one, other) => other.main - one.main);

function headOf(seats, chosen, pick) {
  const line = made("tr", {}, made("td"));
  for (const seat of seats) {
    const box = made("th", { scope: "col" }, picker(seat, chosen, pick));
    if (seat.main) box.append(made("span", { className: "main", title: "main seat", textContent: "main" }));
    line.append(box);
  }
  return made("thead", {}, line);
}

function lineOf(speaker, cells, before, seats, chosen, toldAs, pick) {
  const name = made("th", { scope: "row" }, picker(speaker, chosen, pick));
  name.style.setProperty("--own", speaker.color ?? "transparent");
  const line = made("tr", { className: speaker.name === chosen ? "chosen" : "" }, name);
  const fill = toldAs === "level" ? levelCell : cell;
  if (!cells) line.append(made("td", { colSpan: Math.max(1, seats.length), className: "soft", textContent: "no direction to speak of" }));
  else cells.forEach((now, index) => line.append(fill(now, before[index])));
  return line;
}

function footOf(figures, seats) {
  const line = made("tr", {}, made("th", { scope: "row", textContent: "Loudest to softest", title: "dB of speech from the loudest channel to the softest, all set alike at the reference position" }));
  for (const seat of seats) {
    const now = figures.apart[seat.row];
    line.append(made("td", { textContent: now === null ? "–" : `${now.toFixed(1)} dB` }));
  }
  return line;
}

/** What seats get of a speaker, in the order of columns; null of one that is not judged. */
function cellsOf(figures, name, seats) {
  const column = figures.judged.indexOf(name);
  return column < 0 ? null : seats.map((seat) => figures.cells[figures.seats.findIndex((one) => one.name === seat.name)]?.[column]);
}

/** The table of speakers down and seats across. A line is made anew only where it says something else. */
export class Table {
  constructor(holder, pick) {
    Object.assign(this, { holder, pick, head: null, lines: new Map() });
  }

  fill(figures, opened, chosen, toldAs) {
    const focused = this.holder.contains(document.activeElement) ? document.activeElement.dataset.thing : null;
    const seats = columnsOf(figures);
    const head = JSON.stringify([seats.map(({ name, main }) => [name, main]), figures.speakers.map((one) => one.name), toldAs]);
    if (!figures.speakers.length) {
      this.head = null;
      this.holder.replaceChildren(made("p", { className: "soft", textContent: "No speakers yet: this scheme has none." }));
      return;
    }
    if (head !== this.head) this.begin(head);
    this.replace("head", JSON.stringify(chosen), () => headOf(seats, chosen, this.pick));
    for (const speaker of figures.speakers) {
      const cells = cellsOf(figures, speaker.name, seats);
      const before = opened && cells ? cellsOf(opened, speaker.name, seats) ?? [] : [];
      const said = JSON.stringify([cells, before, speaker.color, speaker.name === chosen]);
      this.replace(`speaker ${speaker.name}`, said, () => lineOf(speaker, cells, before, seats, chosen, toldAs, this.pick));
    }
    if (figures.judged.length > 1) this.replace("foot", JSON.stringify(figures.apart), () => footOf(figures, seats));
    if (focused) [...this.holder.querySelectorAll("button")].find((button) => button.dataset.thing === focused)?.focus();
  }

  begin(head) {
    this.head = head;
    this.lines.clear();
    this.body = made("tbody");
    this.whole = made("table", {}, this.body);
    this.holder.replaceChildren(this.whole);
  }

  replace(key, said, make) {
    const old = this.lines.get(key);
    if (old?.said === said) return;
    const line = make();
    if (old) old.line.replaceWith(line);
    else if (key === "head") this.whole.prepend(line);
    else this.body.append(line);
    this.lines.set(key, { said, line });
  }
}
