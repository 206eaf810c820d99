// Figures on the fence: lengths that meet at the corners, what a run has in all, gates, a gap, a height,
// and labels of posts; as many as can be read from where one looks.
import { Matrix4, Vector3 } from "three";
import { label, labelSize, lines } from "./labels.js";
import { long, small } from "./lengths.js";
import { say } from "./messages.js";
import { scrap } from "./scrap.js";
import { words } from "./words.js";

/**
 * @import { Box3, PerspectiveCamera, Sprite } from "three"
 * @import { App } from "./app.js"
 * @import { LegData } from "./data.js"
 * @import { World } from "./world.js"
 */

/**
 * @typedef {object} Figure
 * @property {string} text
 * @property {Vector3} at its middle
 * @property {[Vector3, Vector3]} [of] what it measures: it is left out where that is seen shorter than itself
 * @property {number} [hung] how far up its field it is held, of its height; else at its middle
 * @property {Sprite} [sprite] made when it is first seen
 */

/** @typedef {{ figures: Figure[], strokes: Vector3[] }} Drawing */

const OVER = 220; // mm from the tops of the posts up to the lines of the lengths
const TICK = 90; // mm that a tick reaches to either side
const APART = 4; // px between texts
const BELOW = 1.6; // of its height: where a text is held that is to lie under a line
const SHORTEST = 0.7; // of its text that a length may be seen

export class Dimensions {
  /** @param {App} app */
  constructor(app) {
    this.app = app;
    /** @type {Figure[]} the most important first */
    this.figures = [];
  }

  toggle() {
    this.app.tools.mark("dimensions", !this.app.tools.pressed.dimensions);
    this.show();
    const { data } = this.app.world;
    say(this.app.tools.pressed.dimensions ? data.facts.map((fact) => fact.join(" ")).join(", ") : "");
  }

  show() {
    const { world } = this.app;
    scrap(world.dimensions);
    world.dimensions.clear();
    this.figures = [];
    if (this.app.tools.pressed.dimensions) {
      const { figures, strokes } = drawing(world);
      this.figures = figures;
      world.dimensions.add(lines(strokes));
    }
    this.app.draw();
  }

  /**
   * Show those figures that have room, and say where: their boxes on the canvas, px.
   * @param {PerspectiveCamera} camera
   * @param {number} wide
   * @param {number} tall
   */
  arrange(camera, wide, tall) {
    /** @type {[number, number, number, number][]} left, top, right and bottom */
    const taken = [];
    if (this.figures.length === 0) return taken;
    camera.updateMatrixWorld();
    /** @param {Vector3} spot */
    const seen = (spot) => {
      const at = spot.clone().project(camera);
      return { x: ((at.x + 1) / 2) * wide, y: ((1 - at.y) / 2) * tall, z: at.z };
    };
    this.figures.forEach((figure) => {
      const at = seen(figure.at);
      const [w, h] = labelSize(figure.text);
      const top = at.y - h * (1 - (figure.hung ?? 0.5));
      const box = /** @type {[number, number, number, number]} */ ([at.x - w / 2, top, at.x + w / 2, top + h]);
      // what lies a little beside the view is moved in
      const by = Math.max(-box[0], 0) - Math.max(box[2] - wide, 0);
      box[0] += by;
      box[2] += by;
      const within = at.z < 1 && Math.abs(by) <= w / 2 && w <= wide && box[1] >= 0 && box[3] <= tall;
      const free = within && !taken.some((other) => (
        box[0] < other[2] + APART && other[0] < box[2] + APART && box[1] < other[3] + APART && other[1] < box[3] + APART
      ));
      const shown = free && (!figure.of || lengthSeen(seen(figure.of[0]), seen(figure.of[1])) > SHORTEST * w);
      if (shown) taken.push(box);
      if (shown && !figure.sprite) {
        figure.sprite = label(figure.text, figure.at);
        figure.sprite.center.y = figure.hung ?? 0.5;
        this.app.world.dimensions.add(figure.sprite);
      }
      if (figure.sprite) figure.sprite.center.x = 0.5 - by / w;
      if (figure.sprite) figure.sprite.visible = shown;
    });
    return taken;
  }
}

