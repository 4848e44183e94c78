// The room on the page: what stands still, what is moved about, the map, and what the pointer takes hold of.

import { plain } from "./made.js";

const T = window.EarshedThree;
const { Stage, vector } = window.EarshedStage;
const NEAR_MOUSE = 22, NEAR_FINGER = 34; // pixels within which a thing is taken hold of
const STARTED = 4; // pixels by which the pointer moves before it drags
const ROUGH = 0.6, FINE = 2; // pixels drawn for each of the page's while something is dragged, and at the least for a picture

/** A point in the page's axes, or a direction, in those of the room: x right, y to the front, z up. */
const toRoom = (point) => [point.x, -point.z, point.y];

/** Takes a thing out of the scene, and what is drawn of it off the graphics card; the material of lines is everybody's. */
function drop(thing) {
  thing.removeFromParent();
  thing.traverse((part) => {
    part.geometry?.dispose();
    if (!part.material || part.material.isLineMaterial) return;
    part.material.map?.dispose();
    part.material.dispose();
  });
}

export class Room {
  /** `acts` are called: picked(name), dragged(name, ray, gesture), dropped(name), arrived(stop). */
  constructor(canvas, holder, acts) {
    this.canvas = canvas;
    this.holder = holder;
    this.acts = acts;
    this.things = new Map();
    this.movers = null; // in which things are
    this.shown = { cones: "chosen", map: true, names: true, places: true };
    this.gestures = 0;
    this.stopped = new Set();
    this.stage = null;
  }

  /** Shows a room from its start: its corners, the places it is seen from, and the model of what stands still. */
  async begin(facts, bytes) {
    if (!this.stage) {
      this.stage = new Stage(this.canvas, this.holder, facts.corners, (stop) => this.arrive(stop));
      this.listen();
    }
    this.stops = facts.stops;
    this.stage.corners = facts.corners.map(vector);
    const model = await this.stage.add(bytes.slice().buffer);
    if (this.fixed) drop(this.fixed);
    this.fixed = model;
    this.sheet = this.stage.of("sheet")[0]?.getObjectByProperty("isMesh", true) ?? null;
    const here = this.stops.find((stop) => stop.id === this.stage.stop?.id) ?? this.stops[0];
    this.stage.stop = here;
    this.resize();
    this.stage.goTo(here, 0);
  }

  resize() {
    if (this.stage) this.stage.resize(this.canvas.parentElement.clientWidth, this.canvas.parentElement.clientHeight);
  }

  // --- what is moved about

  /** Puts things in the place of those of the same names. */
  async move(bytes, gone) {
    const model = await this.stage.add(bytes.slice().buffer);
    this.movers ??= model;
    for (const thing of model.children.slice()) {
      const name = thing.userData.name ?? thing.name;
      this.leave(name);
      this.things.set(name, thing);
      this.movers.add(thing);
    }
    if (model !== this.movers) drop(model);
    gone.forEach((name) => this.leave(name));
    this.show();
  }

  leave(name) {
    if (this.things.has(name)) drop(this.things.get(name));
    this.things.delete(name);
  }

  /** Leaves all that is moved about, to be told of it anew. */
  forget() {
    [...this.things.keys()].forEach((name) => this.leave(name));
  }

  /** Shows where the hole of what is chosen could go; null for nowhere, or for what is cut into nothing. */
  async clear(bytes) {
    if (this.places) drop(this.places);
    this.places = bytes ? await this.stage.add(bytes.slice().buffer) : null;
    this.show();
  }

  /** The map over the plane: `colors` of cells, the front row first, over `bounds` left, rear, right, front. */
  paint(map, colors) {
    if (!this.sheet) return;
    const [left, rear, right, front] = map.bounds;
    const { position, uv } = this.sheet.geometry.attributes;
    for (let corner = 0; corner < position.count; corner += 1) {
      uv.setXY(corner, (position.getX(corner) - left) / (right - left), (-position.getZ(corner) - front) / (rear - front));
    }
    uv.needsUpdate = true;
    this.sheet.material.map?.dispose();
    const texture = new T.DataTexture(colors.slice(), map.columns, map.rows);
    texture.colorSpace = "srgb";
    texture.needsUpdate = true;
    Object.assign(this.sheet.material, { map: texture, transparent: true, alphaTest: 0.01, needsUpdate: true });
    this.sheet.material.color.set("#ffffff");
    this.draw();
  }

