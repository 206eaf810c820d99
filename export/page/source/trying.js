// Other finishes and other heads on a fence that is shown, without building it anew.
import { floats, numbers } from "./data.js";
import { faceted, flat, repeated } from "./flat.js";
import { plain, surface } from "./surfaces.js";

/**
 * @import { BufferGeometry, InstancedMesh, Material, Mesh } from "three"
 * @import { FinishData, FinishedPart, HeadData } from "./data.js"
 * @import { World } from "./world.js"
 */

/**
 * What is drawn of a mark from afar, by what is drawn of it from near.
 * @param {World} world
 * @returns {Map<InstancedMesh, Mesh | undefined>}
 */
const fars = (world) => new Map(world.near.map(({ mesh, far }) => [mesh, far]));

/**
 * Show a part of the fence in a finish.
 *
 * @param {World} world
 * @param {FinishedPart} part
 * @param {FinishData | null} finish null for the one that is offered
 */
export function dress(world, part, finish) {
  const far = fars(world);
  const { clippingPlanes } = world.ground.material;
  world.meshes.forEach((mesh) => {
    const mark = world.data.marks[mesh.userData.mark];
    if (mark.of !== part) return;
    const key = finish ? `${finish.name} tried ${mark.grain}` : "";
    if (finish && !world.materials.has(key)) {
      const made = surface(finish, mark.grain);
      made.clippingPlanes = clippingPlanes;
      made.side = world.materialOf(mark).side;
      world.materials.set(key, made);
    }
    mesh.material = world.materials.get(key) || world.materialOf(mark);
    const plainer = far.get(mesh);
    if (!plainer) return;
    const name = finish ? finish.name : mark.finish;
    if (finish && !world.plains.has(name)) {
      const made = plain(finish);
      made.clippingPlanes = clippingPlanes;
      world.plains.set(name, made);
    }
    plainer.material = /** @type {Material} */ (world.plains.get(name));
  });
}

/**
 * Show the pales with another head.
 *
 * @param {World} world
 * @param {string | null} name of its shape; null for the one that is offered
 */
export function crown(world, name) {
  const { heads, marks } = world.data;
  const far = fars(world);
  world.tried.forEach((geometry) => geometry.dispose());
  world.tried = [];
  /** @type {Map<number, BufferGeometry>} */
  const own = new Map();
  marks.forEach((mark, number) => {
    const known = heads.marks[mark.mark];
    if (!known) return;
    const [at, length] = known;
    own.set(number, name ? headed(heads.shapes[name][at], length) : world.geometries[number]);
  });
  if (name) world.tried = [...own.values()];
  world.meshes.forEach((mesh) => {
    const geometry = own.get(mesh.userData.mark);
    if (!geometry) return;
    mesh.geometry = geometry;
    mesh.computeBoundingSphere();
    const plainer = far.get(mesh);
    if (!plainer) return;
    plainer.geometry.dispose();
    plainer.geometry = repeated(flat(geometry), mesh);
  });
}

/**
 * A pale with another head: what is not at its foot is moved until it is as long as it must be.
 *
 * @param {HeadData} head
 * @param {number} length of the pale, mm
 */
export function headed(head, length) {
  const points = floats(head.points);
  for (let i = 2; i < points.length; i += 3) if (points[i] > 0) points[i] += length - head.length;
  return faceted(points, numbers(head.triangles));
}
