// Elements of the page, and what the device is like.

/**
 * An element of the page's own HTML.
 * @param {string} id
 */
export const $ = (id) => /** @type {HTMLElement} */ (document.getElementById(id));

/**
 * @param {string} tag
 * @param {string} text
 * @param {Record<string, string>} [attributes]
 */
export function make(tag, text, attributes = {}) {
  const element = document.createElement(tag);
  element.textContent = text;
  Object.entries(attributes).forEach(([key, value]) => element.setAttribute(key, value));
  return element;
}

/**
 * Put others in the place of elements; what had the focus gives it to the one of the same id.
 * @param {HTMLElement} box
 * @param {(HTMLElement | string)[]} elements
 */
export function refill(box, elements) {
  const id = box.contains(document.activeElement) && document.activeElement ? document.activeElement.id : "";
  box.replaceChildren(...elements);
  const same = id && document.getElementById(id);
  if (same) same.focus({ preventScroll: true });
}

/** Whether fingers are what points. */
export const touched = () => window.matchMedia("(hover: none) and (pointer: coarse)").matches;

/** Whether nothing shall move by itself. */
export const calm = () => window.matchMedia("(prefers-reduced-motion: reduce)").matches;
