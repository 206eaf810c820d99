// The fence on a photo of the visitor's own, which never leaves the browser.
import { MathUtils, Mesh, MeshBasicMaterial, ShadowMaterial, Vector3 } from "three";
import { $, make } from "./dom.js";
import { choiceWords } from "./choice_words.js";
import { SKY } from "./daylight.js";
import { long } from "./lengths.js";
import { say } from "./messages.js";

/**
 * @import { Object3D } from "three"
 * @import { App } from "./app.js"
 */

/** @typedef {"horizon" | "eye" | "away" | "turn" | "aside" | "wide"} Slider */

/** @type {Record<Slider, [number, number, number, number]>} least, most, step, and what it begins at */
const RANGES = {
  horizon: [0, 100, 0.5, 45], // % of the photo's height
  eye: [200, 5000, 10, 1600], // mm over the ground where the fence stands
  away: [1000, 60000, 50, 8000], // mm from its middle, or its gate
  turn: [-180, 180, 1, 20], // degrees from its front
  aside: [-20000, 20000, 50, 0], // mm
  wide: [30, 110, 1, 68], // degrees from side to side; a telephone's main lens takes in about 68
};
const NAMES = /** @type {Slider[]} */ (Object.keys(RANGES));
const SHADE = 0.42; // how dark a shadow on the photo is

/** @type {(name: Slider, by: number) => [Slider, number]} */
const step = (name, by) => [name, by];
/** @type {Record<string, [Slider, number]>} what keys move on the view */
const KEYS = {
  ArrowLeft: step("turn", -2),
  ArrowRight: step("turn", 2),
  ArrowUp: step("horizon", -0.5),
  ArrowDown: step("horizon", 0.5),
  "+": step("away", -200),
  "=": step("away", -200),
  "-": step("away", 200),
};

export class OwnPhoto {
  /** @param {App} app */
  constructor(app) {
    this.app = app;
    this.on = false;
    this.image = /** @type {HTMLImageElement} */ (make("img", "", { id: "own-photo", alt: "" }));
    this.image.hidden = true;
    app.canvas.before(this.image);
    /** @type {Record<Slider, number>} */
    this.values = { horizon: 0, eye: 0, away: 0, turn: 0, aside: 0, wide: 0 };
    NAMES.forEach((name) => { this.values[name] = RANGES[name][3]; });
    /** @type {Object3D[]} ground that hides and takes shadows but is not seen */
    this.ground = [];
    /** @type {{ fov: number, from: Vector3, at: Vector3, kept: (() => void) | null } | null} the view before */
    this.before = null;
    const stage = this.stage;
    stage.addEventListener("dragover", (event) => event.preventDefault());
    stage.addEventListener("drop", (event) => {
      event.preventDefault();
      const file = event.dataTransfer && event.dataTransfer.files[0];
      if (file) this.take(file);
    });
    app.canvas.addEventListener("pointermove", (event) => this.drag(event));
  }

  get stage() {
    return /** @type {HTMLElement} */ (this.app.canvas.parentElement);
  }

  /** @param {Blob} file */
  async take(file) {
    const old = this.image.src;
    this.image.src = URL.createObjectURL(file);
    try {
      await this.image.decode();
    } catch {
      URL.revokeObjectURL(this.image.src);
      this.image.src = old;
      if (!old) this.image.removeAttribute("src");
      say(choiceWords.photoFault);
      return;
    }
    if (old) URL.revokeObjectURL(old);
    this.on = false;
    this.show();
  }

  show() {
    const { app } = this;
    app.section.leave();
    if (!this.before) {
      const { camera, controls, kept } = app.views;
      this.before = { fov: camera.fov, from: camera.position.clone(), at: controls.target.clone(), kept };
    }
    this.on = true;
    app.views.kept = null;
    this.arrive();
    app.choosing.panel.list();
    say(choiceWords.photoOn);
  }

  /** Back to the garden of the page; the photo is kept. */
  hide() {
    if (!this.on) return;
    this.on = false;
    this.clear(true);
    this.image.hidden = true;
    const { views } = this.app;
    views.controls.enabled = true;
    views.below(false);
    const { canvas } = this.app;
    ["position", "left", "top", "width", "height"].forEach((name) => canvas.style.removeProperty(name));
    if (this.before) {
      const { fov, from, at, kept } = this.before;
      this.before = null;
      views.camera.fov = fov;
      this.app.frame.resize();
      views.look(from, at);
      if (kept) views.again(kept);
    }
    this.app.choosing.panel.list();
  }

  /** Put the fence that is shown on the photo, if one is shown. */
  arrive() {
    if (!this.on) return;
    const { app } = this;
    this.image.hidden = false;
    this.clear(false);
    const { geometry } = app.world.ground;
    const hidden = new Mesh(geometry, new MeshBasicMaterial({ colorWrite: false }));
    hidden.renderOrder = -2;
    const shaded = new Mesh(geometry, new ShadowMaterial({ opacity: SHADE }));
    shaded.receiveShadow = true;
    this.ground = [hidden, shaded];
    this.ground.forEach((one) => { one.raycast = () => {}; });
    app.world.scene.add(...this.ground);
    app.views.controls.enabled = false;
    app.views.below(true);
    app.frame.shade();
    app.frame.resize();
    this.apply();
  }