  /** Where coverage ends on the plane, as lines of points. */
  limit(lines) {
    if (!this.limits) {
      this.limits = new T.LineSegments2(new T.LineSegmentsGeometry(), new T.LineMaterial({ linewidth: 2.6, color: "#8c2f1b" }));
      this.stage.scene.add(this.limits);
    }
    const ends = lines.flatMap((line) => line.slice(1).flatMap((point, index) => [...line[index], ...point]));
    this.limited = ends.length > 0;
    if (ends.length) {
      this.limits.geometry.dispose();
      this.limits.geometry = new T.LineSegmentsGeometry();
      this.limits.geometry.setPositions(ends);
    }
    this.show();
  }

  name(figures, chosen) {
    const labels = [
      ...figures.speakers.map((one) => ({ kind: "speaker", name: plain(one.label), at: one.at, color: one.color ?? "#5c6a73", whole: one.name })),
      ...figures.seats
        .filter((one) => !one.reclined_from)
        .map((one) => ({ kind: "seat", name: plain(one.label), at: one.at, color: one.main ? "#5f7f90" : "#8fa0a8", whole: one.name })),
    ];
    this.labels = labels.sort((one, other) => (other.whole === chosen) - (one.whole === chosen));
    this.chosen = chosen;
    this.label();
    this.show();
  }

  /** Names beside all that the cut of a section leaves. */
  label() {
    const [cut] = this.stage.renderer.clippingPlanes;
    this.points = this.labels.filter((one) => !cut || cut.distanceToPoint(new T.Vector3(...one.at)) > -0.01);
    const said = JSON.stringify(this.points.map((one) => [one.whole, one.name, one.color]));
    if (said !== this.said) this.stage.name(this.points);
    else this.stage.names.all.forEach((label, index) => label.at.set(...this.points[index].at)); // where they are alone
    const looks = JSON.stringify([said, this.chosen, [...this.stopped]]);
    if (looks === this.looks) return;
    Object.assign(this, { said, looks });
    this.stage.names.all.forEach((label, index) => {
      label.word.classList.toggle("chosen", this.points[index].whole === this.chosen);
      label.word.classList.toggle("stop", this.stopped.has(this.points[index].whole));
    });
    this.stage.names.measure(); // one that is chosen, or that stops, is wider
  }

  /** Marks the names of what cannot be built as it is. */
  warn(names) {
    const same = names.size === this.stopped.size && [...names].every((name) => this.stopped.has(name));
    this.stopped = names;
    if (same || !this.labels) return;
    this.label();
    this.draw();
  }

  /** Cones, the map and names, as they are chosen. */
  show() {
    if (!this.stage) return;
    for (const [name, thing] of this.things) {
      thing.traverse((part) => {
        const kind = part.userData.kind;
        if (kind === "cone") part.visible = this.shown.cones === "all" || (this.shown.cones === "chosen" && name === this.chosen);
      });
    }
    const over = this.stage.stop?.id !== "ceiling"; // from under the plane it would hide the ceiling
    if (this.sheet) this.sheet.visible = this.shown.map && over;
    if (this.limits) this.limits.visible = this.shown.map && over && this.limited;
    const near = this.stage.stop?.kind === "inside" || this.stage.stop?.id === "plan" || this.held?.moved; // elsewhere it hides the map
    if (this.places) this.places.visible = this.shown.places && Boolean(near);
    this.holder.hidden = !this.shown.names;
    this.stage.leaveOut();
    if (!this.held) this.stage.renderer.shadowMap.needsUpdate = true;
    this.draw();
  }

  draw() {
    this.stage?.draw();
  }

  // --- views

  goTo(id) {
    const stop = this.stops.find((one) => one.id === id);
    if (stop) this.stage.goTo(stop);
  }

  arrive(stop) {
    const cut = stop.cut ? [new T.Plane(new T.Vector3(...stop.cut.normal), stop.cut.constant)] : [];
    this.stage.renderer.clippingPlanes = cut;
    if (this.labels) {
      this.label();
      this.show();
    }
    this.acts.arrived(stop);
  }

