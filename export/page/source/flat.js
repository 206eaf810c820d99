// Pieces as they are drawn: with flat faces from near; from afar pales as one face, and all of a
// chunk in one mesh.
import { BufferAttribute, BufferGeometry, Matrix4, Vector3 } from "three";
import { mergeVertices } from "three/examples/jsm/utils/BufferGeometryUtils.js";

/** @import { Box3, InstancedMesh } from "three" */

/**
 * A piece with corners of its own at each face, so that its faces are flat.
 * @param {Float32Array} points
 * @param {Uint32Array} triangles
 */
export function faceted(points, triangles) {
  const indexed = new BufferGeometry();
  indexed.setAttribute("position", new BufferAttribute(points, 3));
  indexed.setIndex(new BufferAttribute(triangles, 1));
  const loose = indexed.toNonIndexed();
  loose.computeVertexNormals();
  return loose;
}

/**
 * Of a thin piece the one face that looks along its thickness.
 * @param {BufferGeometry} geometry
 */
export function flat(geometry) {
  geometry.computeBoundingBox();
  const size = /** @type {Box3} */ (geometry.boundingBox).getSize(new Vector3());
  const thin = [size.x, size.y, size.z].indexOf(Math.min(size.x, size.y, size.z));
  const points = /** @type {Float32Array} */ (geometry.getAttribute("position").array);
  const normals = /** @type {Float32Array} */ (geometry.getAttribute("normal").array);
  /** @type {[number[], number[]]} */
  const kept = [[], []];
  for (let i = 0; i < points.length; i += 9) {
    if (normals[i + thin] > 0.7) [points, normals].forEach((from, to) => kept[to].push(...from.subarray(i, i + 9)));
  }
  return mergeVertices(geometryOf(...kept));
}

/**
 * One mesh: a card draws thousands of instances of a few corners slower than all their corners.
 * @param {BufferGeometry} piece
 * @param {InstancedMesh} instances
 */
export function repeated(piece, instances) {
  const { count } = instances;
  const [points, normals] = ["position", "normal"].map((name) => piece.getAttribute(name));
  const own = piece.getIndex();
  const index = own ? own.array : Array.from({ length: points.count }, (_, i) => i);
  const to = /** @type {[Float32Array, Float32Array]} */ (
    [0, 1].map(() => new Float32Array(3 * points.count * count))
  );
  const triangles = new Uint32Array(index.length * count);
  const matrix = new Matrix4();
  const spot = new Vector3();
  for (let i = 0; i < count; i += 1) {
    instances.getMatrixAt(i, matrix);
    for (let j = 0; j < points.count; j += 1) {
      const at = 3 * (i * points.count + j);
      spot.fromBufferAttribute(points, j).applyMatrix4(matrix).toArray(to[0], at);
      spot.fromBufferAttribute(normals, j).transformDirection(matrix).toArray(to[1], at);
    }
    for (let j = 0; j < index.length; j += 1) triangles[i * index.length + j] = index[j] + i * points.count;
  }
  const made = geometryOf(...to);
  made.setIndex(new BufferAttribute(triangles, 1));
  return made;
}

/**
 * @param {ArrayLike<number>} points
 * @param {ArrayLike<number>} normals
 */
function geometryOf(points, normals) {
  const made = new BufferGeometry();
  made.setAttribute("position", new BufferAttribute(new Float32Array(points), 3));
  made.setAttribute("normal", new BufferAttribute(new Float32Array(normals), 3));
  return made;
}
