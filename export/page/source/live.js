// The live loop of `watch`: the page shows what was rebuilt, and what stops it from being so.
import { $ } from "./dom.js";
import { say } from "./messages.js";
import { words } from "./words.js";

/**
 * @import { App } from "./app.js"
 * @import { PageWindow } from "./app.js"
 */

/** @param {App} app */
export function listen(app) {
  const events = new EventSource("events");
  let told = ""; // what the last rebuild changed, which may be known before its models have come
  events.addEventListener("model", async () => {
    told = "";
    const answer = await fetch("model.json", { cache: "no-store" });
    app.models = await answer.json();
    $("trouble").hidden = true;
    app.show(Math.min(app.chosen, app.models.length - 1));
    say(told ? words.rebuiltAs(told) : words.rebuilt);
    /** @type {PageWindow} */ (window).rebuilt = (/** @type {PageWindow} */ (window).rebuilt || 0) + 1;
  });
  events.addEventListener("changed", (event) => {
    told = JSON.parse(event.data);
    say(words.rebuiltAs(told));
  });
  let gone = false;
  events.addEventListener("error", () => {
    gone = true;
    say(words.ended, true);
  });
  events.addEventListener("open", () => {
    if (gone) say("");
    gone = false;
  });
  events.addEventListener("trouble", (event) => {
    $("trouble").textContent = JSON.parse(event.data);
    $("trouble").hidden = false;
  });
}
