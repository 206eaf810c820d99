// Lines and figures in the scene: lengths of the legs, heights, labels of posts, a measured length.
import { BufferGeometry, CanvasTexture, Line, LineBasicMaterial, SRGBColorSpace, Sprite, SpriteMaterial, Vector3 } from "three";

import { long } from "./lengths.js";

/** @import { World } from "./world.js" */

const INK = 0x10243a;

/**
 * @param {Vector3[]} points
 * @param {number} [colour]
 */
export function line(points, colour = INK) {
  const material = new LineBasicMaterial({ color: colour, depthTest: false });
  const made = new Line(new BufferGeometry().setFromPoints(points), material);
  made.renderOrder = 3;
  made.raycast = () => {};
  return made;
}

/**
 * @param {string} text
 * @param {Vector3} at
 * @param {string} [colour]
 */
export function label(text, at, colour = "#10243a") {
  const canvas = document.createElement("canvas");
  const pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
  const font = "600 44px system-ui, sans-serif";
  pen.font = font;
  canvas.width = Math.ceil(pen.measureText(text).width) + 28;
  canvas.height = 64;
  pen.font = font;
  pen.fillStyle = "rgba(255,255,255,0.88)";
  pen.fillRect(0, 0, canvas.width, canvas.height);
  pen.fillStyle = colour;
  pen.textBaseline = "middle";
  pen.fillText(text, 14, 34);
  const map = new CanvasTexture(canvas);
  map.colorSpace = SRGBColorSpace;
  const sprite = new Sprite(new SpriteMaterial({ map, depthTest: false, sizeAttenuation: false }));
  const tall = 0.024;
  sprite.scale.set((tall * canvas.width) / canvas.height, tall, 1);
  sprite.position.copy(at);
  sprite.renderOrder = 4;
  sprite.raycast = () => {};
  return sprite;
}

/** @param {World} world */
export function dimensions(world) {
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
