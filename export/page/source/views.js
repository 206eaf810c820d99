// Where the fence is looked at from.
import { Box3, MathUtils, PerspectiveCamera, Vector3 } from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import { say } from "./messages.js";
import { words } from "./words.js";

/**
 * @import { App } from "./app.js"
 * @import { PostData } from "./data.js"
 */

const EYE = 1600; // mm over the ground
const FILLED = 0.88; // of the view that a fence fills
const ASIDE = [22, -22, 34, -34]; // degrees that the first view may be from the side
const BESIDE = [6000, 3600, 2400]; // mm of fence on either side of a gate that the first view of a long one shows
const SEEN = 4200; // mm of fence that are seen at eye level
const NEAREST = 3800; // mm that one stands before it
const THREAD = 0.055; // a fence less tall in the view than this is a thread
const LOWEST = Math.PI * 0.497; // how far down the eye may go, from straight above

export class Views {
  /** @param {App} app */
  constructor(app) {
    this.app = app;
    this.camera = new PerspectiveCamera(38, 1, 50, 1e7);
    this.camera.up.set(0, 0, 1);
    this.controls = new OrbitControls(this.camera, app.canvas);
    this.controls.zoomToCursor = true;
    this.controls.addEventListener("change", () => app.draw());
    /** @type {(() => void) | null} what brings the view about again where the page gets another shape */
    this.kept = null;
    this.controls.addEventListener("start", () => { this.kept = null; });
  }

  /** Keep to what can be seen of another fence. */
  reach() {
    this.controls.maxDistance = 30 * this.app.world.radius;
    this.below(false);
  }

  /** @param {boolean} allowed whether the eye may go below the ground */
  below(allowed) {
    this.controls.maxPolarAngle = allowed ? Math.PI : LOWEST;
  }

  /**
   * @param {Vector3} from
   * @param {Vector3} at
   */
  look(from, at) {
    this.app.choosing.photo.hide();
    this.kept = null;
    this.controls.target.copy(at);
    this.camera.position.copy(from);
    this.controls.update();
    this.app.draw();
  }

  /**
   * Move the eye back and aside until posts fill the view.
   * @param {Vector3} direction from the fence to the eye, of length 1
   * @param {PostData[]} [posts] all of them if left out
   */
  fit(direction, posts = this.app.world.data.posts) {
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
    this.look(at.clone().addScaledVector(direction, away), at);
  }

  /**
   * Take a view that fills the page, whatever shape that has or gets.
   * @param {() => void} place
   */
  take(place) {
    this.app.choosing.photo.hide();
    this.app.section.leave();
    say("");
    this.again(place);
  }

  /** @param {() => void} place */
  again(place) {
    place();
    this.kept = place;
  }

  /** The page has another shape. */
  reshape() {
    if (this.kept) this.again(this.kept);
  }

  /**
   * How far aside to look from, degrees, so that most of what is seen lies in the sun.
   * @param {Vector3} out the way the front looks
   */
  sunny(out) {
    const { data } = this.app.world;
    const seen = (/** @type {number} */ degrees) => {
      const eye = out.clone().applyAxisAngle(new Vector3(0, 0, 1), MathUtils.degToRad(degrees));
      const lit = data.legs.filter(({ front: [u, v] }) => u * data.light.sun[0] + v * data.light.sun[1] > 0);
      return lit.reduce((sum, { front: [u, v], length }) => sum + length * Math.max(0, u * eye.x + v * eye.y), 0);
    };
    return ASIDE.reduce((a, b) => (seen(b) > seen(a) ? b : a));
  }

  first() {
    this.take(() => this.placeFirst());
  }

  /** From aside, on the gate; of a long fence only what stands beside it, or at eye level. */
  placeFirst() {
    const { data, front } = this.app.world;
    const [gate] = data.gates;
    const [x, y] = gate ? gate.front : [front.x, front.y];
    const turn = this.sunny(new Vector3(x, y, 0));
    const upright = new Vector3(0, 0, 1);
    const direction = new Vector3(x, y, 0).applyAxisAngle(upright, MathUtils.degToRad(turn)).setZ(0.16).normalize();
    const tall = Math.tan(MathUtils.degToRad(this.camera.fov) / 2);
    /** @type {(reach: number) => PostData[]} */
    const beside = (reach) => data.posts.filter((post) => gate && Math.hypot(post.at[0] - gate.at[0], post.at[1] - gate.at[1]) < reach);
    for (const posts of [data.posts, ...BESIDE.map(beside)]) {
      if (posts.length < 2) continue;
      this.fit(direction, posts);
      const away = this.camera.position.distanceTo(this.controls.target);
      if (posts[0].top / (2 * tall * away) > THREAD) return;
    }
    this.placeEye();
  }

  front() {
    this.take(() => this.fit(this.app.world.front.clone().setZ(0.22).normalize()));
  }

  back() {
    this.take(() => this.fit(this.app.world.front.clone().negate().setZ(0.22).normalize()));
  }

  top() {
    this.take(() => this.fit(this.app.world.front.clone().multiplyScalar(0.002).setZ(1).normalize()));
  }

  eye() {
    this.take(() => this.placeEye());
    say(words.eyeLevel());
  }

  /** Aside before the gate, else before the middle of the longest leg, where a piece of fence fills the width. */
  placeEye() {
    const { world } = this.app;
    const [gate] = world.data.gates;
    const leg = world.data.legs.reduce((a, b) => (b.length > a.length ? b : a));
    const at = gate ? new Vector3(...gate.at) : new Vector3(...leg.start).lerp(new Vector3(...leg.end), 0.5);
    const out = new Vector3(...(gate || leg).front, 0);
    const wide = Math.tan(MathUtils.degToRad(this.camera.fov) / 2) * (this.camera.aspect || 1);
    const away = Math.max(SEEN / 2 / wide, NEAREST);
    const from = at.clone().addScaledVector(out.applyAxisAngle(new Vector3(0, 0, 1), MathUtils.degToRad(this.sunny(out))), away);
    from.z = world.groundAt(from.x, from.y) + EYE;
    at.z = world.groundAt(at.x, at.y) + 0.5 * EYE;
    this.look(from, at);
  }

  /** @param {number} steps */
  walk(steps) {
    const way = new Vector3().subVectors(this.controls.target, this.camera.position).setZ(0).normalize();
    const from = this.camera.position.clone().addScaledVector(way, 400 * steps);
    from.z = this.app.world.groundAt(from.x, from.y) + EYE;
    const at = this.controls.target.clone().addScaledVector(way, 400 * steps);
    this.look(from, at);
  }

  /**
   * Where a point of the model is on the page, px: for tests and pointers.
   * @param {number} x
   * @param {number} y
   * @param {number} z
   */
  spot(x, y, z) {
    const box = this.app.canvas.getBoundingClientRect();
    this.camera.updateMatrixWorld();
    const seen = new Vector3(x, y, z).project(this.camera);
    return [box.left + ((seen.x + 1) / 2) * box.width, box.top + ((1 - seen.y) / 2) * box.height];
  }
}
