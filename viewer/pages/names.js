// Names beside their points on a view of a room, kept apart, each with a line to its point.
"use strict";

window.EarshedNames = (() => {
  const COVERS = 100; // worse than any number of covered points
  const SIDES = [14, 34, 60].flatMap((far) =>
    [[0, -1], [1, 0], [-1, 0], [0, 1], [0.8, -0.8], [-0.8, -0.8], [0.8, 0.8], [-0.8, 0.8]].map((way) => [...way, far]),
  );

  class Names {
    constructor(holder, list) {
      this.holder = holder;
      this.without = new Set();
      this.ties = document.createElementNS("http://www.w3.org/2000/svg", "svg");
      holder.append(this.ties);
      this.all = list.map((label) => this.make(label));
    }

    make({ name, at, color, kind }) {
      const word = document.createElement("span");
      word.textContent = name;
      word.dir = "auto";
      word.className = `name name-${kind}`;
      word.style.setProperty("--own", color);
      this.holder.append(word);
      const tie = document.createElementNS("http://www.w3.org/2000/svg", "path");
      tie.style.stroke = color;
      tie.style.fill = color;
      this.ties.append(tie);
      return { word, tie, name, kind, at, turn: 0, wide: 0, high: 0 };
    }

    measure() {
      for (const label of this.all) {
        label.wide = label.word.offsetWidth;
        label.high = label.word.offsetHeight;
      }
    }

    /** Puts each name where it covers no other and few points, keeping its side while that is free. */
    place(camera, width, height) {
      const taken = [];
      const shown = [];
      for (const label of this.all) {
        const spot = label.at.clone().project(camera);
        const there = label.kind !== "seat" || !this.without.has(label.name);
        const seen = there && spot.z < 1 && Math.abs(spot.x) < 1 && Math.abs(spot.y) < 1;
        label.word.style.visibility = label.tie.style.visibility = seen ? "visible" : "hidden";
        if (seen) shown.push({ label, x: ((spot.x + 1) / 2) * width, y: ((1 - spot.y) / 2) * height });
      }
      for (const { label, x, y } of shown) {
        const free = (turn) => this.free(label, turn, x, y, taken, shown, width, height);
        let best = null;
        for (const turn of [label.turn, ...SIDES.keys()]) {
          const found = free(turn);
          if (best === null || found.cost < best.cost) best = { ...found, turn };
          if (best.cost === 0) break;
        }
        label.turn = best.turn;
        const hidden = best.cost >= COVERS;
        label.word.style.visibility = hidden ? "hidden" : "visible";
        label.word.style.transform = `translate(${Math.round(best.left)}px, ${Math.round(best.top)}px)`;
        label.tie.setAttribute("d", tieFrom(x, y, best, hidden));
        if (!hidden) taken.push(best);
      }
    }

    free(label, turn, x, y, taken, shown, width, height) {
      const [across, down, far] = SIDES[turn];
      const left = x + across * (label.wide / 2 + far) - label.wide / 2;
      const top = y + down * (label.high / 2 + far) - label.high / 2;
      const box = { left, top, right: left + label.wide, bottom: top + label.high };
      const meets = (other) =>
        box.left < other.right + 3 && box.right + 3 > other.left && box.top < other.bottom + 2 && box.bottom + 2 > other.top;
      let cost = taken.filter(meets).length * COVERS;
      if (left < 0 || top < 0 || box.right > width || box.bottom > height) cost += COVERS;
      cost += shown.filter((one) => meets({ left: one.x - 4, right: one.x + 4, top: one.y - 4, bottom: one.y + 4 })).length;
      return { ...box, cost };
    }
  }

  function tieFrom(x, y, box, alone) {
    const dot = `M${x - 3} ${y}a3 3 0 1 0 6 0a3 3 0 1 0 -6 0`;
    if (alone) return dot;
    const nearX = Math.min(Math.max(x, box.left), box.right);
    const nearY = Math.min(Math.max(y, box.top), box.bottom);
    return `${dot}M${x} ${y}L${nearX} ${nearY}`;
  }

  return { Names };
})();
