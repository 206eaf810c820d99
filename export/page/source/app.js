// The page: views, tools, keyboard, parts, measuring, alternatives, and the live loop of `watch`.
import { Box3, MathUtils, PCFShadowMap, PerspectiveCamera, Plane, Raycaster, Vector2, Vector3, WebGLRenderer } from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import { toneOf } from "./daylight.js";
import { dimensions, label, line } from "./labels.js";
import { long, sizes, small } from "./lengths.js";
import { World } from "./world.js";

/**
 * @import { InstancedMesh, Intersection, Line, Mesh, Sprite } from "three"
 * @import { FenceData, PageData, PostData } from "./data.js"
 */

/** @typedef {Window & { palewright?: App, rebuilt?: number }} PageWindow what tests ask the page by */

/** @typedef {Intersection<Mesh>} Hit a point of a piece, or of the ground */

const EYE = 1600; // mm over the ground
const FILLED = 0.88; // of the view that a fence fills
const ASIDE = [22, -22, 34, -34]; // degrees that the first view may be from the side
const BESIDE = 6000; // mm of fence on either side of a gate that the first view of a long one shows
const THREAD = 0.055; // a fence less tall in the view than this is a thread
const SLOW = 45; // ms a frame from which movement is drawn coarser
const STILL = 700; // ms without movement after which it is drawn fine again
/**
 * An element of the page's own HTML.
 * @param {string} id
 */
const $ = (id) => /** @type {HTMLElement} */ (document.getElementById(id));
/** @type {PageData} */
const read = JSON.parse($("data").textContent);

/**
 * @param {string} tag
 * @param {string} text
 * @param {Record<string, string>} [attributes]
 */
function make(tag, text, attributes = {}) {
  const element = document.createElement(tag);
  element.textContent = text;
  Object.entries(attributes).forEach(([key, value]) => element.setAttribute(key, value));
  return element;
}

const MESSAGE_TIME = 8000; // ms that a message of a moment stays

/** @type {number | undefined} */
let passing;

/**
 * Say something: for a moment, or until what it tells of ends and something else, or nothing, is said.
 *
 * @param {string} text
 * @param {boolean} [lasting]
 */
const say = (text, lasting = false) => {
  clearTimeout(passing);
  $("said").textContent = text;
  if (text && !lasting) passing = setTimeout(() => say(""), MESSAGE_TIME);
};

class App {
  /** @param {FenceData[]} models */
  constructor(models) {
    this.canvas = /** @type {HTMLCanvasElement} */ ($("view"));
    this.renderer = new WebGLRenderer({ canvas: this.canvas, antialias: true, stencil: true });
    this.renderer.shadowMap.enabled = true;
    this.renderer.shadowMap.type = PCFShadowMap;
    this.renderer.shadowMap.autoUpdate = false; // shadows change only when a gate moves
    this.renderer.localClippingEnabled = true;
    toneOf(this.renderer);
    this.camera = new PerspectiveCamera(38, 1, 50, 1e7);
    this.camera.up.set(0, 0, 1);
    this.controls = new OrbitControls(this.camera, this.canvas);
    this.controls.zoomToCursor = true;
    this.controls.addEventListener("change", () => this.draw());
    this.models = models;
    this.measuring = null;
    /** @type {Record<string, boolean>} */
    this.pressed = {};
    this.frames = 0;
    this.late = 0;
    this.tools();
    this.show(0, true);
    new ResizeObserver(() => this.resize()).observe(/** @type {HTMLElement} */ (this.canvas.parentElement));
    this.canvas.addEventListener("pointerdown", (event) => {
      this.down = /** @type {[number, number]} */ ([event.clientX, event.clientY]);
    });
    this.canvas.addEventListener("pointerup", (event) => this.click(event));
    this.canvas.addEventListener("keydown", (event) => this.key(event));
    window.addEventListener("beforeprint", () => this.toPrint());
    // what the methods set, for the type checker alone: the bundler drops it
    void (() => {
      /** @type {World} */ this.world;
      /** @type {number} which of the models */ this.chosen;
      /** @type {PostData | null} that a cut goes through */ this.section;
      /** @type {number | null} which of the marks */ this.highlighted;
      /** @type {Vector3[]} one or two points */ this.measured;
      /** @type {(Line | Sprite)[]} that show what is measured, from the tool's first use on */ this.lines;
      /** @type {Record<string, () => void>} what each key does */ this.keys;
      /** @type {HTMLElement} with a button for each gate */ this.gates;
      /** @type {[number, number] | undefined} where the pointer went down */ this.down;
      /** @type {number} pixels of the canvas to one of the page */ this.fine;
      /** @type {boolean} whether fewer are drawn */ this.coarse;
      /** @type {boolean | undefined} whether a frame is asked for */ this.waiting;
      /** @type {number | undefined} when the last frame of a movement was drawn, ms */ this.last;
      /** @type {number | undefined} the timer that draws fine again */ this.settling;
    });
  }

