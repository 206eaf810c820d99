// The bar of tools: a button for each, and the key that does the same.
import { $, make } from "./dom.js";

/**
 * @typedef {object} Tool
 * @property {string} name
 * @property {string} text
 * @property {string} key
 * @property {() => void} act
 * @property {boolean} [toggles] whether it stays pressed
 */

export class Tools {
  constructor() {
    /** @type {Record<string, boolean>} the tools that toggle, by name */
    this.pressed = {};
    /** @type {Record<string, () => void>} what each key does */
    this.keys = {};
  }

  /** @param {Tool} tool */
  add({ name, text, key, act, toggles = false }) {
    const made = make("button", text, { id: `tool-${name}`, title: `key ${key}` });
    if (toggles) made.setAttribute("aria-pressed", "false");
    made.addEventListener("click", act);
    $("tools").append(made, " ");
    this.keys[key] = act;
  }

  /**
   * @param {string} name of a tool
   * @param {boolean} on
   */
  mark(name, on) {
    this.pressed[name] = on;
    $(`tool-${name}`).setAttribute("aria-pressed", String(on));
  }
}
