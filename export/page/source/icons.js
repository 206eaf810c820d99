// The icons of the bar, in lines as on the drawings: on a field of 24 by 20.

/** @typedef {[string, string?]} Stroke a path, and the class that says how it is drawn */

/** @type {Record<string, Stroke[]>} */
const ICONS = {
  // pales before rails, and rails before pales
  front: [["M3 18V6l2-3 2 3v12zM10 18V6l2-3 2 3v12zM17 18V6l2-3 2 3v12z"], ["M7 8h3M14 8h3M7 14h3M14 14h3", "thin"]],
  back: [["M2 6.5h20v3H2zM2 13h20v3H2z"], ["M4 6.5V4l1.5-2L7 4v2.5M10.5 6.5V4L12 2l1.5 2v2.5M17 6.5V4l1.5-2L20 4v2.5M4 9.5V13M7 9.5V13M10.5 9.5V13M13.5 9.5V13M17 9.5V13M20 9.5V13", "thin"]],
  top: [["M2 7h4v4H2zM18 7h4v4h-4z"], ["M6 8.2h12M6 9.8h12", "thin"], ["M7 12h2v2H7zM11 12h2v2h-2zM15 12h2v2h-2z", "full"]],
  // the sign for a level, over the line of the ground
  eye: [["M2 9h20"], ["M8.5 2.5h7L12 9z"], ["M2 18h20M5 18l-2 2M10 18l-2 2M15 18l-2 2M20 18l-2 2", "thin"]],
  start: [["M3 3h18v14H3z"], ["M6 14V9l1.5-2L9 9v5M10.5 14V9L12 7l1.5 2v5M15 14V9l1.5-2L18 9v5", "thin"]],
  // a leaf and its swing, as in plan
  gate: [["M2 15h4v4H2zM18 15h4v4h-4z", "full"], ["M6 16.5L8.8 3.5"], ["M8.8 3.5A13.3 13.3 0 0 1 18 16.5", "thin"]],
  section: [["M9.5 12V2h5v10"], ["M2 9h7.5M14.5 9H22"], ["M7 9v10h10V9M9.5 12v4h5v-4"], ["M2 12l3-3M3 15l4-4M19 13l4-4M18 17l4-4", "thin"]],
  dimensions: [["M2 10h20"], ["M3 4v12M21 4v12", "thin"], ["M2 12l2-4M20 12l2-4"]],
  measure: [["M2 5h6M5 2v6M16 15h6M19 12v6"], ["M7 7l2 1.6M11 10l2 1.6M15 13l1 .8"]],
  // marks in their rings, with what they stand for
  parts: [["M5 1.5a2.3 2.3 0 1 0 .01 0zM5 7.700a2.3 2.3 0 1 0 .01 0zM5 13.900a2.3 2.3 0 1 0 .01 0z", "thin"], ["M11 4h10M11 10h10M11 16h10"]],
  print: [["M6 2h12v16H6z"], ["M6 13.5h12M12 13.5V18", "thin"], ["M8.5 10.5h7M9.5 8v-3M12 8v-3M14.5 8v-3", "thin"]],
  more: [["M3 8h4v4H3zM10 8h4v4h-4zM17 8h4v4h-4z"]],
};

const SVG = "http://www.w3.org/2000/svg";

/**
 * @param {string} tag
 * @param {Record<string, string>} attributes
 */
export function drawn(tag, attributes) {
  const element = document.createElementNS(SVG, tag);
  Object.entries(attributes).forEach(([key, value]) => element.setAttribute(key, value));
  return element;
}

/** @param {string | Stroke[]} of the name of an icon, or its strokes */
export function icon(of) {
  const made = drawn("svg", { viewBox: "0 0 24 20", class: "icon", "aria-hidden": "true" });
  const strokes = typeof of === "string" ? ICONS[of] : of;
  strokes.forEach(([d, kind]) => made.append(drawn("path", kind ? { d, class: kind } : { d })));
  return made;
}
