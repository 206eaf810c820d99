// The panel in which the customer chooses.
import { $, make } from "./dom.js";
import { WORDS } from "./choice_words.js";
import { copied } from "./copying.js";
import { floats, numbers } from "./data.js";
import { say } from "./messages.js";
import { savePicture } from "./saving.js";

/**
 * @import { App } from "./app.js"
 * @import { Choosing } from "./choosing.js"
 * @import { FinishData, FinishedPart, HeadData } from "./data.js"
 */

/** @type {FinishedPart[]} */
const ALL = ["pales", "rails", "posts"];
const OFFERED = "offered"; // value of what is not tried
const FIRST = 3; // differences of an alternative that are shown at once
const DRAWN = 150; // mm of a pale's top in the drawing of its head

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
  const input = /** @type {HTMLInputElement} */ (make("input", "", { type: "radio", name, value }));
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
  const box = { viewBox: `${-half - 4} -4 ${2 * half + 8} ${DRAWN}`, "aria-hidden": "true" };
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  Object.entries(box).forEach(([name, value]) => svg.setAttribute(name, value));
  const shape = document.createElementNS("http://www.w3.org/2000/svg", "path");
  shape.setAttribute("d", path);
  svg.append(shape);
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
    this.box = make("aside", "", { id: "choose", "aria-label": WORDS.choose });
    this.box.hidden = true;
    this.body = make("div", "", { class: "body" });
    const agree = make("button", WORDS.agree, { id: "agree", class: "main" });
    agree.addEventListener("click", () => choosing.sheet.open());
    const shut = make("button", WORDS.close, { class: "shut" });
    shut.addEventListener("click", () => this.toggle());
    const head = make("div", "", { class: "head" });
    head.append(make("h2", WORDS.choose), shut);
    const foot = make("div", "", { class: "foot" });
    foot.append(agree);
    this.box.append(head, this.body, foot);
    /** @type {HTMLElement} */ (document.querySelector("main")).append(this.box);
    this.box.addEventListener("keydown", (event) => {
      if (event.key === "Escape") this.toggle();
    });
  }

  toggle() {
    const open = Boolean(this.box.hidden);
    if (open && this.app.tools.pressed.parts) this.app.parts.toggle();
    const { camera, controls } = this.app.views;
    const before = camera.aspect;
    this.box.hidden = !open;
    document.body.classList.toggle("choosing", open);
    this.app.frame.resize();
    if (!this.choosing.photo.on) {
      // as much of the fence is seen from side to side as before
      const away = camera.position.clone().sub(controls.target).multiplyScalar(before / camera.aspect);
      this.app.views.look(controls.target.clone().add(away), controls.target.clone());
    }
    this.app.tools.mark("choose", open);
    if (!open) $("tool-choose").focus();
  }

  /** Offer what can be chosen on the fence that is shown. */
  list() {
    const kept = this.body.scrollTop;
    this.body.replaceChildren(
      ...this.alternatives(), this.finishes(), ...this.heads(), this.choosing.photo.controls(), this.keep(), ...this.room(),
    );
    this.body.scrollTop = kept;
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
    rest.append(make("summary", WORDS.more(differs.length - FIRST)), lists[1]);
    return [lists[0], rest];
  }

  alternatives() {
    const { models } = this.app;
    const cards = models.map((model, number) => {
      const { offer } = model;
      const shown = [make("strong", model.name)];
      if (offer.price) {
        const price = make("span", offer.price, { class: "price" });
        price.append(" ", make("small", offer.tax || ""));
        shown.push(price);
      }
      shown.push(...(offer.differs.length ? this.differing(offer.differs) : [make("span", offer.summary)]));
      const choose = () => {
        this.choosing.take(number);
        /** @type {HTMLElement} */ (this.body.querySelector(`input[name=alternative][value="${number}"]`)).focus();
      };
      const label = option("alternative", String(number), shown, choose);
      label.className = "card";
      return label;
    });
    if (models.length > 1) {
      const { same } = models[0].offer;
      return [group(WORDS.alternatives, "alternatives", ...cards, make("p", same.length ? WORDS.same(same) : ""))];
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
    const on = make("div", "", { class: "row", role: "group", "aria-label": WORDS.on });
    on.append(...[{ value: "all", parts: ALL }, ...ALL.map((part) => ({ value: part, parts: [part] }))].map(({ value, parts }) => (
      option("on", value, [WORDS.parts[/** @type {FinishedPart | "all"} */ (value)]], () => {
        this.parts = parts;
        this.mark();
      }))));
    const swatches = make("div", "", { class: "swatches" });
    const offered = choosing.palette.filter((one) => ALL.some((part) => finished[part] === one.name));
    swatches.append(option("finish", OFFERED, [chip(offered), WORDS.offered], () => choosing.paint(this.parts, null)));
    choosing.palette.forEach((one) => {
      swatches.append(option("finish", one.name, [chip([one]), one.name], () => choosing.paint(this.parts, one.name)));
    });
    return group(WORDS.finish, "finishes", on, swatches, make("p", WORDS.finishNote));
  }

  heads() {
    const { heads } = this.choosing.data;
    const names = Object.keys(heads.shapes);
    if (!names.length) return [];
    const row = make("div", "", { class: "shapes" });
    row.append(option("head", OFFERED, [this.ownHead(), WORDS.mixed(heads.offered.join(", "))], () => this.choosing.cut(null)));
    names.forEach((name) => {
      row.append(option("head", name, [drawing(heads.shapes[name][0]), name], () => this.choosing.cut(name)));
    });
    return [group(WORDS.head, "heads", row, make("p", WORDS.headNote))];
  }

  ownHead() {
    const { heads, marks } = this.choosing.data;
    const mark = /** @type {import("./data.js").MarkData} */ (marks.find((one) => heads.marks[one.mark]));
    return drawing({ points: mark.points, triangles: mark.triangles, length: heads.marks[mark.mark][1] });
  }

  keep() {
    const picture = make("button", WORDS.picture, { id: "save-picture" });
    picture.addEventListener("click", () => savePicture(this.app));
    const link = make("button", WORDS.link, { id: "copy-link" });
    link.addEventListener("click", async () => {
      this.choosing.address.keep(true);
      const done = await copied(window.location.href);
      const here = window.location.protocol === "file:" ? WORDS.linkFile : WORDS.linkCopied;
      say(done ? here : WORDS.linkShown);
    });
    const row = make("div", "", { class: "row" });
    row.append(picture, link);
    return group(WORDS.keep, "keep", row);
  }

  room() {
    const told = this.beside.flatMap((name) => {
      if (name.endsWith(".usdz")) return [make("p", WORDS.usdz(name))];
      return name.endsWith(".glb") ? [make("p", WORDS.glb(name))] : [];
    });
    return told.length ? [group(WORDS.room, "room", ...told)] : [];
  }
}