/** @typedef {{ x: number, y: number, z: number }} Seen */

/**
 * @param {Seen} a
 * @param {Seen} b
 */
const lengthSeen = (a, b) => (a.z < 1 && b.z < 1 ? Math.hypot(a.x - b.x, a.y - b.y) : 0);

/**
 * @param {World} world
 * @returns {Drawing}
 */
function drawing(world) {
  const { data } = world;
  const lengths = legLengths(world);
  const parts = [gateWidths(world), lengths.totals, height(world), gap(world), lengths.legs];
  // line posts stand too close for labels; the others tell where one is
  const named = data.posts.filter((post) => post.kind !== "line");
  const labels = named.map((post) => ({ text: post.label, at: new Vector3(post.at[0], post.at[1], post.at[2] + 0.5 * post.top) }));
  return {
    figures: [...parts.flatMap((part) => part.figures), ...labels],
    strokes: parts.flatMap((part) => part.strokes),
  };
}

/**
 * A line with a tick at each end.
 * @param {Vector3} a
 * @param {Vector3} b
 * @param {Vector3} across of length 1
 */
function measure(a, b, across) {
  const tick = across.clone().multiplyScalar(TICK);
  return [a, b, ...[a, b].flatMap((end) => [end.clone().add(tick), end.clone().sub(tick)])];
}

const UP = new Vector3(0, 0, 1);

/**
 * The middle of the longest of some legs.
 * @param {LegData[]} legs
 */
function middleOf(legs) {
  const leg = legs.reduce((a, b) => (b.length > a.length ? b : a));
  return new Vector3(...leg.start).lerp(new Vector3(...leg.end), 0.5);
}

/**
 * Over the tops of the posts, from corner to corner, the longest first; and what each run has in all.
 * @param {World} world
 */
function legLengths(world) {
  const { legs, posts } = world.data;
  const top = Math.max(...posts.map((post) => post.top)) + OVER;
  /** @param {number[]} at */
  const over = (at) => new Vector3(at[0], at[1], at[2] + top);
  const ends = legs.map((leg) => ({ leg, a: over(leg.start), b: over(leg.end) }));
  /** @type {Drawing} */
  const each = {
    strokes: ends.flatMap(({ leg, a, b }) => measure(a, b, new Vector3(...leg.front, 0))),
    figures: ends.sort((one, other) => other.leg.length - one.leg.length).map(({ leg, a, b }) => ({
      text: long(world.data, leg.length), at: a.clone().add(b).multiplyScalar(0.5), of: [a, b],
    })),
  };
  /** @type {Map<number, LegData[]>} */
  const runs = new Map();
  legs.forEach((leg) => runs.set(leg.run, [...(runs.get(leg.run) || []), leg]));
  const several = [...runs.values()].filter((own) => own.length > 1);
  /** @type {Drawing} */
  const totals = {
    strokes: [],
    figures: several.map((own) => ({
      text: words.inAll(long(world.data, own.reduce((sum, leg) => sum + leg.length, 0))),
      at: over(middleOf(own).toArray()),
      hung: -0.8,
    })),
  };
  return { legs: each, totals };
}

/**
 * At the foot of each gate, from post to post.
 * @param {World} world
 * @returns {Drawing}
 */
function gateWidths({ data }) {
  const ends = data.gates.map((gate) => {
    const half = new Vector3(-gate.front[1], gate.front[0], 0).multiplyScalar(gate.width / 2);
    const at = new Vector3(...gate.at);
    return { gate, a: at.clone().sub(half), b: at.clone().add(half), at };
  });
  return {
    strokes: ends.flatMap(({ a, b }) => measure(a, b, UP)),
    figures: ends.map(({ gate, at }) => ({ text: words.gateWidth(small(data, gate.width, 0)), at, hung: BELOW })),
  };
}

