// Lengths in the units of a job's papers.

const SIXTEENTHS = 16 / 25.4;

/**
 * Feet and inches to a sixteenth, as the drawings have them.
 * @param {number} value in mm
 */
function feetAndInches(value) {
  const all = Math.round(Math.abs(value) * SIXTEENTHS);
  const sign = value < 0 && all ? "-" : "";
  const [feet, inches] = [Math.floor(all / 192), Math.floor((all % 192) / 16)];
  let [part, whole] = [all % 16, 16];
  while (part && part % 2 === 0) [part, whole] = [part / 2, whole / 2];
  const fraction = part ? `${part}/${whole}` : "";
  const small = part && (inches || feet) ? `${inches} ${fraction}` : fraction || `${inches}`;
  return feet ? `${sign}${feet}'-${small}"` : `${sign}${small}"`;
}

/**
 * @param {{feet: boolean}} data of the fence
 * @param {number} value in mm
 * @param {number} places of millimetres
 */
export function small(data, value, places) {
  return data.feet ? feetAndInches(value) : `${value.toFixed(places)} mm`;
}

/**
 * @param {{feet: boolean}} data of the fence
 * @param {number} value in mm
 */
export function long(data, value) {
  return data.feet ? feetAndInches(value) : `${(value / 1000).toFixed(2)} m`;
}

/**
 * @param {{feet: boolean}} data of the fence
 * @param {number[]} sizes in mm
 * @param {string} by what stands between them
 */
export function sizes(data, sizes, by) {
  return sizes.map((size) => (data.feet ? feetAndInches(size) : `${size}`)).join(by);
}
