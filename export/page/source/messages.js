// What the page says: for a moment, or until what it tells of ends.
import { $ } from "./dom.js";
import { words } from "./words.js";

const MESSAGE_TIME = 8000; // ms that a message of a moment stays
const READING = 60; // ms that a letter takes to read

/** @type {number | undefined} */
let passing;
let [held, momentary] = [false, false];
let standing = ""; // what is said again when a message of a moment has gone

/** Out of sight; readers of the screen still find it, until something else is said. */
function pass() {
  if (momentary && standing) say(standing, true);
  else $("message").classList.add("past");
}

function wait() {
  clearTimeout(passing);
  const { length } = $("said").textContent || "";
  if (momentary && !held && length) passing = setTimeout(pass, Math.max(MESSAGE_TIME, READING * length));
}

/**
 * Say something: for a moment, or until what it tells of ends and something else of that kind, or nothing,
 * is said.
 *
 * @param {string} text
 * @param {boolean} [lasting]
 */
export const say = (text, lasting = false) => {
  momentary = !lasting;
  if (lasting || !text) standing = text;
  $("message").classList.toggle("past", !text);
  $("said").textContent = text;
  wait();
};

/** Keep a message while someone is at it, and let it be sent away. */
export function attend() {
  const box = $("message");
  box.hidden = false; // a status that is hidden is not read out when it changes
  pass();
  const close = $("hush");
  close.textContent = words.close;
  close.addEventListener("click", () => {
    pass();
    $("view").focus();
  });
  /** @param {boolean} on */
  const hold = (on) => () => {
    held = on;
    wait();
  };
  box.addEventListener("pointerenter", hold(true));
  box.addEventListener("pointerleave", hold(false));
  box.addEventListener("focusin", hold(true));
  box.addEventListener("focusout", hold(false));
}
