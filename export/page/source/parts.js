// The list of facts and parts, and a mark of it that is lit in the fence.
import { $, make } from "./dom.js";
import { sizes } from "./lengths.js";
import { say } from "./messages.js";

/** @import { App } from "./app.js" */

export class Parts {
  /** @param {App} app */
  constructor(app) {
    this.app = app;
    /** @type {number | null} which of the marks is lit */
    this.highlighted = null;
  }

  list() {
    const { data } = this.app.world;
    const table = make("table", "");
    const head = make("tr", "");
    ["mark", "part", "no.", data.feet ? "size" : "size, mm"].forEach((word) => head.append(make("th", word, { scope: "col" })));
    table.append(head);
    data.marks.forEach((mark, number) => {
      if (mark.count === 0) return; // on the site, no part of the fence
      const row = make("tr", "");
      const cell = make("td", "");
      const button = make("button", mark.mark, { "aria-pressed": "false", "data-mark": String(number) });
      button.addEventListener("click", () => this.highlight(number));
      cell.append(button);
      row.append(cell, make("td", mark.part), make("td", String(mark.count)), make("td", sizes(data, mark.size, " x ")));
      table.append(row);
    });
    const facts = make("dl", "");
    data.facts.forEach(([name, value]) => facts.append(make("dt", name), make("dd", value)));
    $("list").replaceChildren(make("h2", "Your fence"), facts, make("h2", "Parts"), table);
  }

  toggle() {
    this.app.tools.mark("parts", !this.app.tools.pressed.parts);
    $("list").hidden = !this.app.tools.pressed.parts;
    if (!this.app.tools.pressed.parts) this.highlight(null);
  }

  /** @param {number | null} number which of the marks */
  highlight(number) {
    this.highlighted = number === this.highlighted ? null : number;
    const count = this.app.world.mark(this.highlighted);
    [...$("list").querySelectorAll("button")].forEach((one) => {
      one.setAttribute("aria-pressed", String(Number(one.dataset.mark) === this.highlighted));
    });
    if (this.highlighted !== null) {
      const mark = this.app.world.data.marks[/** @type {number} */ (number)];
      say(`${mark.mark}, ${mark.part}: ${count} in the fence${mark.note ? `; ${mark.note}` : ""}`, true);
    } else say("");
    this.app.draw();
  }
}