  // alternatives

  /**
   * @param {number} number which of the models
   * @param {boolean} fit whether to look at it anew
   */
  show(number, fit) {
    if (this.world) this.world.dispose();
    this.chosen = number;
    this.world = new World(this.models[number]);
    this.section = null;
    this.measured = [];
    this.highlighted = null;
    this.renderer.shadowMap.needsUpdate = true;
    this.controls.maxDistance = 30 * this.world.radius;
    this.controls.maxPolarAngle = Math.PI * 0.497;
    if (this.pressed.dimensions) this.world.dimensions.add(...dimensions(this.world));
    this.choices();
    this.parts();
    this.gateButtons();
    this.mark("section", false);
    $("title").textContent = this.models[number].title;
    this.resize();
    if (fit) this.first();
  }

  choices() {
    const box = $("choices");
    box.replaceChildren();
    if (this.models.length < 2) return;
    this.models.forEach((model, number) => {
      const button = make("button", model.name, { "aria-pressed": String(number === this.chosen) });
      button.addEventListener("click", () => {
        this.show(number, false);
        say(`${model.name}: ${model.facts.map((fact) => fact.join(" ")).join(", ")}`);
      });
      box.append(button);
    });
  }

  // views

  /**
   * @param {Vector3} from
   * @param {Vector3} at
   */
  look(from, at) {
    this.controls.target.copy(at);
    this.camera.position.copy(from);
    this.controls.update();
    this.draw();
  }

  /**
   * Move the eye back and aside until posts fill the view.
   * @param {Vector3} direction from the fence to the eye, of length 1
   * @param {PostData[]} [posts] all of them if left out
   */
  fit(direction, posts = this.world.data.posts) {
    const tall = Math.tan(MathUtils.degToRad(this.camera.fov) / 2);
    const wide = tall * (this.camera.aspect || 1);
    const right = new Vector3().crossVectors(new Vector3(0, 0, 1), direction);
    if (right.length() < 1e-3) right.set(1, 0, 0);
    right.normalize();
    const up = new Vector3().crossVectors(direction, right);
    const spots = posts.flatMap((post) => [0, post.top].map((z) => new Vector3(post.at[0], post.at[1], post.at[2] + z)));
    const box = new Box3().setFromPoints(spots);
    const at = box.getCenter(new Vector3());
    let away = 2 * box.getSize(new Vector3()).length() + 500;
    for (let step = 0; step < 30; step += 1) {
      const seen = spots.map((spot) => {
        const way = spot.clone().sub(at);
        const deep = Math.max(away - way.dot(direction), 1);
        return [way.dot(right) / deep / wide, way.dot(up) / deep / tall];
      });
      const [xs, ys] = [0, 1].map((axis) => seen.map((one) => one[axis]));
      const [low, high] = [Math.min(...xs), Math.max(...xs)];
      const [under, over] = [Math.min(...ys), Math.max(...ys)];
      at.addScaledVector(right, ((low + high) / 2) * wide * away).addScaledVector(up, ((under + over) / 2) * tall * away);
      away = Math.max(away * (Math.max(high - low, over - under) / 2 / FILLED) ** 0.7, 500);
    }
    this.leaveSection();
    say("");
    this.look(at.clone().addScaledVector(direction, away), at);
  }

