// Lines and texts in the scene.
import { BufferGeometry, CanvasTexture, Line, LineBasicMaterial, SRGBColorSpace, Sprite, SpriteMaterial } from "three";

/** @import { Vector3 } from "three" */

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
