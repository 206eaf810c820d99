// The view as a picture, fine whatever the screen.
import { make } from "./dom.js";
import { choiceWords } from "./choice_words.js";
import { say } from "./messages.js";

/** @import { App } from "./app.js" */

const WIDE = 1600; // px that a picture has at least, where the graphics card can
const FINEST = 4; // px of it to one of the page at most

/**
 * Draw what is seen, with the photo behind it where there is one.
 * @param {App} app
 */
export function sightOf(app) {
  const { frame, canvas } = app;
  const wide = canvas.getBoundingClientRect().width;
  frame.renderer.setPixelRatio(Math.max(frame.fine, Math.min(FINEST, WIDE / wide)));
  frame.renderer.render(app.world.scene, app.views.camera);
  const out = /** @type {HTMLCanvasElement} */ (make("canvas", ""));
  out.width = canvas.width;
  out.height = canvas.height;
  const pen = /** @type {CanvasRenderingContext2D} */ (out.getContext("2d"));
  if (app.choosing.photo.on) pen.drawImage(app.choosing.photo.image, 0, 0, out.width, out.height);
  if (canvas.width && canvas.height) pen.drawImage(canvas, 0, 0);
  frame.sharpness(false);
  app.draw();
  return out;
}

/** @param {App} app */
export function savePicture(app) {
  const name = `${app.world.data.title.replace(/[^\p{L}\p{N}]+/gu, "-").replace(/^-|-$/g, "").toLowerCase() || "fence"}.png`;
  sightOf(app).toBlob((blob) => {
    if (!blob) return;
    const href = URL.createObjectURL(blob);
    make("a", "", { href, download: name }).click();
    setTimeout(() => URL.revokeObjectURL(href), 10000);
    say(choiceWords.pictureSaved(name));
  }, "image/png");
}
