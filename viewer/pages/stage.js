// A room on a canvas: its model, its light, the names in it, and from where it is seen.
"use strict";

window.EarshedStage = (() => {
  const T = window.EarshedThree;
  const { Names } = window.EarshedNames;
  const OUTSIDE_ANGLE = 28, INSIDE_ANGLE = 68; // degrees of view up and down
  const MARGIN = 1.07; // times the size of the room that is seen from outside
  const ARM = 0.05; // metres from the eye to what it turns about, from inside
  const TRAVEL = 650; // milliseconds from one view to the next
  const STILL = window.matchMedia("(prefers-reduced-motion: reduce)");

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
    model.traverse((thing) => { // what is taller than a seat would throw shadows of a sun that no room has
      if (!["seat", "main seat"].includes(thing.userData.kind)) return;
      thing.traverse((part) => { part.castShadow = part.isMesh === true; });
    });
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

  /** A canvas on which a room is seen; `arrived(stop)` is called whenever it is seen from one of its stops. */
  class Stage {
    constructor(canvas, holder, corners, arrived) {
      this.canvas = canvas;
      this.holder = holder;
      this.corners = corners.map(vector);
      this.arrived = arrived;
      this.renderer = new T.WebGLRenderer({ canvas, antialias: true, alpha: true, preserveDrawingBuffer: true });
      this.renderer.shadowMap.enabled = true;
      this.renderer.shadowMap.type = T.PCFShadowMap;
      this.scene = new T.Scene();
      this.camera = new T.PerspectiveCamera(OUTSIDE_ANGLE, 1, 0.05, 200);
      this.lines = new T.LineMaterial({ linewidth: 1.1 });
      this.controls = new T.OrbitControls(this.camera, canvas);
      this.controls.addEventListener("change", () => this.draw());
      this.controls.addEventListener("start", () => { this.atStop = false; });
      this.names = new Names(holder, []);
      this.waiting = false;
      this.moving = 0;
      light(this.scene, new T.Box3().setFromPoints(this.corners));
    }

    /** Adds the model of a .glb to what is seen, and gives it. */
    async add(bytes) {
      const model = (await loadModel(bytes)).scene;
      furnish(model, this.lines);
      this.scene.add(model);
      return model;
    }

    name(labels) {
      this.holder.replaceChildren();
      const without = this.names.without;
      this.names = new Names(this.holder, labels.map((label) => ({ ...label, at: vector(label.at) })));
      this.names.without = without;
      this.names.measure();
    }

    /** What of all models is of a kind. */
    of(...kinds) {
      const found = [];
      this.scene.traverse((thing) => { if (kinds.includes(thing.userData.kind)) found.push(thing); });
      return found;
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
      this.renderer.shadowMap.autoUpdate = false; // the camera throws no shadow
      if (!this.holder.hidden) this.names.place(this.camera, this.canvas.clientWidth, this.canvas.clientHeight);
    }

    resize(width, height) {
      if (!width || !height) return;
      this.renderer.setPixelRatio(Math.min(window.devicePixelRatio || 1, 2));
      this.renderer.setSize(width, height, false);
      this.camera.aspect = width / height;
      this.camera.updateProjectionMatrix();
      this.names.measure();
      if (this.atStop) this.goTo(this.stop, 0);
      this.paint();
    }

    tint(color) {
      this.lines.color.set(color);
      this.draw();
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
      this.arrived(stop);
      const to = this.seenFrom(stop);
      const from = { place: this.camera.position.clone(), target: this.controls.target.clone(), angle: this.camera.fov };
      const turn = ++this.moving;
      this.inside = to.inside;
      this.leaveOut();
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
        else this.arrive(to);
      };
      step(begun);
    }

    /** Hides what would be in the way from where the room is seen. */
    leaveOut() {
      const without = new Set(this.stop.without);
      this.of("seat", "main seat").forEach((seat) => { seat.visible = !without.has(seat.userData.name); });
      this.names.without = without;
      this.of("cone side").forEach((side) => { side.visible = !this.inside; }); // all would be seen through the side one is in
    }

    arrive(to) {
      const distance = to.place.distanceTo(to.target);
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
  }

  return { Stage, bytesOf, vector };
})();