/**
 * Of the first post that is an end or a corner.
 * @param {World} world
 * @returns {Drawing}
 */
function height({ data }) {
  const first = data.posts.find((post) => post.kind !== "line") || data.posts[0];
  const along = new Vector3(...first.along, 0);
  const foot = new Vector3(...first.at).addScaledVector(along, -350);
  const tip = foot.clone().setZ(foot.z + first.top);
  return {
    strokes: measure(foot, tip, along),
    figures: [{ text: words.postHigh(long(data, first.top)), at: foot.clone().add(tip).multiplyScalar(0.5) }],
  };
}

/**
 * Between two pales beside the first gate, else in the middle of the longest leg.
 * @param {World} world
 * @returns {Drawing}
 */
function gap(world) {
  const { data } = world;
  const [gate] = data.gates;
  const longest = data.legs.reduce((a, b) => (b.length > a.length ? b : a));
  const near = gate ? new Vector3(...gate.at) : middleOf(data.legs);
  const out = new Vector3(...(gate || longest).front, 0);
  const way = new Vector3(-out.y, out.x, 0);
  const pales = palesNear(world, near, out, way).sort((a, b) => a.from - b.from);
  const between = pales.slice(1).map((pale, number) => ({ from: pales[number].to, to: pale.from, pale }));
  const open = between.filter(({ from, to }) => to - from > 5 && to - from < 400);
  if (open.length === 0) return { figures: [], strokes: [] };
  const { from, to, pale } = open.reduce((a, b) => (Math.abs(b.from) < Math.abs(a.from) ? b : a));
  /** @param {number} along */
  const spot = (along) => near.clone().addScaledVector(way, along).addScaledVector(out, pale.out).setZ(pale.level);
  const [a, b] = [spot(from), spot(to)];
  const beside = way.clone().multiplyScalar(260);
  return {
    strokes: [...measure(a, b, UP), a, a.clone().sub(beside), b, b.clone().add(beside)],
    figures: [{ text: words.gapWide(small(data, to - from, 0)), at: b.clone().add(beside).setZ(b.z) }],
  };
}

/**
 * Pales of the fence within a few metres of a place: from where to where along a way, mm from the place,
 * how far their faces are out, and the level of their middles.
 * @param {World} world
 * @param {Vector3} near
 * @param {Vector3} out
 * @param {Vector3} way
 */
function palesNear(world, near, out, way) {
  /** @type {{ from: number, to: number, out: number, level: number }[]} */
  const found = [];
  world.data.marks.forEach((mark, number) => {
    if (mark.part !== "pale") return;
    const geometry = world.geometries[number];
    geometry.computeBoundingBox();
    const own = world.meshes.filter((mesh) => mesh.userData.mark === number && mesh.userData.leaf === undefined);
    const matrix = new Matrix4();
    own.forEach((mesh) => {
      for (let i = 0; i < mesh.count; i += 1) {
        mesh.getMatrixAt(i, matrix);
        const at = new Vector3().setFromMatrixPosition(matrix).sub(near);
        if (Math.abs(at.dot(out)) > 400 || Math.abs(at.dot(way)) > 5000) continue;
        const { min, max } = /** @type {Box3} */ (geometry.boundingBox);
        const corners = [min.x, max.x].flatMap((x) => [min.y, max.y].flatMap((y) => [min.z, max.z].map((z) => (
          new Vector3(x, y, z).applyMatrix4(matrix).sub(near)
        ))));
        const levels = corners.map((corner) => corner.z + near.z);
        const along = corners.map((corner) => corner.dot(way));
        found.push({
          from: Math.min(...along), to: Math.max(...along), out: Math.max(...corners.map((corner) => corner.dot(out))), level: (Math.min(...levels) + Math.max(...levels)) / 2,
        });
      }
    });
  });
  return found;
}
