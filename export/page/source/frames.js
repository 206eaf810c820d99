// Drawing: only when something changed, and coarser while a slow machine moves.
import { PCFShadowMap, WebGLRenderer } from "three";
import { toneOf } from "./daylight.js";
import { $, calm } from "./dom.js";

/** @import { App } from "./app.js" */

const SLOW = 45; // ms a frame from which movement is drawn coarser
const STILL = 700; // ms without movement after which it is drawn fine again

export class Frames {
  /** @param {App} app */
  constructor(app) {
    this.app = app;
    this.renderer = new WebGLRenderer({ canvas: app.canvas, antialias: true, stencil: true, alpha: true });
    this.renderer.shadowMap.enabled = true;
    this.renderer.shadowMap.type = PCFShadowMap;
    this.renderer.shadowMap.autoUpdate = false; // shadows change only when a gate moves
    this.renderer.localClippingEnabled = true;
    toneOf(this.renderer);
    this.count = 0;
    this.late = 0;
    this.waiting = false; // for a frame that is asked for
    this.fine = 1; // pixels of the canvas to one of the page
    this.coarse = false; // whether fewer are drawn
    /** @type {number | undefined} when the last frame of a movement was drawn, ms */
    this.last = undefined;
    /** @type {number | undefined} the timer that draws fine again */
    this.settling = undefined;
  }

  /** Begin as soon as there is a fence. */
  begin() {
    new ResizeObserver(() => this.resize()).observe(/** @type {HTMLElement} */ (this.app.canvas.parentElement));
    window.addEventListener("beforeprint", () => this.toPrint());
  }

  /** Throw shadows anew at the next frame. */
  shade() {
    this.renderer.shadowMap.needsUpdate = true;
  }

  resize() {
    const stage = /** @type {HTMLElement} */ (this.app.canvas.parentElement).getBoundingClientRect();
    const box = this.app.choosing.photo.frame(stage);
    this.fine = Math.min(window.devicePixelRatio, 2);
    this.coarse = false;
    this.renderer.setPixelRatio(this.fine);
    this.renderer.setSize(box.width, box.height, false);
    const { camera } = this.app.views;
    const aspect = box.width / Math.max(box.height, 1);
    const reshaped = aspect !== camera.aspect;
    camera.aspect = aspect;
    camera.updateProjectionMatrix();
    if (reshaped) this.app.views.reshape();
    this.draw();
  }

  draw() {
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame((now) => {
      this.waiting = false;
      const seconds = calm() ? Infinity : Math.min((now - (this.last || now)) / 1000, 0.05) || 0.016;
      this.last = now;
      const moving = this.app.world.turn(seconds);
      if (moving) this.shade();
      this.pace(now);
      this.render();
      this.count += 1;
      if (moving) this.draw();
      else this.last = undefined;
    });
  }

  /**
   * On a slow machine, fewer pixels while the view moves; the next frame is late when this one is.
   * @param {number} now
   */
  pace(now) {
    clearTimeout(this.settling);
    this.settling = setTimeout(() => this.settle(), STILL);
    requestAnimationFrame((next) => {
      this.late = next - now > SLOW ? this.late + 1 : this.late;
      if (this.late > 2 && !this.coarse) this.sharpness(true);
    });
  }

  settle() {
    this.late = 0;
    this.app.choosing.address.keep();
    if (!this.coarse) return;
    this.sharpness(false);
    this.draw();
  }

  /** @param {boolean} coarse */
  sharpness(coarse) {
    this.coarse = coarse;
    this.renderer.setPixelRatio(coarse ? this.fine / 2 : this.fine);
  }

  /** Draw the fence as it is seen now. */
  render() {
    const { canvas, compass, dimensions, views: { camera }, world } = this.app;
    const away = camera.position.distanceTo(world.middle);
    world.detail(camera.position);
    camera.near = Math.max(20, (away - 2 * world.radius) / 20);
    camera.far = away + 140 * world.radius;
    camera.updateProjectionMatrix();
    compass.turn();
    dimensions.arrange(camera, canvas.clientWidth, canvas.clientHeight);
    this.renderer.render(world.scene, camera);
    this.app.gone.splice(0).forEach((old) => old.dispose());
  }

  toPrint() {
    // paper gets the fine picture, even right after a movement
    this.sharpness(false);
    this.render();
    /** @type {HTMLImageElement} */ ($("print")).src = this.app.canvas.toDataURL("image/png");
  }
}