  /** From aside, on the gate; of a long fence only what stands beside it, or at eye level. */
  first() {
    const { data, front } = this.world;
    const [gate] = data.gates;
    const [x, y] = gate ? gate.front : [front.x, front.y];
    // where most of what is seen lies in the sun
    const upright = new Vector3(0, 0, 1);
    const seen = (/** @type {number} */ degrees) => {
      const eye = new Vector3(x, y, 0).applyAxisAngle(upright, MathUtils.degToRad(degrees));
      const lit = data.legs.filter(({ front: [u, v] }) => u * data.light.sun[0] + v * data.light.sun[1] > 0);
      return lit.reduce((sum, { front: [u, v], length }) => sum + length * Math.max(0, u * eye.x + v * eye.y), 0);
    };
    const turn = ASIDE.reduce((a, b) => (seen(b) > seen(a) ? b : a));
    const direction = new Vector3(x, y, 0).applyAxisAngle(upright, MathUtils.degToRad(turn)).setZ(0.16).normalize();
    const tall = Math.tan(MathUtils.degToRad(this.camera.fov) / 2);
    const near = gate && data.posts.filter((post) => Math.hypot(post.at[0] - gate.at[0], post.at[1] - gate.at[1]) < BESIDE);
    for (const posts of [data.posts, near]) {
      if (!posts || posts.length < 2) continue;
      this.fit(direction, posts);
      const away = this.camera.position.distanceTo(this.controls.target);
      if (posts[0].top / (2 * tall * away) > THREAD) return;
    }
    this.eye();
  }

  front() {
    this.fit(this.world.front.clone().setZ(0.22).normalize());
  }

  back() {
    this.fit(this.world.front.clone().negate().setZ(0.22).normalize());
  }

  top() {
    this.fit(this.world.front.clone().multiplyScalar(0.002).setZ(1).normalize());
  }

  eye() {
    this.leaveSection();
    const { world } = this;
    const leg = world.data.legs.reduce((a, b) => (b.length > a.length ? b : a));
    const middle = new Vector3(...leg.start).lerp(new Vector3(...leg.end), 0.5);
    const at = middle.clone().addScaledVector(new Vector3(...leg.front, 0), 3800);
    const floor = world.groundAt(at.x, at.y);
    this.look(at.setZ(floor + EYE), middle.clone().setZ(world.groundAt(middle.x, middle.y) + 0.6 * EYE));
    say("Eye level. Arrow keys turn, W and S walk forwards and back.");
  }

  /** @param {number} steps */
  walk(steps) {
    const way = new Vector3().subVectors(this.controls.target, this.camera.position).setZ(0).normalize();
    const from = this.camera.position.clone().addScaledVector(way, 400 * steps);
    from.z = this.world.groundAt(from.x, from.y) + EYE;
    const at = this.controls.target.clone().addScaledVector(way, 400 * steps);
    this.look(from, at);
  }

  // a cut through a post and its footing, seen along the fence

