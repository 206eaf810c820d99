// Where north is in the view.
import { Vector3 } from "three";
import { $ } from "./dom.js";
import { drawn } from "./icons.js";
import { words } from "./words.js";

/** @import { App } from "./app.js" */

export class Compass {
  /** @param {App} app */
  constructor(app) {
    this.app = app;
    // half of the needle filled, as the north point of the plans
    this.needle = drawn("g", {});
    this.needle.append(
      drawn("path", { d: "M12 4l4.5 15L12 16z", class: "full thin" }),
      drawn("path", { d: "M12 4L7.5 19l4.5-3z", class: "thin" }),
    );
    const letter = drawn("text", { x: "12", y: "3" });
    letter.textContent = "N";
    this.needle.append(letter);
    const field = drawn("svg", { viewBox: "-3 -4.5 30 30", class: "icon", "aria-hidden": "true" });
    field.append(this.needle);
    $("north").setAttribute("aria-label", `N: ${words.north}`);
    $("north").append(field);
    $("north").hidden = false;
    $("north").addEventListener("click", () => this.face());
    app.tools.keys.n = () => this.face();
  }

  /** Turn with the view. */
  turn() {
    const way = this.app.views.camera.getWorldDirection(new Vector3());
    const up = new Vector3(0, 1, 0).applyQuaternion(this.app.views.camera.quaternion);
    // looking straight down the top of the picture tells
    const [x, y] = Math.hypot(way.x, way.y) > 0.05 ? [way.x, way.y] : [up.x, up.y];
    const degrees = Math.round((-Math.atan2(x, y) * 180) / Math.PI);
    this.needle.setAttribute("transform", `rotate(${degrees} 12 10.5)`);
  }

  /** Turn the view about what it looks at, until north is up. */
  face() {
    const { camera, controls } = this.app.views;
    const offset = camera.position.clone().sub(controls.target);
    const at = controls.target.clone();
    this.app.views.look(at.clone().add(new Vector3(0, -Math.hypot(offset.x, offset.y, 1), offset.z)), at);
  }
}
