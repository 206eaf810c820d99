// Text to where the visitor can paste it from.

/**
 * @param {string} text
 * @returns {Promise<boolean>} whether the browser lets the page do it
 */
export async function copied(text) {
  try {
    await navigator.clipboard.writeText(text);
    return true;
  } catch {
    return false;
  }
}
