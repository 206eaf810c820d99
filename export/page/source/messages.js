// What the page says: for a moment, or until what it tells of ends.
import { $ } from "./dom.js";

const MESSAGE_TIME = 8000; // ms that a message of a moment stays

/** @type {number | undefined} */
let passing;

/**
 * Say something: for a moment, or until what it tells of ends and something else, or nothing, is said.
 *
 * @param {string} text
 * @param {boolean} [lasting]
 */
export const say = (text, lasting = false) => {
  clearTimeout(passing);
  $("said").textContent = text;
  if (text && !lasting) passing = setTimeout(() => say(""), MESSAGE_TIME);
};
