// The page: a fence, or alternatives, and what can be done with them, each in a module of its own.
import { CHOOSE } from "./choice_panel.js";
import { choiceWords } from "./choice_words.js";
import { Choosing } from "./choosing.js";
import { Compass } from "./compass.js";
import { Dimensions } from "./dimensions.js";
import { $ } from "./dom.js";
import { Frames } from "./frames.js";
import { Gates } from "./gates.js";
import { Hands } from "./hands.js";
import { listen } from "./live.js";
import { Measuring } from "./measuring.js";
import { attend, say } from "./messages.js";
import { Panels } from "./panels.js";
import { Parts } from "./parts.js";
import { Section } from "./section.js";
import { Tools } from "./tools.js";
import { Views } from "./views.js";
import { words } from "./words.js";
import { World } from "./world.js";

/** @import { FenceData, PageData } from "./data.js" */

/** @typedef {Window & { palewright?: App, rebuilt?: number }} PageWindow what tests ask the page by */

/** @type {PageData} */
const read = JSON.parse($("data").textContent);

export class App {
  /** @param {PageData} page */
  constructor(page) {
    const { models } = page;
    this.canvas = /** @type {HTMLCanvasElement} */ ($("view"));
    /** @type {FenceData[]} */
    this.models = models;
    this.chosen = 0; // which of the models
    /** @type {World[]} whose programs the next frame uses again, before they are given back */
    this.gone = [];
    this.frame = new Frames(this);
    this.views = new Views(this);
    this.tools = new Tools();
    this.panels = new Panels(this.tools);
    this.section = new Section(this);
    this.dimensions = new Dimensions(this);
    this.measuring = new Measuring(this);
    this.parts = new Parts(this);
    this.gates = new Gates(this);
    this.bar();
    this.compass = new Compass(this);
    this.world = new World(models[0]);
    this.choosing = new Choosing(this, page);
    this.arrive();
    this.views.first();
    this.choosing.address.restore();
    this.frame.begin();
    this.hands = new Hands(this);
  }

  bar() {
    const { dimensions, gates, measuring, panels, section, tools, views } = this;
    tools.add({ name: "front", key: "1", act: () => views.front(), rank: 10 });
    tools.add({ name: "eye", key: "4", act: () => views.eye(), rank: 20 });
    tools.add({ name: "gate", key: "g", act: () => gates.swingAll(), toggles: true, rank: 30 });
    tools.add({ name: "choose", text: choiceWords.choose, strokes: CHOOSE, key: "c", act: () => panels.toggle("choose"), toggles: true, rank: 40 });
    tools.add({ name: "dimensions", key: "d", act: () => dimensions.toggle(), toggles: true, rank: 60 });
    tools.add({ name: "parts", key: "p", act: () => panels.toggle("parts"), toggles: true, rank: 70 });
    tools.add({ name: "start", key: "0", act: () => views.first() });
    tools.add({ name: "back", key: "2", act: () => views.back() });
    tools.add({ name: "top", key: "3", act: () => views.top() });
    tools.add({ name: "section", key: "5", act: () => section.toggle(), toggles: true });
    tools.add({ name: "measure", key: "m", act: () => measuring.toggle(), toggles: true });
    tools.add({ name: "print", key: "o", act: () => window.print() });
  }

  /**
   * Show another of the models, or what became of it; the section, gates and mark that were shown stay so.
   * @param {number} number which of the models
   */
  show(number) {
    const [cut, lit, open] = [this.section.post, this.parts.lit(), this.gates.opened()];
    this.gone.push(this.world);
    this.chosen = number;
    this.world = new World(this.models[number]);
    this.arrive();
    this.gates.keep(open);
    this.section.keep(cut);
    this.parts.keep(lit);
  }

  /** Let every part of the page know the fence that is shown now. */
  arrive() {
    this.section.post = null;
    this.measuring.forget();
    this.parts.highlighted = null;
    this.frame.shade();
    this.views.reach();
    this.dimensions.show();
    this.choosing.arrive();
    this.parts.list();
    this.gates.buttons();
    this.tools.mark("section", false);
    $("title").textContent = this.world.data.title;
    this.frame.resize();
  }

  draw() {
    this.frame.draw();
  }
}

function start() {
  attend();
  let app = null;
  try {
    app = new App(read);
  } catch {
    // no WebGL: the pictures say what they can
    document.body.classList.add("flat");
    $("pictures").hidden = false;
    $("view").hidden = true;
    /** @type {HTMLElement} */ (document.querySelector("footer")).hidden = true;
    say(words.no3D, true);
    return;
  }
  /** @type {PageWindow} */ (window).palewright = app;
  if (read.live) listen(app);
}

start();
