// What a cut shows of the pieces it goes through: their cut faces, filled by counting in the stencil
// how often the eye enters and leaves a piece beyond the plane.
import {
  AlwaysStencilFunc, BackSide, Color, DecrementWrapStencilOp, FrontSide, IncrementWrapStencilOp, InstancedMesh,
  Mesh, MeshBasicMaterial, NotEqualStencilFunc, PlaneGeometry, ReplaceStencilOp, DoubleSide, Sphere, Vector3,
} from "three";

/**
 * @import { Object3D, Plane, Side, StencilOp } from "three"
 * @import { World } from "./world.js"
 */

/**
 * Return what was put into the scene; materials of one finish are counted and filled together.
 * @param {World} world
 * @param {Plane} plane
 */
export function caps(world, plane) {
  /** @type {Mesh[]} */
  const made = [];
  /** @type {(object: Mesh, parent: Object3D, order: number) => void} */
  const put = (object, parent, order) => {
    object.renderOrder = order;
    object.raycast = () => {};
    parent.add(object);
    made.push(object);
  };
  const cut = world.meshes.filter((mesh) => {
    const ball = new Sphere().copy(/** @type {Sphere} */ (mesh.boundingSphere)).applyMatrix4(mesh.matrixWorld);
    return Math.abs(plane.distanceToPoint(ball.center)) < ball.radius;
  });
  /** @type {(mesh: InstancedMesh) => number} */
  const finishOf = (mesh) => world.data.marks[mesh.userData.mark].finish;
  const counters = /** @type {[Side, StencilOp][]} */ (
    [[BackSide, IncrementWrapStencilOp], [FrontSide, DecrementWrapStencilOp]]
  ).map(([side, op]) => (
    new MeshBasicMaterial({
      side, clippingPlanes: [plane], colorWrite: false, depthWrite: false, depthTest: false, stencilWrite: true,
      stencilFunc: AlwaysStencilFunc, stencilFail: op, stencilZFail: op, stencilZPass: op,
    })));
  [...new Set(cut.map(finishOf))].forEach((finish, number) => {
    cut.filter((mesh) => finishOf(mesh) === finish).forEach((mesh) => counters.forEach((counter) => {
      const copy = new InstancedMesh(mesh.geometry, counter, mesh.count);
      copy.instanceMatrix = mesh.instanceMatrix;
      copy.boundingSphere = mesh.boundingSphere;
      put(copy, /** @type {Object3D} */ (mesh.parent), 10 + number);
    }));
    const { colour, wood } = world.data.finishes[finish];
    // inside, timber is paler than its finish
    const inside = new Color().setRGB(...colour, "srgb").lerp(new Color(0.62, 0.45, 0.28), 0.7 * Math.sign(wood));
    const face = new Mesh(new PlaneGeometry(8 * world.radius + 1e4, 1e4), new MeshBasicMaterial({
      color: inside, side: DoubleSide, stencilWrite: true, stencilRef: 0, stencilFunc: NotEqualStencilFunc,
      stencilFail: ReplaceStencilOp, stencilZFail: ReplaceStencilOp, stencilZPass: ReplaceStencilOp,
    }));
    face.position.copy(plane.coplanarPoint(new Vector3()));
    face.quaternion.setFromUnitVectors(new Vector3(0, 0, 1), plane.normal);
    face.onAfterRender = (renderer) => renderer.clearStencil();
    put(face, world.scene, 10.5 + number);
  });
  return made;
}
