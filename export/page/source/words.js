// The page's own words, all in one place: a language is one such table.
import { touched } from "./dom.js";

const ENGLISH = {
  front: "Front",
  back: "Back",
  top: "Plan",
  eye: "Eye level",
  start: "Start view",
  gate: "Open gate",
  gates: "Open gates",
  section: "Section",
  dimensions: "Sizes",
  measure: "Measure",
  parts: "Parts",
  print: "Print",
  more: "More",
  close: "Close",
  north: "North up",
  fence: "Your fence",
  moving: "Moving about",
  keys: "Keys",
  byKeys: "Tools answer to single keys",
  rest: "More views and tools",
  gatesList: "Gates",
  /** @param {string} name */
  open: (name) => `Open ${name}`,
  /** @param {string} name */
  opens: (name) => `${name} opens`,
  /** @param {string} name */
  shuts: (name) => `${name} shuts`,
  allOpen: "The gates open",
  allShut: "The gates shut",
  eyeLevel: () => (touched()
    ? "Eye level. Drag to look round, two fingers take you along."
    : "Eye level. Arrow keys turn, W and S walk forwards and back."),
  howToMove: () => (touched()
    ? ["One finger turns the fence, two fingers move it and come nearer.", "Tap a gate to open or shut it, a piece to see what it is."]
    : ["Drag to turn, drag with the right button to move, turn the wheel to come nearer.", "Click a gate to open or shut it, a piece to see what it is."]),
  /** @type {[string, string][]} */
  keysOfView: [["← ↑ → ↓", "turn"], ["Shift ← ↑ → ↓", "move"], ["+ −", "nearer, away"], ["W S", "walk forwards and back"], ["Esc", "leave what is open"]],
  noPost: "No post of this fence stands in the ground.",
  /** @type {(label: string, below: string, above: string) => string} */
  cut: (label, below, above) => `Cut through post ${label}: ${below} below ground, ${above} above.`,
  measuring: () => (touched()
    ? "Tap two points."
    : "Click two points, or bring them under the cross and press Enter."),
  nothingThere: "Nothing there to measure from.",
  firstPoint: "First point set; now the second.",
  /** @type {(all: string, level: string, upright: string) => string} */
  measured: (all, level, upright) => `${all}; level ${level}, upright ${upright}`,
  /** @param {string} text */
  inAll: (text) => `${text} in all`,
  /** @param {string} text */
  gateWidth: (text) => `gate ${text}`,
  /** @param {string} text */
  gapWide: (text) => `gap ${text}`,
  /** @param {string} text */
  postHigh: (text) => `post ${text}`,
  mark: "mark",
  part: "part",
  count: "no.",
  size: "size",
  sizeMm: "size, mm",
  /** @type {(mark: string, part: string, count: number, note: string) => string} */
  lit: (mark, part, count, note) => `${mark}, ${part}: ${count} in the fence${note ? `; ${note}` : ""}`,
  rebuilt: "Rebuilt.",
  /** @param {string} text */
  rebuiltAs: (text) => `Rebuilt: ${text}.`,
  ended: "The program that serves this page has ended; this is what it built last.",
  no3D: "This browser shows no 3D; these are pictures of the fence.",
};

/** @type {Record<string, typeof ENGLISH>} by the language of the page */
const LANGUAGES = { en: ENGLISH };

export const words = LANGUAGES[document.documentElement.lang] || ENGLISH;