  /** @param {boolean} garden whether what the page itself puts round the fence is seen */
  clear(garden) {
    const { world } = this.app;
    this.ground.forEach((one) => {
      one.removeFromParent();
      /** @type {import("three").Material} */ (/** @type {Mesh} */ (one).material).dispose();
    });
    this.ground = [];
    const sky = world.scene.getObjectByName(SKY);
    if (sky) sky.visible = garden;
    world.ground.visible = garden;
    world.person.visible = garden;
    world.around(garden);
  }

  /**
   * Where the view is drawn within the stage: all of it, or as much as the photo takes.
   * @param {DOMRect} stage
   */
  frame(stage) {
    if (!this.on || !this.image.naturalWidth) return stage;
    const scale = Math.min(stage.width / this.image.naturalWidth, stage.height / this.image.naturalHeight);
    const [width, height] = [this.image.naturalWidth * scale, this.image.naturalHeight * scale];
    const place = { left: (stage.width - width) / 2, top: (stage.height - height) / 2, width, height };
    [this.app.canvas, this.image].forEach(({ style }) => {
      style.position = "absolute";
      Object.entries(place).forEach(([name, value]) => style.setProperty(name, `${value}px`));
    });
    return place;
  }

  /** Stand where the sliders say. */
  apply() {
    const { camera, controls } = this.app.views;
    const { world } = this.app;
    const { horizon, eye, away, turn, aside, wide } = this.values;
    const [gate] = world.data.gates;
    const leg = world.data.legs.reduce((a, b) => (b.length > a.length ? b : a));
    const at = gate ? new Vector3(...gate.at) : new Vector3(...leg.start).lerp(new Vector3(...leg.end), 0.5);
    const front = new Vector3(...(gate ? gate.front : leg.front), 0);
    const out = front.applyAxisAngle(new Vector3(0, 0, 1), MathUtils.degToRad(turn));
    const right = new Vector3(-out.y, out.x, 0);
    const half = Math.tan(MathUtils.degToRad(wide) / 2) / camera.aspect; // of the height, at distance 1
    camera.fov = 2 * MathUtils.radToDeg(Math.atan(half));
    const down = Math.atan((1 - horizon / 50) * half);
    const from = at.clone().addScaledVector(out, away).addScaledVector(right, -aside);
    from.z = world.groundAt(at.x, at.y) + eye;
    camera.position.copy(from);
    controls.target.copy(from).addScaledVector(out, -away * Math.cos(down));
    controls.target.z -= away * Math.sin(down);
    camera.updateProjectionMatrix();
    controls.update();
    this.app.draw();
  }

  /**
   * @param {Slider} name
   * @param {number} value
   */
  set(name, value) {
    const [least, most] = RANGES[name];
    this.values[name] = Math.min(most, Math.max(least, value));
    const slider = /** @type {HTMLInputElement | null} */ (document.getElementById(`photo-${name}`));
    if (slider) {
      slider.value = String(this.values[name]);
      $(`photo-${name}-said`).textContent = this.told(name);
    }
    this.apply();
  }

  /**
   * Move the fence on the photo.
   * @param {{ key: string, shiftKey: boolean }} event
   * @returns {boolean} whether the key does so
   */
  key({ key, shiftKey }) {
    const aside = { ArrowLeft: -100, ArrowRight: 100 }[key];
    const [name, by] = shiftKey && aside ? step("aside", aside) : KEYS[key] || step("aside", 0);
    if (by) this.set(name, this.values[name] + by);
    return by !== 0;
  }

  /** @param {PointerEvent} event that moves the fence on the photo */
  drag(event) {
    if (!this.on || !event.buttons) return;
    const { width } = this.app.canvas.getBoundingClientRect();
    const { away, aside, wide } = this.values;
    const across = 2 * Math.tan(MathUtils.degToRad(wide) / 2) * away; // mm over the photo's width
    this.set("aside", aside + (event.movementX / width) * across);
    this.set("away", away * (1 - (1.5 * event.movementY) / width));
  }

  /** @param {Slider} name */
  told(name) {
    const value = this.values[name];
    if (name === "horizon") return `${value} %`;
    if (name === "turn" || name === "wide") return `${value}°`;
    return long(this.app.world.data, value);
  }

  /** What the panel has for it. */
  controls() {
    const set = make("fieldset", "", { id: "photo" });
    const input = /** @type {HTMLInputElement} */ (make("input", "", { type: "file", accept: "image/*", id: "photo-file" }));
    input.addEventListener("change", () => {
      if (input.files && input.files[0]) this.take(input.files[0]);
    });
    const label = make("label", choiceWords.photoPick, { for: "photo-file", class: "file" });
    const row = make("div", "", { class: "row" });
    row.append(input, label);
    set.append(make("legend", choiceWords.photo), row, make("p", choiceWords.photoNote));
    if (!this.image.getAttribute("src")) return set;
    const shown = make("button", this.on ? choiceWords.photoHide : choiceWords.photoShow, { id: "photo-shown" });
    shown.addEventListener("click", () => {
      if (this.on) this.hide();
      else this.show();
    });
    row.append(shown);
    if (this.on) set.append(...NAMES.map((name) => this.slider(name)));
    return set;
  }

  /** @param {Slider} name */
  slider(name) {
    const [min, max, by] = RANGES[name].map(String);
    const label = make("label", "", { class: "slider" });
    const input = /** @type {HTMLInputElement} */ (make("input", "", { type: "range", id: `photo-${name}`, min, max, step: by }));
    input.value = String(this.values[name]);
    input.addEventListener("input", () => this.set(name, Number(input.value)));
    label.append(make("span", choiceWords.sliders[name]), make("output", this.told(name), { id: `photo-${name}-said` }), input);
    return label;
  }
}
