// One room that is turned by mouse, touch or keys. Every <figure class="room-view"> of the page is started by itself.
"use strict";

(() => {
  const { Stage, bytesOf } = window.EarshedStage;
  const STEP = Math.PI / 36; // turned by one press of a key
  const DARK = window.matchMedia("(prefers-color-scheme: dark)");

  class RoomView {
    constructor(figure) {
      this.figure = figure;
      this.frame = figure.querySelector(".stage");
      this.canvas = figure.querySelector(".live");
      this.facts = JSON.parse(figure.querySelector(".room-facts").textContent);
      this.stage = new Stage(this.canvas, figure.querySelector(".names"), this.facts.corners, (stop) => this.arrived(stop));
    }

    async start() {
      await this.stage.add(bytesOf(this.figure.querySelector(".room-model").textContent));
      this.figure.classList.add("ready");
      this.stage.name(this.facts.labels);
      this.cones = this.stage.of("cone");
      this.maps = this.stage.of("map");
      this.lights = this.stage.of("light");
      this.stage.stop = this.stopOf(this.facts.start);
      this.listen();
      this.tint();
      this.show();
      this.resize();
      this.stage.goTo(this.stage.stop, 0);
    }

    resize() {
      this.stage.resize(this.frame.clientWidth, this.frame.clientHeight);
    }

    /** Copies the view, at a size that fits a page, to what is printed in its place: paper gets no frame of WebGL. */
    keepStill(width, height) {
      Object.assign(this.frame.style, { width, height });
      this.resize();
      const still = this.figure.querySelector(".still");
      [still.width, still.height] = [this.canvas.width, this.canvas.height];
      still.getContext("2d").drawImage(this.canvas, 0, 0);
    }

    tint() {
      this.stage.tint(getComputedStyle(this.figure).getPropertyValue("--edge").trim());
    }

    arrived(stop) {
      this.figure.querySelectorAll("button[data-stop]").forEach((button) => {
        button.setAttribute("aria-pressed", String(button.dataset.stop === stop.id));
      });
      this.figure.querySelector(".spoken").textContent = `View: ${stop.name}`;
    }

    /** Cones, the chosen map, light and names, as the buttons say. */
    show() {
      const on = (what) => this.button(what)?.getAttribute("aria-pressed") === "true";
      const chosen = Number(this.figure.querySelector("select")?.value ?? 0);
      this.cones.forEach((cone) => { cone.visible = on("cones"); });
      this.maps.forEach((map, number) => { map.visible = on("map") && number === chosen; });
      this.lights.forEach((light) => { light.visible = on("light"); });
      this.stage.holder.hidden = !on("names");
      this.figure.querySelectorAll("[data-only-with]").forEach((part) => { part.hidden = !on(part.dataset.onlyWith); });
      this.stage.names.measure();
      this.stage.draw();
    }

    button(what) {
      return this.figure.querySelector(`button[data-show="${what}"]`);
    }

    toggle(what) {
      const button = this.button(what);
      if (!button) return;
      const on = button.getAttribute("aria-pressed") !== "true";
      button.setAttribute("aria-pressed", String(on));
      const lies = { map: "light", light: "map" }[what]; // on the same plane
      if (on && lies) this.button(lies)?.setAttribute("aria-pressed", "false");
      this.show();
    }

    listen() {
      const find = (all, run) => this.figure.querySelectorAll(all).forEach(run);
      find("button[data-stop]", (button) => button.addEventListener("click", () => this.stage.goTo(this.stopOf(button.dataset.stop))));
      find("button[data-show]", (button) => button.addEventListener("click", () => this.toggle(button.dataset.show)));
      find("button[data-nearer]", (button) => button.addEventListener("click", () => this.stage.nearer(Number(button.dataset.nearer))));
      find("select", (select) => select.addEventListener("change", () => this.show()));
      for (const kind of ["pointerdown", "keydown", "wheel"]) {
        this.figure.addEventListener(kind, () => this.figure.classList.add("used"), { once: true, passive: true });
      }
      this.canvas.addEventListener("keydown", (event) => this.press(event));
      this.canvas.addEventListener("pointerdown", () => this.canvas.focus({ preventScroll: true }));
      new ResizeObserver(() => this.resize()).observe(this.frame);
      DARK.addEventListener("change", () => this.tint());
      window.addEventListener("beforeprint", () => this.keepStill("680px", "480px"));
      window.addEventListener("afterprint", () => this.keepStill("", ""));
    }

    stopOf(id) {
      return this.facts.stops.find((stop) => stop.id === id);
    }

    press(event) {
      if (event.altKey || event.ctrlKey || event.metaKey) return;
      const fast = event.shiftKey ? 3 : 1;
      const stop = this.facts.stops[Number(event.key) - 1];
      const acts = {
        ArrowLeft: () => this.stage.turn(-STEP * fast, 0),
        ArrowRight: () => this.stage.turn(STEP * fast, 0),
        ArrowUp: () => this.stage.turn(0, STEP * fast),
        ArrowDown: () => this.stage.turn(0, -STEP * fast),
        "+": () => this.stage.nearer(1.12),
        "=": () => this.stage.nearer(1.12),
        "-": () => this.stage.nearer(1 / 1.12),
        Home: () => this.stage.goTo(this.stage.stop),
        c: () => this.toggle("cones"),
        m: () => this.toggle("map"),
        l: () => this.toggle("light"),
        n: () => this.toggle("names"),
      };
      const act = stop ? () => this.stage.goTo(stop) : acts[event.key];
      if (!act) return;
      event.preventDefault();
      act();
    }
  }

  function startAll() {
    for (const figure of document.querySelectorAll("figure.room-view")) {
      try {
        new RoomView(figure).start().catch(() => figure.classList.add("flat"));
      } catch {
        figure.classList.add("flat"); // no WebGL: the sentence that says so is shown instead
      }
    }
  }

  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", startAll);
  else startAll();
})();