  toggleSection() {
    if (this.section) {
      this.leaveSection();
      this.front();
      return;
    }
    const { world } = this;
    const post = world.data.posts.find((one) => one.kind === "line") || world.data.posts.find((one) => one.deep > 0);
    if (!post) {
      say("No post of this fence stands in the ground.");
      return;
    }
    const at = new Vector3(...post.at);
    const along = new Vector3(...post.along, 0);
    // uphill, so that the ground behind does not hide the hole
    const beyond = at.clone().addScaledVector(along, 3000);
    const before = at.clone().addScaledVector(along, -3000);
    if (world.groundAt(beyond.x, beyond.y) < world.groundAt(before.x, before.y)) along.negate();
    const plane = new Plane().setFromNormalAndCoplanarPoint(along.clone(), at);
    world.cut(plane);
    world.soil.position.copy(at).addScaledVector(along, 420).setZ(at.z - 1202);
    world.soil.quaternion.setFromUnitVectors(new Vector3(0, 1, 0), new Vector3(0, 0, 1));
    world.soil.rotateY(Math.atan2(along.y, along.x) + Math.PI / 2);
    this.section = post;
    this.controls.maxPolarAngle = Math.PI;
    const low = at.clone().setZ(at.z + post.top / 2 - post.deep / 2);
    const away = (post.top + post.deep) * 1.9;
    this.look(low.clone().addScaledVector(along, -away).setZ(low.z + 120), low);
    this.mark("section", true);
    say(`Cut through post ${post.label}: ${long(world.data, post.deep)} below ground, ${long(world.data, post.top)} above.`, true);
  }

  leaveSection() {
    if (!this.section) return;
    this.section = null;
    this.world.cut(null);
    this.controls.maxPolarAngle = Math.PI * 0.497;
    this.mark("section", false);
    say("");
  }

  // tools

  tools() {
    const box = $("tools");
    /** @type {(name: string, text: string, key: string, act: () => void, toggles?: boolean) => void} */
    const button = (name, text, key, act, toggles = false) => {
      const made = make("button", text, { id: `tool-${name}`, title: `key ${key}` });
      if (toggles) made.setAttribute("aria-pressed", "false");
      made.addEventListener("click", act);
      box.append(made, " ");
      this.keys[key] = act;
    };
    this.keys = {};
    button("front", "Front", "1", () => this.front());
    button("back", "Back", "2", () => this.back());
    button("top", "Top", "3", () => this.top());
    button("eye", "Eye level", "4", () => this.eye());
    button("section", "Section", "5", () => this.toggleSection(), true);
    button("dimensions", "Dimensions", "d", () => this.toggleDimensions(), true);
    button("measure", "Measure", "m", () => this.toggleMeasure(), true);
    button("parts", "Parts", "p", () => this.toggleParts(), true);
    button("print", "Print", "o", () => window.print());
    this.gates = make("span", "");
    box.append(this.gates);
  }

  /**
   * @param {string} name of a tool
   * @param {boolean} on
   */
  mark(name, on) {
    this.pressed[name] = on;
    $(`tool-${name}`).setAttribute("aria-pressed", String(on));
  }

  toggleDimensions() {
    this.mark("dimensions", !this.pressed.dimensions);
    this.world.dimensions.clear();
    if (this.pressed.dimensions) this.world.dimensions.add(...dimensions(this.world));
    this.draw();
  }

  gateButtons() {
    this.gates.replaceChildren();
    const names = [...new Set(this.world.leaves.map((leaf) => leaf.name))];
    names.forEach((name) => {
      const button = make("button", `Open ${name}`, { "aria-pressed": "false" });
      button.addEventListener("click", () => this.swing(name));
      this.gates.append(button, " ");
    });
  }

  /** @param {string} name of a gate */
  swing(name) {
    const own = this.world.leaves.filter((leaf) => leaf.name === name);
    const open = own[0].wanted === 0;
    own.forEach((leaf) => { leaf.wanted = open ? 1 : 0; });
    [...this.gates.children].filter((one) => one.textContent.endsWith(name)).forEach((one) => {
      one.setAttribute("aria-pressed", String(open));
    });
    say(`${name} ${open ? "opens" : "shuts"}`);
    this.draw();
  }

