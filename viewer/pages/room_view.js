// One room that is turned by mouse, touch or keys. Every <figure class="room-view"> of the page is started by itself.
"use strict";

(() => {
  const T = window.EarshedThree;
  const { Names } = window.EarshedNames;
  const OUTSIDE_ANGLE = 28, INSIDE_ANGLE = 68; // degrees of view up and down
  const MARGIN = 1.07; // times the size of the room that is seen from outside
  const ARM = 0.05; // metres from the eye to what it turns about, from inside
  const TRAVEL = 650; // milliseconds from one view to the next
  const STEP = Math.PI / 36; // turned by one press of a key
  const STILL = window.matchMedia("(prefers-reduced-motion: reduce)");
  const DARK = window.matchMedia("(prefers-color-scheme: dark)");

  const vector = (numbers) => new T.Vector3(...numbers);

  function bytesOf(text) {
    const letters = atob(text.trim());
    return Uint8Array.from(letters, (letter) => letter.charCodeAt(0)).buffer;
  }

  // --- what is drawn

  function loadModel(bytes) {
    const loader = new T.GLTFLoader();
    loader.register((parser) => {
      // pictures as image elements: no request, not even one within the page
      parser.textureLoader = new T.TextureLoader(parser.options.manager);
      return { name: "pictures" };
    });
    return loader.parseAsync(bytes, "");
  }

  function furnish(model, lines) {
    const found = { cones: [], sides: [], maps: [], seats: [] };
    model.traverse((thing) => {
      const kind = thing.userData.kind;
      if (kind === "cone") found.cones.push(thing);
      if (kind === "cone side") found.sides.push(thing);
      if (kind === "map") found.maps.push(thing);
      if (kind === "seat" || kind === "main seat") found.seats.push(thing);
    });
    for (const seat of found.seats) { // what is taller would throw shadows of a sun that no room has
      seat.traverse((part) => { part.castShadow = part.isMesh === true; });
    }
    const replaced = [];
    model.traverse((thing) => {
      if (thing.isLineSegments) replaced.push(thing);
      if (!thing.isMesh || !thing.material.isMeshStandardMaterial) return;
      thing.receiveShadow = true;
      Object.assign(thing.material, { polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1 });
    });
    for (const thin of replaced) {
      const flat = thin.geometry.index ? thin.geometry.toNonIndexed() : thin.geometry;
      const wide = new T.LineSegments2(new T.LineSegmentsGeometry(), lines);
      wide.geometry.setPositions(flat.attributes.position.array);
      thin.parent.add(wide);
      thin.parent.remove(thin);
    }
    return found;
  }

  function light(scene, box) {
    scene.add(new T.HemisphereLight(0xffffff, 0xf6f1ea, 2.8));
    const sun = new T.DirectionalLight(0xfff8ee, 0.85);
    const middle = box.getCenter(new T.Vector3());
    const size = box.getSize(new T.Vector3());
    const reach = size.length() / 2;
    sun.position.copy(middle).add(new T.Vector3(-0.35, 1, 0.45).normalize().multiplyScalar(2 * reach));
    sun.target.position.copy(middle);
    sun.castShadow = true;
    sun.shadow.mapSize.set(1024, 1024);
    sun.shadow.radius = 4;
    sun.shadow.normalBias = 0.02;
    Object.assign(sun.shadow.camera, { left: -reach, right: reach, top: reach, bottom: -reach, near: 0.1, far: 4 * reach });
    scene.add(sun, sun.target);
  }

  // --- from where it is seen

  /** The nearest place from which all corners are seen, looking against `way`, and what is looked at. */
  function standBack(corners, way, aspect, angle) {
    const back = way.clone().normalize();
    const right = new T.Vector3(0, 1, 0).cross(back);
    if (right.lengthSq() < 1e-6) right.set(1, 0, 0);
    right.normalize();
    const over = back.clone().cross(right);
    const half = Math.tan((angle * Math.PI) / 360);
    const box = new T.Box3().setFromPoints(corners);
    const target = box.getCenter(new T.Vector3());
    let distance = 1;
    for (let round = 0; round < 20; round += 1) { // centers what is seen, then steps back; settles in a few rounds
      const seen = corners.map((corner) => {
        const local = corner.clone().sub(target);
        return [local.dot(right) / aspect, local.dot(over), local.dot(back)];
      });
      distance = Math.max(...seen.map(([x, y, near]) => (Math.max(Math.abs(x), Math.abs(y)) / half) * MARGIN + near));
      const across = (axis) => {
        const spots = seen.map((spot) => spot[axis] / ((distance - spot[2]) * half));
        return ((Math.min(...spots) + Math.max(...spots)) / 2) * distance * half;
      };
      target.addScaledVector(right, across(0) * aspect).addScaledVector(over, across(1));
    }
    return { place: target.clone().addScaledVector(back, distance), target, angle };
  }

  // --- one figure

  class RoomView {
    constructor(figure) {
      this.figure = figure;
      this.stage = figure.querySelector(".stage");
      this.canvas = figure.querySelector(".live");
      this.spoken = figure.querySelector(".spoken");
      this.facts = JSON.parse(figure.querySelector(".room-facts").textContent);
      this.corners = this.facts.corners.map(vector);
      this.renderer = new T.WebGLRenderer({ canvas: this.canvas, antialias: true, alpha: true, preserveDrawingBuffer: true });
      this.renderer.shadowMap.enabled = true;
      this.renderer.shadowMap.type = T.PCFShadowMap;
      this.scene = new T.Scene();
      this.camera = new T.PerspectiveCamera(OUTSIDE_ANGLE, 1, 0.05, 200);
      this.lines = new T.LineMaterial({ linewidth: 1.1 });
      this.controls = new T.OrbitControls(this.camera, this.canvas);
      this.controls.addEventListener("change", () => this.draw());
      this.waiting = false;
      this.moving = 0;
      this.stop = this.facts.stops.find((stop) => stop.id === this.facts.start);
    }

    async start() {
      const model = (await loadModel(bytesOf(this.figure.querySelector(".room-model").textContent))).scene;
      this.found = furnish(model, this.lines);
      this.scene.add(model);
      light(this.scene, new T.Box3().setFromPoints(this.corners));
      const labels = this.facts.labels.map((label) => ({ ...label, at: vector(label.at) }));
      this.names = new Names(this.figure.querySelector(".names"), labels);
      this.figure.classList.add("ready");
      this.listen();
      this.tint();
      this.show();
      this.resize();
      this.goTo(this.stop, 0);
    }

    // --- drawing

    draw() {
      if (this.waiting) return;
      this.waiting = true;
      requestAnimationFrame(() => {
        this.waiting = false;
        this.paint();
      });
    }

    paint() {
      this.renderer.render(this.scene, this.camera);
      this.renderer.shadowMap.autoUpdate = false; // nothing moves but the camera
      if (!this.names.holder.hidden) this.names.place(this.camera, this.stage.clientWidth, this.stage.clientHeight);
    }

    resize() {
      const { clientWidth: width, clientHeight: height } = this.stage;
      if (!width || !height) return;
      this.renderer.setPixelRatio(Math.min(window.devicePixelRatio || 1, 2));
      this.renderer.setSize(width, height, false);
      this.camera.aspect = width / height;
      this.camera.updateProjectionMatrix();
      this.names.measure();
      if (this.atStop) this.goTo(this.stop, 0);
      this.paint();
    }

    /** Copies the view, at a size that fits a page, to what is printed in its place: paper gets no frame of WebGL. */
    keepStill(width, height) {
      Object.assign(this.stage.style, { width, height });
      this.resize();
      const still = this.figure.querySelector(".still");
      [still.width, still.height] = [this.canvas.width, this.canvas.height];
      still.getContext("2d").drawImage(this.canvas, 0, 0);
    }

    tint() {
      this.lines.color.set(getComputedStyle(this.figure).getPropertyValue("--edge").trim());
      this.draw();
    }

    /** Cones, the chosen map and names, as the buttons say. */
    show() {
      const on = (what) => this.button(what)?.getAttribute("aria-pressed") === "true";
      const chosen = Number(this.figure.querySelector("select")?.value ?? 0);
      this.found.cones.forEach((cone) => { cone.visible = on("cones"); });
      this.found.maps.forEach((map, number) => { map.visible = on("map") && number === chosen; });
      this.names.holder.hidden = !on("names");
      this.figure.querySelectorAll("[data-only-with]").forEach((part) => { part.hidden = !on(part.dataset.onlyWith); });
      this.names.measure();
      this.draw();
    }

    button(what) {
      return this.figure.querySelector(`button[data-show="${what}"]`);
    }

    toggle(what) {
      const button = this.button(what);
      if (!button) return;
      button.setAttribute("aria-pressed", String(button.getAttribute("aria-pressed") !== "true"));
      this.show();
    }

    // --- moving

    seenFrom(stop) {
      if (stop.kind === "inside") {
        const place = vector(stop.eye);
        const target = vector(stop.target).sub(place).setLength(ARM).add(place);
        const wide = this.camera.aspect < 1 ? 1.15 : 1;
        return { place, target, angle: (stop.angle ?? INSIDE_ANGLE) * wide, inside: true };
      }
      return { ...standBack(this.corners, vector(stop.way), this.camera.aspect, OUTSIDE_ANGLE), inside: false };
    }

    goTo(stop, time = TRAVEL) {
      this.stop = stop;
      this.atStop = true;
      this.figure.querySelectorAll("button[data-stop]").forEach((button) => {
        button.setAttribute("aria-pressed", String(button.dataset.stop === stop.id));
      });
      const to = this.seenFrom(stop);
      const from = { place: this.camera.position.clone(), target: this.controls.target.clone(), angle: this.camera.fov };
      const turn = ++this.moving;
      const without = new Set(stop.without);
      this.found.seats.forEach((seat) => { seat.visible = !without.has(seat.userData.name); });
      this.names.without = without;
      this.found.sides.forEach((side) => { side.visible = !to.inside; }); // all would be seen through the side one is in
      const still = STILL.matches || time === 0;
      const begun = performance.now();
      this.controls.enabled = false;
      const step = (now) => {
        if (turn !== this.moving) return;
        const part = still ? 1 : Math.min(1, Math.max(0, (now - begun) / time));
        const eased = part * part * (3 - 2 * part);
        this.camera.position.lerpVectors(from.place, to.place, eased);
        this.controls.target.lerpVectors(from.target, to.target, eased);
        this.camera.fov = from.angle + (to.angle - from.angle) * eased;
        this.camera.updateProjectionMatrix();
        this.camera.lookAt(this.controls.target);
        this.draw();
        if (part < 1) requestAnimationFrame(step);
        else this.arrive(to, stop);
      };
      step(begun);
    }

    arrive(to, stop) {
      const distance = to.place.distanceTo(to.target);
      this.inside = to.inside;
      Object.assign(this.controls, {
        enabled: true,
        enableZoom: !to.inside,
        enablePan: !to.inside,
        rotateSpeed: to.inside ? -0.35 : 0.8,
        minDistance: to.inside ? 0 : 0.3,
        maxDistance: to.inside ? 1 : 3 * distance,
      });
      this.controls.update();
      this.names.all.forEach((label) => { label.turn = 0; }); // so that a view always looks the same
      this.draw();
      this.spoken.textContent = `View: ${stop.name}`;
    }

    turn(across, up) {
      const arm = this.camera.position.clone().sub(this.controls.target);
      const round = new T.Spherical().setFromVector3(arm);
      round.theta += this.inside ? -across : across;
      round.phi -= this.inside ? -up : up;
      round.makeSafe();
      arm.setFromSpherical(round);
      if (this.inside) this.controls.target.copy(this.camera.position).sub(arm);
      else this.camera.position.copy(this.controls.target).add(arm);
      this.changed();
    }

    nearer(times) {
      if (this.inside) {
        this.camera.fov = Math.min(95, Math.max(20, this.camera.fov / times));
        this.camera.updateProjectionMatrix();
      } else {
        this.camera.position.sub(this.controls.target).divideScalar(times).add(this.controls.target);
      }
      this.changed();
    }

    changed() {
      this.atStop = false;
      this.controls.update();
      this.draw();
    }

    // --- hands

    listen() {
      const find = (all, run) => this.figure.querySelectorAll(all).forEach(run);
      find("button[data-stop]", (button) => button.addEventListener("click", () => this.goTo(this.stopOf(button.dataset.stop))));
      find("button[data-show]", (button) => button.addEventListener("click", () => this.toggle(button.dataset.show)));
      find("button[data-nearer]", (button) => button.addEventListener("click", () => this.nearer(Number(button.dataset.nearer))));
      find("select", (select) => select.addEventListener("change", () => this.show()));
      for (const kind of ["pointerdown", "keydown", "wheel"]) {
        this.figure.addEventListener(kind, () => this.figure.classList.add("used"), { once: true, passive: true });
      }
      this.canvas.addEventListener("keydown", (event) => this.press(event));
      this.canvas.addEventListener("pointerdown", () => this.canvas.focus({ preventScroll: true }));
      this.controls.addEventListener("start", () => { this.atStop = false; });
      new ResizeObserver(() => this.resize()).observe(this.stage);
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
        ArrowLeft: () => this.turn(-STEP * fast, 0),
        ArrowRight: () => this.turn(STEP * fast, 0),
        ArrowUp: () => this.turn(0, STEP * fast),
        ArrowDown: () => this.turn(0, -STEP * fast),
        "+": () => this.nearer(1.12),
        "=": () => this.nearer(1.12),
        "-": () => this.nearer(1 / 1.12),
        Home: () => this.goTo(this.stop),
        c: () => this.toggle("cones"),
        m: () => this.toggle("map"),
        n: () => this.toggle("names"),
      };
      const act = stop ? () => this.goTo(stop) : acts[event.key];
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
