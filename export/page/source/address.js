// What is shown, in the page's address: kept when the view is still, and shown again from it.
import { Vector3 } from "three";
import { choiceWords } from "./choice_words.js";
import { say } from "./messages.js";

/**
 * @import { App } from "./app.js"
 * @import { Choosing } from "./choosing.js"
 * @import { FinishedPart } from "./data.js"
 */

/** @type {FinishedPart[]} */
const PARTS = ["pales", "rails", "posts"];
const FAR = 1e8; // mm from the origin that an eye may be

/**
 * @param {string | null} text three figures, mm
 * @returns {Vector3 | null}
 */
function point(text) {
  const figures = (text || "").split(",").map((one) => (one.trim() ? Number(one) : NaN));
  return figures.length === 3 && figures.every((one) => Math.abs(one) < FAR) ? new Vector3(...figures) : null;
}

export class Address {
  /**
   * @param {App} app
   * @param {Choosing} choosing
   */
  constructor(app, choosing) {
    this.app = app;
    this.choosing = choosing;
    /** @type {string | null} what is shown before anybody did anything */
    this.first = null;
    this.kept = "";
    window.addEventListener("hashchange", () => {
      if (window.location.hash !== this.kept) this.restore();
    });
  }

  /** What is shown, as an address has it. */
  text() {
    const { app, choosing } = this;
    const told = new URLSearchParams();
    if (app.models.length > 1) told.set("alternative", app.world.data.name);
    PARTS.forEach((part) => {
      const name = choosing.finish[part];
      if (name) told.set(part, name);
    });
    if (choosing.head) told.set("head", choosing.head);
    app.gates.names().filter((name) => app.gates.open([name])).forEach((name) => told.append("open", name));
    if (!choosing.photo.on) {
      const { camera, controls } = app.views;
      [["eye", camera.position], ["at", controls.target]].forEach(([name, spot]) => {
        told.set(/** @type {string} */ (name), /** @type {Vector3} */ (spot).toArray().map((one) => one.toFixed(0)).join(","));
      });
    }
    return `#${told}`;
  }

  /**
   * Put what is shown into the address, once anybody did anything.
   * @param {boolean} [asked] whether it is put there in any case
   */
  keep(asked = false) {
    const text = this.text();
    this.first ??= text;
    if ((text === this.first && !window.location.hash && !asked) || text === window.location.hash) return;
    this.kept = text;
    window.history.replaceState(null, "", text);
  }

  /**
   * Show what the address says; what it says wrongly is left as it is, and said.
   * @returns {boolean} whether it told where to look from
   */
  restore() {
    const { app, choosing } = this;
    if (window.location.hash.length < 2) return false;
    const told = new URLSearchParams(window.location.hash.slice(1));
    const known = new Set(["alternative", ...PARTS, "head", "open", "eye", "at"]);
    let bad = [...told.keys()].some((key) => !known.has(key));
    /** @type {(holds: boolean, act: () => void) => void} */
    const does = (holds, act) => {
      if (holds) act();
      else bad = true;
    };
    const name = told.get("alternative");
    const number = name === null ? app.chosen : app.models.findIndex((model) => model.name === name);
    does(number >= 0, () => choosing.take(number));
    PARTS.filter((part) => told.has(part)).forEach((part) => {
      const finish = told.get(part);
      does(choosing.palette.some((one) => one.name === finish), () => choosing.paint([part], finish));
    });
    const head = told.get("head");
    does(head === null || Object.keys(choosing.data.heads.shapes).includes(head), () => head && choosing.cut(head));
    told.getAll("open").forEach((gate) => {
      does(app.gates.names().includes(gate), () => app.gates.move([gate], true));
    });
    const [eye, at] = [point(told.get("eye")), point(told.get("at"))];
    const looks = Boolean(eye && at && eye.distanceTo(at) > 1);
    if (told.has("eye") || told.has("at")) does(looks, () => app.views.look(/** @type {Vector3} */ (eye), /** @type {Vector3} */ (at)));
    say(bad ? choiceWords.linkBad : "", bad);
    return looks;
  }
}