  parts() {
    const { data } = this.world;
    const table = make("table", "");
    const head = make("tr", "");
    ["mark", "part", "no.", data.feet ? "size" : "size, mm"].forEach((word) => head.append(make("th", word, { scope: "col" })));
    table.append(head);
    data.marks.forEach((mark, number) => {
      if (mark.count === 0) return; // on the site, no part of the fence
      const row = make("tr", "");
      const cell = make("td", "");
      const button = make("button", mark.mark, { "aria-pressed": "false", "data-mark": String(number) });
      button.addEventListener("click", () => this.highlight(number));
      cell.append(button);
      row.append(cell, make("td", mark.part), make("td", String(mark.count)), make("td", sizes(data, mark.size, " x ")));
      table.append(row);
    });
    const facts = make("dl", "");
    data.facts.forEach(([name, value]) => facts.append(make("dt", name), make("dd", value)));
    $("list").replaceChildren(make("h2", "Your fence"), facts, make("h2", "Parts"), table);
  }

  toggleParts() {
    this.mark("parts", !this.pressed.parts);
    $("list").hidden = !this.pressed.parts;
    if (!this.pressed.parts) this.highlight(null);
  }

  /** @param {number | null} number which of the marks */
  highlight(number) {
    this.highlighted = number === this.highlighted ? null : number;
    const count = this.world.mark(this.highlighted);
    [...$("list").querySelectorAll("button")].forEach((one) => {
      one.setAttribute("aria-pressed", String(Number(one.dataset.mark) === this.highlighted));
    });
    if (this.highlighted !== null) {
      const mark = this.world.data.marks[/** @type {number} */ (number)];
      say(`${mark.mark}, ${mark.part}: ${count} in the fence${mark.note ? `; ${mark.note}` : ""}`, true);
    } else say("");
    this.draw();
  }

  // measuring

  toggleMeasure() {
    this.mark("measure", !this.pressed.measure);
    $("cross").hidden = !this.pressed.measure;
    this.clearMeasure();
    say(this.pressed.measure ? "Click two points, or bring them under the cross and press Enter." : "", true);
  }

  clearMeasure() {
    (this.lines || []).forEach((one) => this.world.scene.remove(one));
    this.lines = [];
    this.measured = [];
    this.draw();
  }

  /**
   * @param {number} x on the canvas, px
   * @param {number} y
   * @returns {Hit | null}
   */
  pick(x, y) {
    const box = this.canvas.getBoundingClientRect();
    const ray = new Raycaster();
    ray.setFromCamera(new Vector2((x / box.width) * 2 - 1, 1 - (y / box.height) * 2), this.camera);
    /** @type {Hit[]} */
    const found = ray.intersectObjects([...this.world.meshes, this.world.ground], false);
    const cut = this.section && /** @type {Plane[]} */ (this.world.ground.material.clippingPlanes)[0];
    return found.find((hit) => !cut || cut.distanceToPoint(hit.point) >= 0) || null;
  }

  /**
   * The corner of the piece that is near what was hit, else the point itself.
   * @param {Hit} hit
   * @param {number} x on the canvas, px
   * @param {number} y
   */
  corner(hit, x, y) {
    if (hit.object === this.world.ground) return hit.point.clone();
    const box = this.canvas.getBoundingClientRect();
    const at = hit.object.geometry.getAttribute("position");
    const matrix = hit.object.matrixWorld.clone();
    const own = matrix.clone();
    /** @type {InstancedMesh} */ (hit.object).getMatrixAt(/** @type {number} */ (hit.instanceId), own);
    matrix.multiply(own);
    let best = hit.point.clone();
    let least = 14;
    for (let i = 0; i < at.count; i += 1) {
      const spot = new Vector3().fromBufferAttribute(at, i).applyMatrix4(matrix);
      const seen = spot.clone().project(this.camera);
      const away = Math.hypot(((seen.x + 1) / 2) * box.width - x, ((1 - seen.y) / 2) * box.height - y);
      if (away < least) [best, least] = [spot, away];
    }
    return best;
  }

