// What pointer and keyboard do to the fence.
import { MathUtils, Vector3 } from "three";
import { sizes } from "./lengths.js";
import { say } from "./messages.js";

/** @import { App } from "./app.js" */

export class Hands {
  /** @param {App} app */
  constructor(app) {
    this.app = app;
    /** @type {[number, number] | undefined} where the pointer went down */
    this.down = undefined;
    app.canvas.addEventListener("pointerdown", (event) => { this.down = [event.clientX, event.clientY]; });
    app.canvas.addEventListener("pointerup", (event) => this.click(event));
    document.addEventListener("keydown", (event) => this.key(event));
    this.allowed = true; // whether single keys do something wherever the focus is
    app.tools.explain((on) => { this.allowed = on; });
  }

  /** @param {PointerEvent} event */
  click(event) {
    const { app } = this;
    if (!this.down || Math.hypot(event.clientX - this.down[0], event.clientY - this.down[1]) > 5) return;
    const box = app.canvas.getBoundingClientRect();
    const [x, y] = [event.clientX - box.left, event.clientY - box.top];
    if (app.tools.pressed.measure) {
      app.measuring.measure(x, y);
      return;
    }
    const hit = app.measuring.pick(x, y);
    if (!hit) return;
    if (hit.object.userData.leaf !== undefined) app.gates.swing(app.world.leaves[hit.object.userData.leaf].name);
    else if (hit.object.userData.mark !== undefined) {
      const mark = app.world.data.marks[hit.object.userData.mark];
      const said = sizes(app.world.data, mark.size, " x ") + (app.world.data.feet ? "" : " mm");
      say(mark.count ? `${mark.mark}, ${mark.part}, ${said}` : `${mark.mark}: ${mark.note}`);
    }
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    if (event.defaultPrevented || event.ctrlKey || event.metaKey || event.altKey) return;
    const at = /** @type {Element} */ (event.target);
    if (at.closest("input:not([type=checkbox]), textarea, select, [contenteditable]")) return;
    const view = at === this.app.canvas;
    if (this.escape(event) || this.point(event, view)) event.preventDefault();
    else if (!this.allowed && !view) return;
    else if (this.turn(event, view) || this.press(event)) event.preventDefault();
  }

  /**
   * Leave what is open, the last first.
   * @param {KeyboardEvent} event
   */
  escape({ key }) {
    const { measuring, panels, section, tools } = this.app;
    if (key !== "Escape") return false;
    if (tools.unfolded()) tools.unfold(false);
    else if (tools.pressed.measure) measuring.toggle();
    else if (section.post) section.toggle();
    else panels.close();
    return true;
  }

  /**
   * Set a point of what is measured under the cross.
   * @param {KeyboardEvent} event
   * @param {boolean} view whether it has the focus; Enter on a button presses that
   */
  point({ key, target }, view) {
    const { canvas, measuring, tools } = this.app;
    if (key !== "Enter" || !tools.pressed.measure || !(view || target === document.body)) return false;
    const box = canvas.getBoundingClientRect();
    measuring.measure(box.width / 2, box.height / 2);
    return true;
  }

  /**
   * @param {KeyboardEvent} event
   * @param {boolean} view whether it has the focus
   */
  turn({ key, shiftKey, target }, view) {
    const { choosing, views } = this.app;
    const turn = { ArrowLeft: [1, 0], ArrowRight: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[key];
    const offset = new Vector3().subVectors(views.camera.position, views.controls.target);
    const at = views.controls.target.clone();
    if (turn && !view && /** @type {Element} */ (target).closest("#panel-body, #rest, #pictures, #trouble")) return false; // scrolls
    if (choosing.photo.on) return choosing.photo.key({ key, shiftKey });
    if (turn && shiftKey) {
      const right = new Vector3().crossVectors(new Vector3(0, 0, 1), offset).normalize();
      const by = right.multiplyScalar(-turn[0]).add(new Vector3(0, 0, turn[1])).multiplyScalar(0.06 * offset.length());
      views.look(views.camera.position.clone().add(by), at.add(by));
    } else if (turn) {
      const azimuth = Math.atan2(offset.y, offset.x) - turn[0] * 0.1;
      const rise = MathUtils.clamp(Math.atan2(offset.z, Math.hypot(offset.x, offset.y)) + turn[1] * 0.07, 0.01, 1.55);
      const size = offset.length();
      offset.set(Math.cos(azimuth) * Math.cos(rise), Math.sin(azimuth) * Math.cos(rise), Math.sin(rise)).multiplyScalar(size);
      views.look(at.clone().add(offset), at);
    } else if (key === "+" || key === "=") views.look(at.clone().addScaledVector(offset, 0.87), at);
    else if (key === "-") views.look(at.clone().addScaledVector(offset, 1.15), at);
    else if (key === "w" || key === "s") views.walk(key === "w" ? 1 : -1);
    else return false;
    return true;
  }

  /** @param {KeyboardEvent} event */
  press({ key }) {
    const act = this.app.tools.keys[key];
    if (act) act();
    return Boolean(act);
  }
}
