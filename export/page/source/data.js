// Arrays of the page's data: base64 of little-endian figures.

function bytes(text) {
  const raw = atob(text);
  const out = new Uint8Array(raw.length);
  for (let i = 0; i < raw.length; i += 1) out[i] = raw.charCodeAt(i);
  return out.buffer;
}

export const floats = (text) => new Float32Array(bytes(text));
export const numbers = (text) => new Uint32Array(bytes(text));
