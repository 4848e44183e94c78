// A picture of what is seen, with its names, what it is of, and the key of its map.

const INK = "#23303a", SOFT = "#566570", PAPER = "#ffffff", LINE = "#c6ced3";
const FOOT = 92, SMALL = 13, LARGE = 16; // pixels of a page

/** Saves the canvas of a room as a PNG; `told` has the title, under which scheme, the view, the date and the map's key. */
export function savePicture(canvas, holder, told) {
  const scale = canvas.width / canvas.clientWidth;
  const page = document.createElement("canvas");
  [page.width, page.height] = [canvas.width, canvas.height + Math.round(FOOT * scale)];
  const pen = page.getContext("2d");
  pen.fillStyle = PAPER;
  pen.fillRect(0, 0, page.width, page.height);
  pen.drawImage(canvas, 0, 0);
  pen.scale(scale, scale);
  if (!holder.hidden) drawNames(pen, holder, canvas.getBoundingClientRect());
  drawFoot(pen, canvas.clientWidth, canvas.clientHeight, told);
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
    pen.lineWidth = 1;
    pen.stroke();
    pen.fillStyle = look.color;
    pen.font = `${look.fontWeight} ${look.fontSize} ${look.fontFamily}`;
    pen.fillText(fitting(pen, word.textContent, at.width - 14), at.left - box.left + 8, at.top - box.top + at.height / 2);
  }
}

function drawFoot(pen, width, top, { title, under, key }) {
  pen.strokeStyle = LINE;
  pen.beginPath();
  pen.moveTo(0, top);
  pen.lineTo(width, top);
  pen.stroke();
  const family = getComputedStyle(document.body).fontFamily;
  pen.textBaseline = "alphabetic";
  pen.fillStyle = INK;
  pen.font = `650 ${LARGE}px ${family}`;
  pen.fillText(fitting(pen, title, width - 28), 14, top + 24);
  pen.fillStyle = SOFT;
  pen.font = `${SMALL}px ${family}`;
  pen.fillText(fitting(pen, under, width - 28), 14, top + 43);
  if (!key?.colors.length) return;
  pen.fillText(fitting(pen, `${key.title} ${key.unit}`, width - 28), 14, top + 63);
  let left = 14;
  key.colors.forEach((color, index) => {
    pen.fillStyle = color;
    pen.fillRect(left, top + 71, 14, 14);
    pen.strokeStyle = SOFT;
    pen.strokeRect(left, top + 71, 14, 14);
    pen.fillStyle = INK;
    pen.fillText(key.labels[index], left + 19, top + 83);
    left += 32 + pen.measureText(key.labels[index]).width;
  });
}
