// What stands beside the view, one thing at a time: the list of parts and whatever else has a panel.
import { $ } from "./dom.js";
import { words } from "./words.js";

/** @import { Tools } from "./tools.js" */

/**
 * @typedef {object} PanelOf
 * @property {string} name that of its tool, which toggles
 * @property {string} title
 * @property {HTMLElement} body
 * @property {() => void} [left] what to do when it is shut
 */

export class Panels {
  /** @param {Tools} tools */
  constructor(tools) {
    this.tools = tools;
    /** @type {PanelOf[]} */
    this.all = [];
    /** @type {PanelOf | null} */
    this.shown = null;
    $("panel-close").textContent = words.close;
    $("panel-close").addEventListener("click", () => this.close());
  }

  /** @param {PanelOf} panel */
  add(panel) {
    panel.body.hidden = true;
    this.all.push(panel);
    $("panel-body").append(panel.body);
  }

  /** @param {string} name */
  toggle(name) {
    const wanted = this.all.find((panel) => panel.name === name);
    const again = wanted === this.shown;
    this.close();
    if (!wanted || again) return;
    this.shown = wanted;
    wanted.body.hidden = false;
    $("panel-title").textContent = wanted.title;
    $("panel").hidden = false;
    $("panel-body").scrollTop = 0;
    this.tools.mark(name, true);
    this.tools.unfold(false);
  }

  /** Shut what is open; the focus goes back to its tool if it was inside. */
  close() {
    const { shown } = this;
    if (!shown) return;
    const within = $("panel").contains(document.activeElement);
    this.shown = null;
    shown.body.hidden = true;
    $("panel").hidden = true;
    this.tools.mark(shown.name, false);
    if (shown.left) shown.left();
    if (within) {
      const tool = $(`tool-${shown.name}`);
      (tool.offsetParent ? tool : this.tools.more).focus();
    }
  }
}
