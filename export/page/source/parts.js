// The list of facts and parts, and a mark of it that is lit in the fence.
import { make, refill } from "./dom.js";
import { sizes } from "./lengths.js";
import { say } from "./messages.js";
import { words } from "./words.js";

/** @import { App } from "./app.js" */

export class Parts {
  /** @param {App} app */
  constructor(app) {
    this.app = app;
    /** @type {number | null} which of the marks is lit */
    this.highlighted = null;
    this.box = make("div", "", { id: "list" });
    app.panels.add({ name: "parts", title: words.fence, body: this.box, left: () => this.highlight(null) });
  }

  list() {
    const { data } = this.app.world;
    const table = make("table", "");
    const head = make("tr", "");
    [words.mark, words.part, words.count, data.feet ? words.size : words.sizeMm].forEach((word) => head.append(make("th", word, { scope: "col" })));
    table.append(head);
    data.marks.forEach((mark, number) => {
      if (mark.count === 0) return; // on the site, no part of the fence
      const row = make("tr", "");
      const cell = make("td", "");
      const button = make("button", mark.mark, { id: `mark-${number}`, "aria-pressed": "false", "data-mark": String(number) });
      button.addEventListener("click", () => this.highlight(number));
      cell.append(button);
      row.append(cell, make("td", mark.part), make("td", String(mark.count)), make("td", sizes(data, mark.size, " x ")));
      table.append(row);
    });
    const facts = make("dl", "");
    data.facts.forEach(([name, value]) => facts.append(make("dt", name), make("dd", value)));
    refill(this.box, [facts, make("h2", words.parts), table]);
  }

  /** The mark that is lit, by name and kind: numbers are other ones in another fence. */
  lit() {
    const mark = this.highlighted === null ? null : this.app.world.data.marks[this.highlighted];
    return mark && `${mark.mark} ${mark.part}`;
  }

  /** @param {string | null} lit */
  keep(lit) {
    const number = this.app.world.data.marks.findIndex((mark) => `${mark.mark} ${mark.part}` === lit);
    if (number >= 0) this.highlight(number);
    else if (lit) say("");
  }

  /** @param {number | null} number which of the marks */
  highlight(number) {
    this.highlighted = number === this.highlighted ? null : number;
    const count = this.app.world.mark(this.highlighted);
    [...this.box.querySelectorAll("button")].forEach((one) => {
      one.setAttribute("aria-pressed", String(Number(one.dataset.mark) === this.highlighted));
    });
    if (this.highlighted !== null) {
      const mark = this.app.world.data.marks[/** @type {number} */ (number)];
      say(words.lit(mark.mark, mark.part, count, mark.note), true);
    } else say("");
    this.app.draw();
  }
}
