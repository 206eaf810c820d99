// Elements of the page.

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