  // --- hands

  listen() {
    this.canvas.addEventListener("pointerdown", (event) => this.take(event), { capture: true });
    this.canvas.addEventListener("pointermove", (event) => this.follow(event), { capture: true });
    this.canvas.addEventListener("webglcontextrestored", () => this.draw());
    for (const kind of ["pointerup", "pointercancel"]) this.canvas.addEventListener(kind, (event) => this.release(event), { capture: true });
    new ResizeObserver(() => this.resize()).observe(this.canvas.parentElement);
  }

  /** The thing nearest to a place on the canvas, if it is near. */
  near(event) {
    const box = this.canvas.getBoundingClientRect();
    const reach = event.pointerType === "mouse" ? NEAR_MOUSE : NEAR_FINGER;
    let found = null, nearest = reach;
    for (const point of this.points ?? []) {
      const spot = new T.Vector3(...point.at).project(this.stage.camera);
      if (spot.z > 1) continue;
      const x = ((spot.x + 1) / 2) * box.width + box.left, y = ((1 - spot.y) / 2) * box.height + box.top;
      const far = Math.hypot(x - event.clientX, y - event.clientY) - (point.whole === this.chosen ? 6 : 0);
      if (far < nearest) [found, nearest] = [{ ...point, x, y }, far];
    }
    return found;
  }

  /** From the eye through the middle of what is held, which keeps its distance to the pointer. */
  ray(event) {
    const box = this.canvas.getBoundingClientRect();
    const [right, down] = this.held.grip;
    const x = ((event.clientX + right - box.left) / box.width) * 2 - 1;
    const y = 1 - ((event.clientY + down - box.top) / box.height) * 2;
    const eye = this.stage.camera.position;
    const way = new T.Vector3(x, y, 0.5).unproject(this.stage.camera).sub(eye).normalize();
    return { origin: toRoom(eye), way: toRoom(way) };
  }

  take(event) {
    if (event.button !== 0 || this.held) return;
    const point = this.near(event);
    this.canvas.classList.toggle("over", Boolean(point));
    if (!point) return;
    event.stopImmediatePropagation();
    this.canvas.setPointerCapture(event.pointerId);
    this.canvas.focus({ preventScroll: true });
    this.gestures += 1;
    const grip = [point.x - event.clientX, point.y - event.clientY];
    this.held = { name: point.whole, grip, from: [event.clientX, event.clientY], pointer: event.pointerId, moved: false };
    this.acts.picked(point.whole);
  }

  follow(event) {
    if (!this.held) {
      if (event.pointerType === "mouse" && !event.buttons) this.canvas.classList.toggle("over", Boolean(this.near(event)));
      return;
    }
    event.stopImmediatePropagation();
    if (event.pointerId !== this.held.pointer) return;
    const far = Math.hypot(event.clientX - this.held.from[0], event.clientY - this.held.from[1]);
    if (!this.held.moved && far < STARTED) return;
    if (!this.held.moved) {
      this.held.moved = true;
      this.roughly(true);
    }
    this.acts.dragged(this.held.name, this.ray(event), this.gestures);
  }

  release(event) {
    if (!this.held || event.pointerId !== this.held.pointer) return;
    event.stopImmediatePropagation();
    const { name, moved } = this.held;
    this.held = null;
    this.roughly(false);
    if (moved) this.acts.dropped(name);
  }

  /** Draws with as many pixels as a picture is to have, has something done with them, and draws as before. */
  finely(act) {
    const { renderer } = this.stage, before = renderer.getPixelRatio();
    renderer.setPixelRatio(Math.max(before, FINE));
    this.stage.paint();
    act();
    renderer.setPixelRatio(before);
    this.stage.paint();
  }

  /** Fewer pixels and no new shadows while something moves. */
  roughly(on) {
    const ratio = Math.min(window.devicePixelRatio || 1, 2);
    this.stage.renderer.setPixelRatio(on ? ROUGH : ratio);
    this.stage.renderer.shadowMap.needsUpdate = !on;
    this.show();
  }
}
