// Measuring between two points of the fence or the ground.
import { Raycaster, Vector2, Vector3 } from "three";
import { $ } from "./dom.js";
import { label, lines } from "./labels.js";
import { small } from "./lengths.js";
import { say } from "./messages.js";
import { scrap } from "./scrap.js";
import { words } from "./words.js";

/**
 * @import { InstancedMesh, Intersection, LineSegments, Mesh, Plane, Sprite } from "three"
 * @import { App } from "./app.js"
 */

/** @typedef {Intersection<Mesh>} Hit a point of a piece, or of the ground */

export class Measuring {
  /** @param {App} app */
  constructor(app) {
    this.app = app;
    /** @type {Vector3[]} one or two points */
    this.measured = [];
    /** @type {(LineSegments | Sprite)[]} that show what is measured */
    this.lines = [];
  }

  toggle() {
    this.app.tools.mark("measure", !this.app.tools.pressed.measure);
    $("cross").hidden = !this.app.tools.pressed.measure;
    this.clear();
    say(this.app.tools.pressed.measure ? words.measuring() : "", true);
  }

  /** The fence that was measured is gone, and the lines with it. */
  forget() {
    this.lines = [];
    this.measured = [];
  }

  clear() {
    this.lines.forEach((one) => {
      one.removeFromParent();
      scrap(one);
    });
    this.lines = [];
    this.measured = [];
    this.app.draw();
  }

  /**
   * @param {number} x on the canvas, px
   * @param {number} y
   * @returns {Hit | null}
   */
  pick(x, y) {
    const box = this.app.canvas.getBoundingClientRect();
    const ray = new Raycaster();
    ray.setFromCamera(new Vector2((x / box.width) * 2 - 1, 1 - (y / box.height) * 2), this.app.views.camera);
    /** @type {Hit[]} */
    const found = ray.intersectObjects([...this.app.world.meshes, this.app.world.ground], false);
    const cut = this.app.section.post && /** @type {Plane[]} */ (this.app.world.ground.material.clippingPlanes)[0];
    return found.find((hit) => !this.app.world.buried(hit.object) && (!cut || cut.distanceToPoint(hit.point) >= 0)) || null;
  }

  /**
   * The corner of the piece that is near what was hit, else the point itself.
   * @param {Hit} hit
   * @param {number} x on the canvas, px
   * @param {number} y
   */
  corner(hit, x, y) {
    if (hit.object === this.app.world.ground) return hit.point.clone();
    const box = this.app.canvas.getBoundingClientRect();
    const at = hit.object.geometry.getAttribute("position");
    const matrix = hit.object.matrixWorld.clone();
    const own = matrix.clone();
    /** @type {InstancedMesh} */ (hit.object).getMatrixAt(/** @type {number} */ (hit.instanceId), own);
    matrix.multiply(own);
    let best = hit.point.clone();
    let least = 14;
    for (let i = 0; i < at.count; i += 1) {
      const spot = new Vector3().fromBufferAttribute(at, i).applyMatrix4(matrix);
      const seen = spot.clone().project(this.app.views.camera);
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
      say(words.nothingThere);
      return null;
    }
    if (this.measured.length === 2) this.clear();
    this.measured.push(this.corner(hit, x, y));
    if (this.measured.length < 2) {
      const [a] = this.measured;
      this.lines.push(label("1", a, "#b00"));
      this.app.world.scene.add(this.lines[0]);
      say(words.firstPoint, true);
      this.app.draw();
      return null;
    }
    const [a, b] = this.measured;
    const length = a.distanceTo(b);
    const flat = Math.hypot(a.x - b.x, a.y - b.y);
    this.lines.push(lines([a, b], 0xbb0000), label(small(this.app.world.data, length, 0), a.clone().add(b).multiplyScalar(0.5), "#b00"));
    this.lines.slice(1).forEach((one) => this.app.world.scene.add(one));
    const [all, level, upright] = [length, flat, Math.abs(a.z - b.z)].map((one) => small(this.app.world.data, one, 1));
    say(words.measured(all, level, upright), true);
    this.app.draw();
    return length;
  }
}
