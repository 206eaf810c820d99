// The bar of tools, each an icon with its word, and under 'more' what the bar has no room for.
import { $, make, touched } from "./dom.js";
import { icon } from "./icons.js";
import { words } from "./words.js";

/** @import { Stroke } from "./icons.js" */

/**
 * @typedef {object} Tool
 * @property {string} name
 * @property {string} [text] its word; else that of its name
 * @property {Stroke[]} [strokes] of its icon; else that of its name
 * @property {string} key
 * @property {() => void} act
 * @property {boolean} [toggles] whether it stays pressed
 * @property {number} [rank] where it stands in the bar, the least first; without one it is under 'more'
 */

const SLOT = { across: 3.85, down: 3.1 }; // rem that a tool takes in the bar

export class Tools {
  constructor() {
    /** @type {Record<string, boolean>} the tools that toggle, by name */
    this.pressed = {};
    /** @type {Record<string, () => void>} what each key does */
    this.keys = {};
    /** @type {(Tool & { button: HTMLElement })[]} */
    this.all = [];
    this.more = make("button", "", { id: "more", class: "tool", "aria-expanded": "false", "aria-controls": "rest" });
    this.more.append(icon("more"), make("span", words.more));
    this.more.addEventListener("click", () => this.unfold(!this.unfolded()));
    this.others = make("div", "", { id: "others" });
    this.gates = make("div", "", { id: "gates" });
    this.help = make("div", "", { id: "help" });
    $("rest").append(this.others, this.gates, this.help);
    this.keys["?"] = () => this.unfold(!this.unfolded());
    document.addEventListener("pointerdown", (event) => {
      const at = /** @type {Node} */ (event.target);
      if (!$("rest").contains(at) && !this.more.contains(at)) this.unfold(false);
    });
    new ResizeObserver(() => this.arrange()).observe($("tools"));
  }

  /** @param {Tool} tool */
  add(tool) {
    const { name, key, act, toggles = false } = tool;
    const button = make("button", "", { id: `tool-${name}`, class: "tool", "aria-keyshortcuts": key });
    const word = tool.text || /** @type {Record<string, any>} */ (words)[name];
    button.append(icon(tool.strokes || name), make("span", word));
    if (toggles) button.setAttribute("aria-pressed", "false");
    button.addEventListener("click", () => {
      act();
      if (button.parentElement === this.others && !toggles) this.unfold(false);
    });
    this.all.push({ ...tool, button });
    this.keys[key] = act;
  }

  /** Put as many into the bar as it has room for. */
  arrange() {
    const bar = $("tools");
    const upright = getComputedStyle(bar).flexDirection === "column";
    const rem = parseFloat(getComputedStyle(document.documentElement).fontSize);
    const room = upright ? bar.clientHeight / SLOT.down : bar.clientWidth / SLOT.across;
    const shown = this.all.filter((tool) => !tool.button.hidden);
    const ranked = shown.filter((tool) => tool.rank).sort((a, b) => Number(a.rank) - Number(b.rank));
    const within = ranked.slice(0, Math.max(Math.floor(room / rem) - 1, 1));
    const without = this.all.filter((tool) => !within.includes(tool));
    const focused = /** @type {HTMLElement | null} */ (document.activeElement);
    /** @type {[HTMLElement, HTMLElement[]][]} */
    const wanted = [
      [bar, [...within.map((tool) => tool.button), this.more]],
      [this.others, without.map((tool) => tool.button)],
    ];
    wanted.forEach(([box, buttons]) => {
      if (buttons.some((one, number) => box.children[number] !== one)) box.append(...buttons);
    });
    // what is moved loses the focus
    if (focused && focused !== document.activeElement && focused.isConnected) focused.focus();
  }

  unfolded() {
    return this.more.getAttribute("aria-expanded") === "true";
  }

  /** @param {boolean} open whether to show what is under 'more' */
  unfold(open) {
    if (open === this.unfolded()) return;
    const within = $("rest").contains(document.activeElement);
    $("rest").hidden = !open;
    this.more.setAttribute("aria-expanded", String(open));
    const bar = $("tools");
    // above its button
    const upright = getComputedStyle(bar).flexDirection === "column";
    const right = window.innerWidth - this.more.getBoundingClientRect().right;
    $("rest").style.right = upright ? "" : `${Math.max(right, 6)}px`;
    if (within) this.more.focus();
  }

  /**
   * Explain how one moves, and by what keys.
   * @param {(on: boolean) => void} allow takes whether single keys do something
   */
  explain(allow) {
    const parts = [make("h2", words.moving), ...words.howToMove().map((text) => make("p", text))];
    if (!touched()) {
      const list = make("dl", "", { id: "keys" });
      /** @type {(key: string, text: string) => void} */
      const put = (key, text) => {
        const term = make("dt", "");
        term.append(make("kbd", key));
        list.append(term, make("dd", text));
      };
      words.keysOfView.forEach(([key, text]) => put(key, text));
      this.all.forEach((tool) => put(tool.key.toUpperCase(), tool.button.textContent || ""));
      const tick = /** @type {HTMLInputElement} */ (make("input", "", { type: "checkbox", id: "by-keys" }));
      tick.checked = true;
      tick.addEventListener("change", () => allow(tick.checked));
      const told = make("label", "");
      told.append(tick, words.byKeys);
      parts.push(make("h2", words.keys), list, told);
    }
    this.help.replaceChildren(...parts);
  }

  /**
   * @param {string} name of a tool
   * @param {boolean} on
   */
  mark(name, on) {
    this.pressed[name] = on;
    $(`tool-${name}`).setAttribute("aria-pressed", String(on));
  }

  /**
   * @param {string} name of a tool
   * @param {boolean} shown
   * @param {string} [text] its word, if it is another now
   */
  offer(name, shown, text) {
    const { button } = /** @type {{ button: HTMLElement }} */ (this.all.find((tool) => tool.name === name));
    button.hidden = !shown;
    if (text) /** @type {HTMLElement} */ (button.lastChild).textContent = text;
    this.arrange();
  }
}