  /**
   * @param {number} x on the canvas, px
   * @param {number} y
   * @returns {number | null} the length between two points
   */
  measure(x, y) {
    const hit = this.pick(x, y);
    if (!hit) {
      say("Nothing there to measure from.");
      return null;
    }
    if (this.measured.length === 2) this.clearMeasure();
    this.measured.push(this.corner(hit, x, y));
    if (this.measured.length < 2) {
      const [a] = this.measured;
      this.lines.push(label("1", a, "#b00"));
      this.world.scene.add(this.lines[0]);
      say("First point set; now the second.", true);
      this.draw();
      return null;
    }
    const [a, b] = this.measured;
    const length = a.distanceTo(b);
    const flat = Math.hypot(a.x - b.x, a.y - b.y);
    this.lines.push(line([a, b], 0xbb0000), label(small(this.world.data, length, 0), a.clone().add(b).multiplyScalar(0.5), "#b00"));
    this.lines.slice(1).forEach((one) => this.world.scene.add(one));
    const [all, level, upright] = [length, flat, Math.abs(a.z - b.z)].map((one) => small(this.world.data, one, 1));
    say(`${all}; level ${level}, upright ${upright}`, true);
    this.draw();
    return length;
  }

  /** @param {PointerEvent} event */
  click(event) {
    if (!this.down || Math.hypot(event.clientX - this.down[0], event.clientY - this.down[1]) > 5) return;
    const box = this.canvas.getBoundingClientRect();
    const [x, y] = [event.clientX - box.left, event.clientY - box.top];
    if (this.pressed.measure) {
      this.measure(x, y);
      return;
    }
    const hit = this.pick(x, y);
    if (!hit) return;
    if (hit.object.userData.leaf !== undefined) this.swing(this.world.leaves[hit.object.userData.leaf].name);
    else if (hit.object.userData.mark !== undefined) {
      const mark = this.world.data.marks[hit.object.userData.mark];
      const said = sizes(this.world.data, mark.size, " x ") + (this.world.data.feet ? "" : " mm");
      say(mark.count ? `${mark.mark}, ${mark.part}, ${said}` : `${mark.mark}: ${mark.note}`);
    }
  }

  // keyboard

