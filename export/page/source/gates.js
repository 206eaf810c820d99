// Gates that open and shut: all at once, or each by its name.
import { $, make, refill } from "./dom.js";
import { say } from "./messages.js";
import { words } from "./words.js";

/** @import { App } from "./app.js" */

export class Gates {
  /** @param {App} app */
  constructor(app) {
    this.app = app;
  }

  /** The gates of the fence that is shown, by name. */
  names() {
    return [...new Set(this.app.world.leaves.map((leaf) => leaf.name))];
  }

  buttons() {
    const names = this.names();
    const buttons = names.map((name, number) => {
      const button = make("button", words.open(name), { id: `gate-${number}`, "aria-pressed": "false" });
      button.addEventListener("click", () => this.swing(name));
      return button;
    });
    // one gate has its button in the bar
    refill($("gates"), names.length > 1 ? buttons : []);
    this.app.tools.offer("gate", names.length > 0, names.length > 1 ? words.gates : words.gate);
    this.tell();
  }

  /**
   * Whether all leaves of some gates are open, or on the way to be.
   * @param {string[]} names
   */
  open(names) {
    return this.app.world.leaves.filter((leaf) => names.includes(leaf.name)).every((leaf) => leaf.wanted === 1);
  }

  /**
   * @param {string[]} names
   * @param {boolean} open
   */
  move(names, open) {
    this.app.world.leaves.filter((leaf) => names.includes(leaf.name)).forEach((leaf) => { leaf.wanted = open ? 1 : 0; });
    this.tell();
    this.app.draw();
  }

  /** The names of the gates that are open. */
  opened() {
    return this.names().filter((name) => this.open([name]));
  }

  /**
   * Open at once those that were open.
   * @param {string[]} opened their names
   */
  keep(opened) {
    this.app.world.leaves.filter((leaf) => opened.includes(leaf.name)).forEach((leaf) => { leaf.wanted = 1; });
    this.app.world.turn(Infinity);
    this.tell();
  }

  /** Buttons say which gates are open. */
  tell() {
    const names = this.names();
    this.app.tools.mark("gate", names.length > 0 && this.open(names));
    [...$("gates").children].forEach((one, number) => one.setAttribute("aria-pressed", String(this.open([names[number]]))));
  }

  /** @param {string} name of a gate */
  swing(name) {
    const open = !this.open([name]);
    this.move([name], open);
    say(open ? words.opens(name) : words.shuts(name));
  }

  /** Open all gates, or shut them where all are open. */
  swingAll() {
    const names = this.names();
    if (names.length === 1) this.swing(names[0]);
    else {
      const open = !this.open(names);
      this.move(names, open);
      say(open ? words.allOpen : words.allShut);
    }
  }
}
