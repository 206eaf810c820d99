// What is chosen on a sheet, to print and sign, or as the text of a mail.
import { make } from "./dom.js";
import { choiceWords } from "./choice_words.js";
import { copied } from "./copying.js";
import { say } from "./messages.js";
import { sightOf } from "./saving.js";
import { words } from "./words.js";

/**
 * @import { App } from "./app.js"
 * @import { Choosing } from "./choosing.js"
 */

const { sheet: TEXT } = choiceWords;

export class ChoiceSheet {
  /**
   * @param {App} app
   * @param {Choosing} choosing
   */
  constructor(app, choosing) {
    this.app = app;
    this.choosing = choosing;
    this.box = /** @type {HTMLDialogElement} */ (make("dialog", "", { id: "chosen", "aria-label": TEXT.title }));
    this.box.addEventListener("keydown", (event) => event.stopPropagation()); // no keys of the view
    this.box.addEventListener("close", () => document.body.classList.remove("signing"));
    document.body.append(this.box);
  }

  /** What is chosen, line by line; what nobody gave has none. */
  rows() {
    const { app, choosing } = this;
    const { offer, heads, title } = choosing.data;
    const tried = choosing.tried();
    const same = choosing.offeredAs();
    const price = [offer.price, offer.tax].filter(Boolean).join(" ");
    const asOffered = tried.length && price ? `${price} (${TEXT.asOffered})` : price;
    /** @type {[string, string][]} */
    const rows = [
      [TEXT.project, title],
      [TEXT.site, offer.site || ""],
      [TEXT.offer, TEXT.of(offer.number || "", offer.dated || "")],
      [TEXT.alternative, app.models.length > 1 ? choosing.data.name : ""],
      [TEXT.summary, offer.summary],
      ...offer.differs.filter(([label]) => label !== TEXT.finish),
      [TEXT.finish, choosing.finishWords()],
      [TEXT.head, heads.offered.length ? choosing.headWords() : ""],
      [TEXT.price, asOffered],
      [TEXT.same, same ? [same.name, same.offer.price, same.offer.tax].filter(Boolean).join(" ") : ""],
      [TEXT.ask, tried.length && !same ? TEXT.asked(tried) : ""],
      [TEXT.holds, price ? offer.holds || "" : ""],
      [TEXT.date, this.day()],
    ];
    return rows.filter(([, text]) => text);
  }

  /** @param {string} [date] year-month-day; today when left out */
  day(date) {
    const day = date ? new Date(`${date}T12:00:00`) : new Date();
    return day.toLocaleDateString(this.choosing.data.feet ? "en-US" : "en-GB", { day: "numeric", month: "long", year: "numeric" });
  }

  open() {
    const { offer, title } = this.choosing.data;
    const rows = this.rows();
    const list = make("dl", "");
    rows.forEach(([label, text]) => list.append(make("dt", label), make("dd", text)));
    const picture = make("img", "", { src: sightOf(this.app).toDataURL("image/jpeg", 0.9), alt: TEXT.picture });
    const signed = make("div", "", { class: "signed" });
    [offer.client || TEXT.client, offer.owner || TEXT.owner].forEach((name) => {
      const one = make("div", "");
      one.append(make("strong", name), ...TEXT.lines.map((line) => make("p", line)));
      signed.append(one);
    });
    const paper = make("article", "");
    paper.append(make("h2", TEXT.title), picture, list, signed);
    const ways = this.buttons(title, rows);
    const { until } = offer;
    if (until && new Date() > new Date(`${until}T23:59:59`)) ways.append(make("p", TEXT.over(this.day(until)), { class: "over" }));
    this.box.replaceChildren(ways, paper);
    this.box.showModal();
    document.body.classList.add("signing");
  }

  /**
   * @param {string} title
   * @param {[string, string][]} rows
   */
  buttons(title, rows) {
    const { email } = this.choosing.data.offer;
    const text = rows.map(([label, said]) => `${label}: ${said}`).join("\n");
    const box = make("div", "", { class: "ways" });
    const print = make("button", choiceWords.print, { class: "main" });
    print.addEventListener("click", () => window.print());
    const letter = `subject=${encodeURIComponent(choiceWords.subject(title))}&body=${encodeURIComponent(text.replace(/\n/g, "\r\n"))}`;
    const mail = make("a", choiceWords.mail, { href: `mailto:${encodeURIComponent(email || "")}?${letter}`, class: "button" });
    const shut = make("button", words.close);
    shut.addEventListener("click", () => this.box.close());
    const told = make("details", "");
    const area = /** @type {HTMLTextAreaElement} */ (make("textarea", text, { readonly: "", rows: "8", "aria-label": choiceWords.mailText }));
    const copy = make("button", choiceWords.copy);
    const done = make("span", "", { role: "status" });
    copy.addEventListener("click", async () => {
      const could = await copied(text);
      if (!could) area.select();
      done.textContent = could ? choiceWords.copied : choiceWords.notCopied;
    });
    told.append(make("summary", choiceWords.mailText), area, copy, " ", done);
    box.append(print, " ", mail, " ", shut, make("p", choiceWords.mailNote), told);
    say("");
    return box;
  }
}
