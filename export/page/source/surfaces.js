// Materials: timber with grain worked out from the position on the piece, metal, concrete, ground.
import {
  Color, DataTexture, DoubleSide, FrontSide, LinearFilter, LinearMipmapLinearFilter, MeshLambertMaterial,
  MeshStandardMaterial, RepeatWrapping,
} from "three";

/** @import { FinishData, Triple } from "./data.js" */

const NOISE = `
float speckle(vec3 p) { return fract(sin(dot(p, vec3(12.9898, 78.233, 37.719))) * 43758.5453); }
float cloud(vec3 p) {
  vec3 i = floor(p), f = fract(p);
  f = f * f * (3.0 - 2.0 * f);
  return mix(
    mix(mix(speckle(i), speckle(i + vec3(1, 0, 0)), f.x),
        mix(speckle(i + vec3(0, 1, 0)), speckle(i + vec3(1, 1, 0)), f.x), f.y),
    mix(mix(speckle(i + vec3(0, 0, 1)), speckle(i + vec3(1, 0, 1)), f.x),
        mix(speckle(i + vec3(0, 1, 1)), speckle(i + vec3(1, 1, 1)), f.x), f.y), f.z);
}
`;

/**
 * @param {FinishData} finish
 * @param {number} along axis of the grain: 0 x, 2 z
 */
export function surface(finish, along) {
  const material = new MeshStandardMaterial({
    color: new Color().setRGB(...finish.colour, "srgb"),
    roughness: finish.roughness,
    metalness: Math.min(finish.metallic, 0.35), // there is nothing around to mirror
    side: FrontSide,
  });
  if (finish.wood > 0) {
    const axis = along === 0 ? "vPiece.yzx" : "vPiece.xyz";
    material.onBeforeCompile = (shader) => {
      shader.vertexShader = `varying vec3 vPiece;\nvarying float vSeed;\n${shader.vertexShader}`.replace(
        "#include <begin_vertex>",
        `#include <begin_vertex>
        vPiece = position;
        #ifdef USE_INSTANCING
        vSeed = fract(sin(dot(instanceMatrix[3].xyz, vec3(0.0127, 0.0311, 0.0173))) * 4375.85);
        #else
        vSeed = 0.5;
        #endif`,
      );
      shader.fragmentShader = `varying vec3 vPiece;\nvarying float vSeed;\n${NOISE}\n${shader.fragmentShader}`.replace(
        "#include <color_fragment>",
        `#include <color_fragment>
        vec3 q = ${axis};
        vec3 stretched = vec3(q.xy / 9.0, q.z / 260.0) + vSeed * 71.0;
        float rings = abs(fract(length(q.xy + 40.0 * vSeed + 6.0 * cloud(stretched)) / 11.0) - 0.5) * 2.0;
        float fibre = cloud(vec3(q.xy / 1.3, q.z / 60.0) + vSeed * 13.0);
        float tone = 0.86 + 0.16 * rings + 0.12 * fibre + 0.12 * (vSeed - 0.5);
        diffuseColor.rgb *= mix(1.0, tone, ${finish.wood.toFixed(2)});`,
      );
    };
    material.customProgramCacheKey = () => `wood ${along} ${finish.wood}`;
  }
  return material;
}

/**
 * The same finish from afar: its mean tone, on both sides of a plate.
 * @param {FinishData} finish
 */
export function plain(finish) {
  const mean = new Color().setRGB(...finish.colour, "srgb");
  return new MeshLambertMaterial({ color: mean, side: DoubleSide });
}

/**
 * A tile of grass that joins itself: lattice noise at three sizes, the same every time.
 * @param {number} size
 */
function tile(size) {
  const pixels = new Uint8Array(size * size * 4);
  /** @type {(x: number, y: number, n: number) => number} */
  const hash = (x, y, n) => {
    const v = Math.sin(((x % n) * 127.1 + (y % n) * 311.7 + n * 74.7)) * 43758.5453;
    return v - Math.floor(v);
  };
  /** @type {(u: number, v: number, n: number) => number} */
  const noise = (u, v, n) => {
    const [x, y] = [u * n, v * n];
    const [i, j] = [Math.floor(x), Math.floor(y)];
    /** @param {number} t */
    const smooth = (t) => t * t * (3 - 2 * t);
    const [a, b] = [smooth(x - i), smooth(y - j)];
    const low = hash(i, j, n) * (1 - a) + hash(i + 1, j, n) * a;
    const high = hash(i, j + 1, n) * (1 - a) + hash(i + 1, j + 1, n) * a;
    return low * (1 - b) + high * b;
  };
  for (let y = 0; y < size; y += 1) {
    for (let x = 0; x < size; x += 1) {
      const [u, v] = [x / size, y / size];
      const tone = 0.25 * noise(u, v, 6) + 0.3 * noise(u, v, 32) + 0.45 * noise(u, v, 120);
      const at = (y * size + x) * 4;
      pixels[at] = 255 * (0.62 + 0.38 * tone);
      pixels[at + 1] = 255 * (0.66 + 0.34 * tone);
      pixels[at + 2] = 255 * (0.62 + 0.3 * tone);
      pixels[at + 3] = 255;
    }
  }
  const texture = new DataTexture(pixels, size, size);
  texture.wrapS = RepeatWrapping;
  texture.wrapT = RepeatWrapping;
  texture.magFilter = LinearFilter;
  texture.minFilter = LinearMipmapLinearFilter;
  texture.generateMipmaps = true;
  texture.anisotropy = 4;
  texture.needsUpdate = true;
  return texture;
}

export const GRASS_TILE = 6000; // mm that one tile covers

/** @param {Triple} colour linear */
export function grass(colour) {
  // the tile's own mean is taken out again
  const [r, g, b] = colour;
  return new MeshLambertMaterial({ color: new Color(r / 0.81, g / 0.83, b / 0.77), map: tile(256), side: DoubleSide, vertexColors: true });
}