  /** @param {KeyboardEvent} event */
  key(event) {
    const turn = { ArrowLeft: [1, 0], ArrowRight: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
    const offset = new Vector3().subVectors(this.camera.position, this.controls.target);
    if (turn && event.shiftKey) {
      const right = new Vector3().crossVectors(new Vector3(0, 0, 1), offset).normalize();
      const by = right.multiplyScalar(-turn[0]).add(new Vector3(0, 0, turn[1])).multiplyScalar(0.06 * offset.length());
      this.look(this.camera.position.clone().add(by), this.controls.target.clone().add(by));
    } else if (turn) {
      const flat = Math.hypot(offset.x, offset.y);
      const azimuth = Math.atan2(offset.y, offset.x) - turn[0] * 0.1;
      const rise = MathUtils.clamp(Math.atan2(offset.z, flat) + turn[1] * 0.07, 0.01, 1.55);
      const size = offset.length();
      offset.set(Math.cos(azimuth) * Math.cos(rise), Math.sin(azimuth) * Math.cos(rise), Math.sin(rise)).multiplyScalar(size);
      this.look(this.controls.target.clone().add(offset), this.controls.target.clone());
    } else if (event.key === "+" || event.key === "=") {
      this.look(this.controls.target.clone().addScaledVector(offset, 0.87), this.controls.target.clone());
    } else if (event.key === "-") {
      this.look(this.controls.target.clone().addScaledVector(offset, 1.15), this.controls.target.clone());
    } else if (event.key === "w" || event.key === "s") {
      this.walk(event.key === "w" ? 1 : -1);
    } else if (event.key === "Enter" && this.pressed.measure) {
      const box = this.canvas.getBoundingClientRect();
      this.measure(box.width / 2, box.height / 2);
    } else if (event.key === "Escape" && this.pressed.measure) {
      this.toggleMeasure();
    } else if (this.keys[event.key] && !event.ctrlKey && !event.metaKey) {
      this.keys[event.key]();
    } else return;
    event.preventDefault();
  }

  // drawing: only when something changed

  resize() {
    const box = /** @type {HTMLElement} */ (this.canvas.parentElement).getBoundingClientRect();
    this.fine = Math.min(window.devicePixelRatio, 2);
    this.coarse = false;
    this.renderer.setPixelRatio(this.fine);
    this.renderer.setSize(box.width, box.height, false);
    this.camera.aspect = box.width / Math.max(box.height, 1);
    this.camera.updateProjectionMatrix();
    this.draw();
  }

  draw() {
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame((now) => {
      this.waiting = false;
      const seconds = Math.min((now - (this.last || now)) / 1000, 0.05) || 0.016;
      this.last = now;
      const moving = this.world.turn(seconds);
      if (moving) this.renderer.shadowMap.needsUpdate = true;
      const away = this.camera.position.distanceTo(this.world.middle);
      this.world.detail(this.camera.position);
      this.camera.near = Math.max(20, (away - 2 * this.world.radius) / 20);
      this.camera.far = away + 140 * this.world.radius;
      this.camera.updateProjectionMatrix();
      this.pace(now);
      this.renderer.render(this.world.scene, this.camera);
      this.frames += 1;
      if (moving) this.draw();
      else this.last = undefined;
    });
  }

  /**
   * On a slow machine, fewer pixels while the view moves; the next frame is late when this one is.
   * @param {number} now
   */
  pace(now) {
    clearTimeout(this.settling);
    this.settling = setTimeout(() => this.settle(), STILL);
    requestAnimationFrame((next) => {
      this.late = next - now > SLOW ? this.late + 1 : this.late;
      if (this.late > 2 && !this.coarse) this.sharpness(true);
    });
  }

  settle() {
    this.late = 0;
    if (!this.coarse) return;
    this.sharpness(false);
    this.draw();
  }

  /** @param {boolean} coarse */
  sharpness(coarse) {
    this.coarse = coarse;
    this.renderer.setPixelRatio(coarse ? this.fine / 2 : this.fine);
  }

  toPrint() {
    // paper gets the fine picture, even right after a movement
    this.sharpness(false);
    this.renderer.render(this.world.scene, this.camera);
    /** @type {HTMLImageElement} */ ($("print")).src = this.canvas.toDataURL("image/png");
  }

  /**
   * Where a point of the model is on the canvas, for tests and pointers.
   * @param {number} x
   * @param {number} y
   * @param {number} z
   */
  spot(x, y, z) {
    const box = this.canvas.getBoundingClientRect();
    this.camera.updateMatrixWorld();
    const seen = new Vector3(x, y, z).project(this.camera);
    return [box.left + ((seen.x + 1) / 2) * box.width, box.top + ((1 - seen.y) / 2) * box.height];
  }
}

function start() {
  let app = null;
  try {
    app = new App(read.models);
  } catch {
    // no WebGL: the pictures say what they can
    $("pictures").hidden = false;
    $("view").hidden = true;
    /** @type {HTMLElement} */ (document.querySelector("footer")).hidden = true;
    say("This browser shows no 3D; these are pictures of the fence.", true);
    return;
  }
  /** @type {PageWindow} */ (window).palewright = app;
  if (!read.live) return;
  const events = new EventSource("events");
  events.addEventListener("model", async () => {
    const answer = await fetch("model.json", { cache: "no-store" });
    app.models = await answer.json();
    $("trouble").hidden = true;
    app.show(Math.min(app.chosen, app.models.length - 1), false);
    say("Rebuilt.");
    /** @type {PageWindow} */ (window).rebuilt = (/** @type {PageWindow} */ (window).rebuilt || 0) + 1;
  });
  let gone = false;
  events.addEventListener("error", () => {
    gone = true;
    say("The program that serves this page has ended; this is what it built last.", true);
  });
  events.addEventListener("open", () => {
    if (gone) say("");
    gone = false;
  });
  events.addEventListener("trouble", (event) => {
    $("trouble").textContent = JSON.parse(event.data);
    $("trouble").hidden = false;
  });
}

start();
