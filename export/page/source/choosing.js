// What the customer chooses: an alternative, finishes and heads that are tried on it, and what is
// made of the choice.
import { $, make, refill } from "./dom.js";
import { choiceWords } from "./choice_words.js";
import { Address } from "./address.js";
import { ChoicePanel } from "./choice_panel.js";
import { ChoiceSheet } from "./choice_sheet.js";
import { say } from "./messages.js";
import { OwnPhoto } from "./own_photo.js";
import { crown, dress } from "./trying.js";

/**
 * @import { App } from "./app.js"
 * @import { FenceData, FinishedPart, PageData } from "./data.js"
 */

/** @type {FinishedPart[]} */
export const PARTS = ["pales", "rails", "posts"];

export class Choosing {
  /**
   * @param {App} app
   * @param {PageData} page
   */
  constructor(app, page) {
    this.app = app;
    this.palette = page.palette;
    /** @type {Record<FinishedPart, string | null>} names of finishes that are tried */
    this.finish = { pales: null, rails: null, posts: null };
    /** @type {string | null} that is tried */
    this.head = null;
    this.photo = new OwnPhoto(app);
    this.panel = new ChoicePanel(app, this, page.beside);
    this.sheet = new ChoiceSheet(app, this);
    this.address = new Address(app, this);
  }

  get data() {
    return this.app.world.data;
  }

  /** Show on the fence that has come what is tried, as far as it can have it. */
  arrive() {
    if (this.head !== null && !this.data.heads.shapes[this.head]) this.head = null;
    PARTS.forEach((part) => this.dressed(part));
    if (this.head !== null) crown(this.app.world, this.head);
    this.photo.arrive();
    this.panel.list();
    this.names();
  }

  /** A button for each alternative, over the view. */
  names() {
    const { models, chosen } = this.app;
    const buttons = models.map((model, number) => {
      const button = make("button", model.name, { id: `choice-${number}`, "aria-pressed": String(number === chosen) });
      if (model.offer.price) button.append(" ", make("small", model.offer.price));
      button.addEventListener("click", () => this.take(number));
      return button;
    });
    refill($("choices"), models.length > 1 ? buttons : []);
  }

  /** @param {number} number which of the alternatives to show, as it is offered */
  take(number) {
    this.finish = { pales: null, rails: null, posts: null };
    this.head = null;
    this.app.show(number);
    const { name, offer } = this.data;
    say(`${name}: ${[offer.price, offer.tax].filter(Boolean).join(" ") || offer.summary}`);
  }

  /**
   * Try a finish.
   * @param {FinishedPart[]} parts
   * @param {string | null} name of a finish; null for what is offered
   */
  paint(parts, name) {
    parts.forEach((part) => {
      this.finish[part] = name === this.data.finished[part] ? null : name;
      this.dressed(part);
    });
    this.changed();
    const same = this.offeredAs();
    say(`${choiceWords.finish}: ${name || choiceWords.offered}${same ? `. ${choiceWords.sheet.same}: ${same.name}` : ""}`);
  }

  /** @param {FinishedPart} part to show in the finish that it has now */
  dressed(part) {
    const tried = this.palette.find((finish) => finish.name === this.finish[part]);
    dress(this.app.world, part, tried || null);
  }

  /** @param {string | null} name of a head's shape; null for what is offered */
  cut(name) {
    this.head = name;
    if (this.app.parts.highlighted !== null) this.app.parts.highlight(null);
    crown(this.app.world, name);
    this.changed();
    say(`${choiceWords.head}: ${name || choiceWords.offered}`);
  }

  changed() {
    this.app.frame.shade();
    this.panel.mark();
    this.app.draw();
  }

  /** What is tried and so has no price, in words. */
  tried() {
    return [
      ...(PARTS.some((part) => this.finish[part]) ? [choiceWords.finish.toLowerCase()] : []),
      ...(this.head ? [choiceWords.head.toLowerCase()] : []),
    ];
  }

  /** The alternative that is what is tried, if one differs from this in its finish alone. */
  offeredAs() {
    const { app, data, finish, head } = this;
    if (head || !this.tried().length) return null;
    /** @param {FenceData} model */
    const told = (model) => JSON.stringify(model.offer.differs.filter(([label]) => label !== choiceWords.finish));
    return app.models.find((model, number) => number !== app.chosen && told(model) === told(data)
      && PARTS.every((part) => model.finished[part] === (finish[part] || data.finished[part]))) || null;
  }

  finishWords() {
    const offered = (this.data.offer.finish || "").replace(/\.$/, "");
    const tried = PARTS.filter((part) => this.finish[part]);
    const names = new Set(tried.map((part) => this.finish[part]));
    if (!tried.length) return offered ? `${offered} (${choiceWords.offered})` : choiceWords.offered;
    if (tried.length === PARTS.length && names.size === 1) return choiceWords.sheet.instead(`${[...names][0]}`, offered);
    const parts = tried.map((part) => `${choiceWords.parts[part]} ${this.finish[part]}`);
    return [...parts, ...(tried.length < PARTS.length ? [choiceWords.rest] : [])].join(", ");
  }

  headWords() {
    const offered = this.data.heads.offered.join(", ");
    return this.head ? choiceWords.sheet.instead(this.head, offered) : `${offered} (${choiceWords.offered})`;
  }
}
