// What each seat gets of each speaker, and what has become of it since the scene was opened.

const MARKS = ["●", "◐", "✕"];
const WORDS = ["covered", "fringe", "outside"];

const made = (tag, what = {}, ...inside) => {
  const element = Object.assign(document.createElement(tag), what);
  element.append(...inside);
  return element;
};

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

/** Fills `holder`: speakers down, seats across, main seats first; `pick(name)` is called for what is chosen. */
export function fillTable(holder, figures, opened, chosen, toldAs, pick) {
  const fill = toldAs === "level" ? levelCell : cell;
  const focused = document.activeElement?.dataset?.thing;
  const seats = figures.seats.map((seat, row) => ({ ...seat, row })).sort((one, other) => other.main - one.main);
  const before = new Map();
  if (opened) {
    opened.seats.forEach((seat, row) => opened.judged.forEach((name, column) => before.set(`${seat.name}\n${name}`, opened.cells[row]?.[column])));
  }
  const head = made("tr", {}, made("td"));
  for (const seat of seats) {
    const box = made("th", { scope: "col" }, picker(seat, chosen, pick));
    if (seat.main) box.append(made("span", { className: "main", title: "main seat", textContent: "main" }));
    head.append(box);
  }
  const body = made("tbody");
  for (const speaker of figures.speakers) {
    const name = made("th", { scope: "row" }, picker(speaker, chosen, pick));
    name.style.setProperty("--own", speaker.color ?? "transparent");
    const line = made("tr", { className: speaker.name === chosen ? "chosen" : "" }, name);
    const column = figures.judged.indexOf(speaker.name);
    if (column < 0) line.append(made("td", { colSpan: Math.max(1, seats.length), className: "soft", textContent: "no direction to speak of" }));
    else for (const seat of seats) line.append(fill(figures.cells[seat.row][column], before.get(`${seat.name}\n${speaker.name}`)));
    body.append(line);
  }
  const foot = made("tr", {}, made("th", { scope: "row", textContent: "Loudest to softest", title: "dB of speech from the loudest channel to the softest, all set alike at the reference position" }));
  for (const seat of seats) {
    const now = figures.apart[seat.row];
    foot.append(made("td", { textContent: now === null ? "–" : `${now.toFixed(1)} dB` }));
  }
  if (figures.judged.length > 1) body.append(foot);
  if (!figures.speakers.length) {
    holder.replaceChildren(made("p", { className: "soft", textContent: "No speakers yet: this scheme has none." }));
    return;
  }
  holder.replaceChildren(made("table", {}, made("thead", {}, head), body));
  if (focused) [...holder.querySelectorAll("button")].find((button) => button.dataset.thing === focused)?.focus();
}

export { made };
