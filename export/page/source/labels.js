// Lines and texts in the scene; texts keep one size on the page, however far away.
import {
  BufferGeometry, CanvasTexture, LineBasicMaterial, LineSegments, MathUtils, SRGBColorSpace, Sprite, SpriteMaterial, Vector2,
} from "three";

/** @import { PerspectiveCamera, Vector3 } from "three" */

const INK = 0x10243a;
const TALL = 22; // px of the page that a text's field is tall
const [FINE, MARGIN] = [64, 28]; // px of the picture of a text: its height, and what is beside the letters
const FONT = "600 44px system-ui, sans-serif";

/**
 * @param {Vector3[]} points two to a line
 * @param {number} [colour]
 */
export function lines(points, colour = INK) {
  const material = new LineBasicMaterial({ color: colour, depthTest: false });
  const made = new LineSegments(new BufferGeometry().setFromPoints(points), material);
  made.renderOrder = 3;
  made.frustumCulled = false;
  made.raycast = () => {};
  return made;
}

/** @type {CanvasRenderingContext2D | undefined} */
let ruler;

/**
 * How wide and tall a text's field is on the page, px.
 * @param {string} text
 * @returns {[number, number]}
 */
export function labelSize(text) {
  ruler = ruler || /** @type {CanvasRenderingContext2D} */ (document.createElement("canvas").getContext("2d"));
  ruler.font = FONT;
  return [((Math.ceil(ruler.measureText(text).width) + MARGIN) * TALL) / FINE, TALL];
}

/**
 * @param {string} text
 * @param {Vector3} at
 * @param {string} [colour]
 */
export function label(text, at, colour = "#10243a") {
  const canvas = document.createElement("canvas");
  const pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
  const [wide, tall] = labelSize(text);
  canvas.width = Math.round((wide * FINE) / TALL);
  canvas.height = FINE;
  pen.font = FONT;
  pen.fillStyle = "rgba(255,255,255,0.9)";
  pen.fillRect(0, 0, canvas.width, canvas.height);
  pen.fillStyle = colour;
  pen.textBaseline = "middle";
  pen.fillText(text, MARGIN / 2, FINE / 2 + 2);
  const map = new CanvasTexture(canvas);
  map.colorSpace = SRGBColorSpace;
  const sprite = new Sprite(new SpriteMaterial({ map, depthTest: false, sizeAttenuation: false }));
  sprite.position.copy(at);
  sprite.renderOrder = 4;
  sprite.frustumCulled = false;
  sprite.raycast = () => {};
  const size = new Vector2();
  sprite.onBeforeRender = (renderer, _, camera) => {
    const half = Math.tan(MathUtils.degToRad(/** @type {PerspectiveCamera} */ (camera).fov) / 2);
    const pixel = (2 * half) / renderer.getSize(size).y;
    sprite.scale.set(wide * pixel, tall * pixel, 1);
    sprite.updateMatrixWorld();
  };
  return sprite;
}
