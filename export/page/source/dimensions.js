// Figures in the scene: lengths of the legs, heights, labels of posts.
import { Vector3 } from "three";
import { label, line } from "./labels.js";
import { long } from "./lengths.js";

/**
 * @import { Line, Sprite } from "three"
 * @import { App } from "./app.js"
 * @import { World } from "./world.js"
 */

export class Dimensions {
  /** @param {App} app */
  constructor(app) {
    this.app = app;
  }

  toggle() {
    this.app.tools.mark("dimensions", !this.app.tools.pressed.dimensions);
    this.show();
  }

  show() {
    const { world } = this.app;
    world.dimensions.clear();
    if (this.app.tools.pressed.dimensions) world.dimensions.add(...dimensions(world));
    this.app.draw();
  }
}

/** @param {World} world */
function dimensions(world) {
  /** @type {(Line | Sprite)[]} */
  const made = [];
  const shown = world.data.legs.length > 24 ? [] : world.data.legs;
  shown.forEach((leg) => {
    const out = new Vector3(...leg.front, 0).multiplyScalar(700);
    const lift = new Vector3(0, 0, 60);
    const a = new Vector3(...leg.start).add(out).add(lift);
    const b = new Vector3(...leg.end).add(out).add(lift);
    const tick = out.clone().multiplyScalar(0.15);
    made.push(line([a, b]), line([a.clone().add(tick), a.clone().sub(tick)]), line([b.clone().add(tick), b.clone().sub(tick)]));
    made.push(label(long(world.data, leg.length), a.clone().add(b).multiplyScalar(0.5).setZ((a.z + b.z) / 2 + 80)));
  });
  // line posts stand too close for labels; the others tell where one is
  const named = world.data.posts.filter((post) => post.kind !== "line").slice(0, 60);
  named.forEach((post) => {
    made.push(label(post.label, new Vector3(post.at[0], post.at[1], post.at[2] + post.top + 160)));
  });
  const first = named[0] || world.data.posts[0];
  const along = new Vector3(...first.along, 0).multiplyScalar(-350);
  const foot = new Vector3(...first.at).add(along);
  const tip = foot.clone().setZ(foot.z + first.top);
  made.push(line([foot, tip]), label(long(world.data, first.top), foot.clone().add(tip).multiplyScalar(0.5)));
  return made;
}
