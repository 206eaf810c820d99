// Gates that open and shut, and a button for each.
import { make } from "./dom.js";
import { say } from "./messages.js";

/** @import { App } from "./app.js" */

export class Gates {
  /**
   * @param {App} app
   * @param {HTMLElement} box of the buttons
   */
  constructor(app, box) {
    this.app = app;
    this.box = box;
  }

  buttons() {
    this.box.replaceChildren();
    const names = [...new Set(this.app.world.leaves.map((leaf) => leaf.name))];
    names.forEach((name) => {
      const button = make("button", `Open ${name}`, { "aria-pressed": "false" });
      button.addEventListener("click", () => this.swing(name));
      this.box.append(button, " ");
    });
  }

  /** @param {string} name of a gate */
  swing(name) {
    const own = this.app.world.leaves.filter((leaf) => leaf.name === name);
    const open = own[0].wanted === 0;
    own.forEach((leaf) => { leaf.wanted = open ? 1 : 0; });
    [...this.box.children].filter((one) => one.textContent.endsWith(name)).forEach((one) => {
      one.setAttribute("aria-pressed", String(open));
    });
    say(`${name} ${open ? "opens" : "shuts"}`);
    this.app.draw();
  }
}
