// The panel in which the customer chooses.
import { $, make, refill } from "./dom.js";
import { choiceWords } from "./choice_words.js";
import { copied } from "./copying.js";
import { floats, numbers } from "./data.js";
import { drawn } from "./icons.js";
import { say } from "./messages.js";
import { savePicture } from "./saving.js";

/**
 * @import { App } from "./app.js"
 * @import { Choosing } from "./choosing.js"
 * @import { FinishData, FinishedPart, HeadData, MarkData } from "./data.js"
 * @import { Stroke } from "./icons.js"
 */

/** @type {Stroke[]} a pale under a brush */
export const CHOOSE = [["M4 18V8l2.500-3L9 8v10z"], ["M13 9h8v4h-8z"], ["M17 9V2"], ["M14 13v3M16 13v3M18 13v3M20 13v3", "thin"]];

/** @type {FinishedPart[]} */
const ALL = ["pales", "rails", "posts"];
const OFFERED = "offered"; // value of what is not tried
const FIRST = 3; // differences of an alternative that are shown at once
const DRAWN = 100; // mm of a pale's top in the drawing of its head

/**
 * One of some choices of which one holds.
 *
 * @param {string} name of the group
 * @param {string} value
 * @param {(Node | string)[]} shown
 * @param {() => void} act when it is chosen
 */
function option(name, value, shown, act) {
  const label = make("label", "");
  const input = /** @type {HTMLInputElement} */ (make("input", "", { type: "radio", name, value, id: `${name}-${value}` }));
  input.addEventListener("change", act);
  label.append(input, ...shown);
  return label;
}

/**
 * @param {string} legend
 * @param {string} id
 * @param {Node[]} children
 */
function group(legend, id, ...children) {
  const set = make("fieldset", "", { id });
  set.append(make("legend", legend), ...children);
  return set;
}

/** @param {FinishData[]} finishes side by side */
function chip(finishes) {
  const made = make("span", "", { class: "chip" });
  const colours = finishes.map(({ colour }) => `rgb(${colour.map((part) => Math.round(part * 255)).join(" ")})`);
  const stops = colours.map((colour, at) => `${colour} ${(100 * at) / colours.length}% ${(100 * (at + 1)) / colours.length}%`);
  made.style.background = `linear-gradient(90deg, ${stops.join(", ")})`;
  return made;
}

/**
 * A drawing of the top of a pale, from its front face.
 * @param {HeadData} head
 */
function drawing(head) {
  const points = floats(head.points);
  const corners = numbers(head.triangles);
  let path = "";
  let half = 0;
  for (let i = 0; i < corners.length; i += 3) {
    const three = [0, 1, 2].map((n) => 3 * corners[i + n]);
    if (three.some((at) => Math.abs(points[at + 1]) > 1e-3)) continue;
    three.forEach((at, n) => {
      half = Math.max(half, points[at]);
      path += `${n ? "L" : "M"}${points[at].toFixed(1)} ${(head.length - points[at + 2]).toFixed(1)}`;
    });
    path += "Z";
  }
  const svg = drawn("svg", { viewBox: `${-half - 4} -4 ${2 * half + 8} ${DRAWN}`, "aria-hidden": "true" });
  svg.append(drawn("path", { d: path }));
  return svg;
}

export class ChoicePanel {
  /**
   * @param {App} app
   * @param {Choosing} choosing
   * @param {string[]} beside names of files that come with the page
   */
  constructor(app, choosing, beside) {
    this.app = app;
    this.choosing = choosing;
    this.beside = beside;
    this.parts = ALL; // that a finish is put on
    this.box = make("div", "", { id: "choose" });
    this.body = make("div", "");
    const agree = make("button", choiceWords.agree, { id: "agree", class: "main" });
    agree.addEventListener("click", () => choosing.sheet.open());
    const foot = make("div", "", { class: "foot" });
    foot.append(agree);
    this.box.append(this.body, foot);
    app.panels.add({ name: "choose", title: choiceWords.choose, body: this.box });
  }

  /** Offer what can be chosen on the fence that is shown. */
  list() {
    const scrolled = $("panel-body").scrollTop;
    refill(this.body, [
      ...this.alternatives(), this.finishes(), ...this.heads(), this.choosing.photo.controls(), this.keep(), ...this.room(),
    ]);
    $("panel-body").scrollTop = scrolled;
    this.mark();
  }

  /** Check what holds now. */
  mark() {
    const { head, finish } = this.choosing;
    const names = new Set(this.parts.map((part) => finish[part]));
    const [name] = names;
    /** @type {Record<string, string | null>} */
    const held = {
      alternative: String(this.app.chosen),
      on: this.parts === ALL ? "all" : this.parts[0],
      finish: names.size > 1 ? null : name ?? OFFERED,
      head: head ?? OFFERED,
    };
    /** @type {NodeListOf<HTMLInputElement>} */ (this.body.querySelectorAll("input[type=radio]")).forEach((one) => {
      one.checked = held[one.name] === one.value;
    });
  }

