// A picture of what is seen, with its names, what it is of, and the key of its map.

const INK = "#23303a", SOFT = "#566570", PAPER = "#ffffff", LINE = "#c6ced3";
const EDGE = 14, SMALL = 13, LARGE = 16, SWATCH = 14; // pixels of a page
const MOST_LINES = 6; // of a title, or of what stands under it

/** Saves the canvas of a room as a PNG; `told` has the title, under which scheme, the view, the date and the map's key. */
export function savePicture(canvas, holder, told) {
  const scale = canvas.width / canvas.clientWidth;
  const page = document.createElement("canvas");
  const pen = page.getContext("2d");
  const foot = footOf(pen, canvas.clientWidth, told);
  [page.width, page.height] = [canvas.width, canvas.height + Math.round(foot.height * scale)];
  pen.fillStyle = PAPER;
  pen.fillRect(0, 0, page.width, page.height);
  pen.drawImage(canvas, 0, 0);
  pen.scale(scale, scale);
  if (!holder.hidden) drawNames(pen, holder, canvas.getBoundingClientRect());
  drawFoot(pen, canvas.clientWidth, canvas.clientHeight, foot);
  page.toBlob((blob) => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(blob);
    link.download = `${told.file}.png`;
    link.click();
    window.setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
  }, "image/png");
}

/** As much of a text as a pen writes within a width, with dots where it was cut. */
function fitting(pen, text, width) {
  if (pen.measureText(text).width <= width) return text;
  let [fits, not] = [0, text.length];
  while (not - fits > 1) {
    const most = (fits + not) >> 1;
    if (pen.measureText(`${text.slice(0, most)}…`).width <= width) fits = most;
    else not = most;
  }
  return `${text.slice(0, fits)}…`;
}

/** A text in lines of a width, broken between its words. */
function lines(pen, text, width) {
  const found = [];
  for (const word of text.split(" ")) {
    const longer = found.length ? `${found.at(-1)} ${word}` : word;
    if (found.length && pen.measureText(longer).width <= width) found[found.length - 1] = longer;
    else found.push(word);
  }
  return found.slice(0, MOST_LINES).map((line) => fitting(pen, line, width));
}

function drawNames(pen, holder, box) {
  for (const path of holder.querySelectorAll("path")) {
    if (path.style.visibility === "hidden") continue;
    const line = new Path2D(path.getAttribute("d") ?? "");
    pen.strokeStyle = pen.fillStyle = path.style.stroke;
    pen.lineWidth = 1.4;
    pen.stroke(line);
    pen.fill(line);
  }
  pen.textBaseline = "middle";
  for (const word of holder.querySelectorAll(".name")) {
    if (word.style.visibility === "hidden") continue;
    const at = word.getBoundingClientRect(), look = getComputedStyle(word);
    pen.beginPath();
    pen.roundRect(at.left - box.left, at.top - box.top, at.width, at.height, 6);
    pen.fillStyle = look.backgroundColor;
    pen.fill();
    pen.strokeStyle = look.borderTopColor;
    pen.lineWidth = parseFloat(look.borderTopWidth);
    pen.stroke();
    pen.fillStyle = look.color;
    pen.font = `${look.fontWeight} ${look.fontSize} ${look.fontFamily}`;
    const said = `${word.classList.contains("stop") ? "✕ " : ""}${word.textContent}`;
    pen.fillText(fitting(pen, said, at.width - 14), at.left - box.left + 8, at.top - box.top + at.height / 2);
  }
}

/** What is to be written and filled under a picture, each at its place, and how high all of it is. */
function footOf(pen, width, { title, under, key }) {
  const family = getComputedStyle(document.body).fontFamily;
  const texts = [], swatches = [];
  let down = 8;
  const write = (text, size, color, weight = 400) => {
    const font = `${weight} ${size}px ${family}`;
    pen.font = font;
    for (const line of lines(pen, text, width - 2 * EDGE)) {
      down += size + 4;
      texts.push({ text: line, left: EDGE, down, font, color });
    }
    down += 3;
  };
  write(title, LARGE, INK, 650);
  write(under, SMALL, SOFT);
  if (key) write(`${key.title} ${key.unit}`.trim(), SMALL, SOFT);
  const font = pen.font = `${SMALL}px ${family}`;
  let left = EDGE;
  key?.colors.forEach((color, index) => {
    const far = SWATCH + 5 + pen.measureText(key.labels[index]).width;
    if (left > EDGE && left + far > width - EDGE) [left, down] = [EDGE, down + SWATCH + 6];
    swatches.push({ color, left, down: down + 6 });
    texts.push({ text: key.labels[index], left: left + SWATCH + 5, down: down + 18, font, color: INK });
    left += far + 13;
  });
  return { texts, swatches, height: down + (swatches.length ? SWATCH + 6 : 0) + 10 };
}

function drawFoot(pen, width, top, { texts, swatches }) {
  pen.strokeStyle = LINE;
  pen.lineWidth = 1;
  pen.beginPath();
  pen.moveTo(0, top);
  pen.lineTo(width, top);
  pen.stroke();
  pen.strokeStyle = SOFT;
  for (const { color, left, down } of swatches) {
    pen.fillStyle = color;
    pen.fillRect(left, top + down, SWATCH, SWATCH);
    pen.strokeRect(left, top + down, SWATCH, SWATCH);
  }
  pen.textBaseline = "alphabetic";
  for (const { text, left, down, font, color } of texts) {
    pen.font = font;
    pen.fillStyle = color;
    pen.fillText(text, left, top + down);
  }
}
