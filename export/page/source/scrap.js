// Giving back to the graphics card what is shown no more: nothing else frees it.
import { InstancedMesh, Light, Texture } from "three";

/** @import { Material, Mesh, Object3D } from "three" */

/** @param {Material} material */
export function scrapMaterial(material) {
  Object.values(material).forEach((value) => {
    if (value instanceof Texture) value.dispose();
  });
  material.dispose();
}

/**
 * An object and all that is in it: corners, materials and their pictures, shadows of its lights.
 * @param {Object3D} root
 */
export function scrap(root) {
  root.traverse((object) => {
    if (object instanceof InstancedMesh || object instanceof Light) object.dispose();
    const { geometry, material } = /** @type {Partial<Mesh>} */ (object);
    if (geometry) geometry.dispose();
    if (material) [material].flat().forEach(scrapMaterial);
  });
}