  /**
   * What differs, as far as it has room; the rest on demand.
   * @param {[string, string][]} differs
   */
  differing(differs) {
    const lists = [differs.slice(0, FIRST), differs.slice(FIRST)].map((some) => {
      const told = make("dl", "");
      some.forEach(([label, text]) => told.append(make("dt", label), make("dd", text)));
      return told;
    });
    if (differs.length <= FIRST) return lists.slice(0, 1);
    const rest = make("details", "");
    rest.append(make("summary", choiceWords.more(differs.length - FIRST)), lists[1]);
    return [lists[0], rest];
  }

  alternatives() {
    const { models } = this.app;
    const cards = models.map((model, number) => {
      const { offer } = model;
      const shown = [make("strong", models.length > 1 ? model.name : model.title)];
      if (offer.price) {
        const price = make("span", offer.price, { class: "price" });
        price.append(" ", make("small", offer.tax || ""));
        shown.push(price);
      }
      shown.push(...(offer.differs.length ? this.differing(offer.differs) : [make("span", offer.summary)]));
      const label = option("alternative", String(number), shown, () => this.choosing.take(number));
      label.className = "card";
      return label;
    });
    if (models.length > 1) {
      const { same } = models[0].offer;
      return [group(choiceWords.alternatives, "alternatives", ...cards, make("p", same.length ? choiceWords.same(same) : ""))];
    }
    const [card] = cards;
    card.querySelector("input")?.remove();
    const plain = make("div", "", { class: "card" });
    plain.append(...card.childNodes);
    return [plain];
  }

  finishes() {
    const { choosing } = this;
    const { finished } = choosing.data;
    const on = make("div", "", { class: "row", role: "group", "aria-label": choiceWords.on });
    on.append(...[{ value: "all", parts: ALL }, ...ALL.map((part) => ({ value: part, parts: [part] }))].map(({ value, parts }) => (
      option("on", value, [choiceWords.parts[/** @type {FinishedPart | "all"} */ (value)]], () => {
        this.parts = parts;
        this.mark();
      }))));
    const swatches = make("div", "", { class: "swatches" });
    const offered = choosing.palette.filter((one) => ALL.some((part) => finished[part] === one.name));
    swatches.append(option("finish", OFFERED, [chip(offered), choiceWords.offered], () => choosing.paint(this.parts, null)));
    choosing.palette.forEach((one) => {
      swatches.append(option("finish", one.name, [chip([one]), one.name], () => choosing.paint(this.parts, one.name)));
    });
    return group(choiceWords.finish, "finishes", on, swatches, make("p", choiceWords.finishNote));
  }

  heads() {
    const { heads } = this.choosing.data;
    const names = Object.keys(heads.shapes);
    if (!names.length) return [];
    const row = make("div", "", { class: "shapes" });
    row.append(option("head", OFFERED, [this.ownHead(), choiceWords.mixed(heads.offered.join(", "))], () => this.choosing.cut(null)));
    names.forEach((name) => {
      row.append(option("head", name, [drawing(heads.shapes[name][0]), name], () => this.choosing.cut(name)));
    });
    return [group(choiceWords.head, "heads", row, make("p", choiceWords.headNote))];
  }

  ownHead() {
    const { heads, marks } = this.choosing.data;
    const mark = /** @type {MarkData} */ (marks.find((one) => heads.marks[one.mark]));
    return drawing({ points: mark.points, triangles: mark.triangles, length: heads.marks[mark.mark][1] });
  }

  keep() {
    const picture = make("button", choiceWords.picture, { id: "save-picture" });
    picture.addEventListener("click", () => savePicture(this.app));
    const link = make("button", choiceWords.link, { id: "copy-link" });
    link.addEventListener("click", async () => {
      this.choosing.address.keep(true);
      const done = await copied(window.location.href);
      const here = window.location.protocol === "file:" ? choiceWords.linkFile : choiceWords.linkCopied;
      say(done ? here : choiceWords.linkShown);
    });
    const row = make("div", "", { class: "row" });
    row.append(picture, link);
    return group(choiceWords.keep, "keep", row);
  }

  room() {
    const told = this.beside.flatMap((name) => {
      if (name.endsWith(".usdz")) return [make("p", choiceWords.usdz(name))];
      return name.endsWith(".glb") ? [make("p", choiceWords.glb(name))] : [];
    });
    return told.length ? [group(choiceWords.room, "room", ...told)] : [];
  }
}
