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
    app.canvas.addEventListener("keydown", (event) => this.key(event));
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
    const { measuring, tools, views } = this.app;
    const turn = { ArrowLeft: [1, 0], ArrowRight: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
    const offset = new Vector3().subVectors(views.camera.position, views.controls.target);
    if (turn && event.shiftKey) {
      const right = new Vector3().crossVectors(new Vector3(0, 0, 1), offset).normalize();
      const by = right.multiplyScalar(-turn[0]).add(new Vector3(0, 0, turn[1])).multiplyScalar(0.06 * offset.length());
      views.look(views.camera.position.clone().add(by), views.controls.target.clone().add(by));
    } else if (turn) {
      const flat = Math.hypot(offset.x, offset.y);
      const azimuth = Math.atan2(offset.y, offset.x) - turn[0] * 0.1;
      const rise = MathUtils.clamp(Math.atan2(offset.z, flat) + turn[1] * 0.07, 0.01, 1.55);
      const size = offset.length();
      offset.set(Math.cos(azimuth) * Math.cos(rise), Math.sin(azimuth) * Math.cos(rise), Math.sin(rise)).multiplyScalar(size);
      views.look(views.controls.target.clone().add(offset), views.controls.target.clone());
    } else if (event.key === "+" || event.key === "=") {
      views.look(views.controls.target.clone().addScaledVector(offset, 0.87), views.controls.target.clone());
    } else if (event.key === "-") {
      views.look(views.controls.target.clone().addScaledVector(offset, 1.15), views.controls.target.clone());
    } else if (event.key === "w" || event.key === "s") {
      views.walk(event.key === "w" ? 1 : -1);
    } else if (event.key === "Enter" && tools.pressed.measure) {
      const box = this.app.canvas.getBoundingClientRect();
      measuring.measure(box.width / 2, box.height / 2);
    } else if (event.key === "Escape" && tools.pressed.measure) {
      measuring.toggle();
    } else if (tools.keys[event.key] && !event.ctrlKey && !event.metaKey) {
      tools.keys[event.key]();
    } else return;
    event.preventDefault();
  }
}
