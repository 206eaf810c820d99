// A fence as a three.js scene: one instanced mesh for each mark, leaves on their hinges, the ground.
import {
  BufferAttribute, BufferGeometry, CapsuleGeometry, Color, DoubleSide,
  Group, InstancedMesh, Matrix4, Mesh, MeshBasicMaterial, MeshStandardMaterial,
  PlaneGeometry, Quaternion, Scene, Sphere, SphereGeometry, Vector3,
} from "three";
import { caps } from "./caps.js";
import { floats, numbers } from "./data.js";
import { addDaylight } from "./daylight.js";
import { faceted, flat, repeated } from "./flat.js";
import { scrap, scrapMaterial } from "./scrap.js";
import { GRASS_TILE, grass, plain, surface } from "./surfaces.js";

/**
 * @import { Material, MeshLambertMaterial, Object3D, Plane } from "three"
 * @import { FenceData, LeafData, MarkData } from "./data.js"
 */

/**
 * @typedef {object} Chunk a mesh drawn only from near
 * @property {InstancedMesh} mesh
 * @property {number} from mm to the eye up to which it is drawn
 * @property {Mesh} [far] the plainer one drawn from further away
 */

/**
 * @typedef {object} Leaf
 * @property {string} name
 * @property {Group} pivot
 * @property {number} degrees
 * @property {Vector3} shut where it stands, shut
 * @property {Vector3} slides where it goes from there
 * @property {number} open how far, of 1
 * @property {number} wanted how far it shall be open
 */

export const PERSON = 1700; // mm tall
const CHUNK = 120; // members of a mark in one mesh
const SMALL_CHUNK = 24; // of those seen only from near
const PIXEL = 1000; // a piece so many times its width away is a pixel or so wide
const SMALL = 45000; // mm from which no metal nor footing is drawn
const PLAIN = 35000; // mm from which grain and the thickness of a pale are too small to see
const FEW = 200; // corners of a piece up to which drawing it as an instance is dearer than its corners

export class World {
  /** @param {FenceData} data */
  constructor(data) {
    this.data = data;
    this.scene = new Scene();
    this.timber = new Group();
    this.scene.add(this.timber);
    /** @type {InstancedMesh[]} */
    this.meshes = []; // of every mark, those on leaves too
    /** @type {Chunk[]} */
    this.near = []; // chunks drawn only from near, some with a plainer one for afar
    /** @type {Leaf[]} */
    this.leaves = [];
    /** @type {Mesh[]} */
    this.faces = []; // of what is cut
    /** @type {InstancedMesh[]} */
    this.shown = []; // copies that light a mark
    this.geometries = data.marks.map((mark) => faceted(floats(mark.points), numbers(mark.triangles)));
    this.plainest = data.marks.map((mark, number) => {
      const whole = this.geometries[number];
      return mark.part === "pale" ? flat(whole) : whole;
    });
    /** @type {Map<string, MeshStandardMaterial>} */
    const materials = new Map();
    /** @type {(mark: MarkData) => MeshStandardMaterial} */
    this.materialOf = (mark) => {
      const key = `${mark.finish} ${mark.grain}`;
      if (!materials.has(key)) materials.set(key, surface(data.finishes[mark.finish], mark.grain));
      return /** @type {MeshStandardMaterial} */ (materials.get(key));
    };
    this.materials = materials;
    /** @type {Map<number | string, MeshLambertMaterial>} by number, or by name of what is tried */
    this.plains = new Map();
    /** @type {BufferGeometry[]} pales with heads that are tried */
    this.tried = [];
    data.marks.forEach((mark, number) => {
      this.instanced(number, floats(mark.places), new Vector3()).forEach((mesh) => this.timber.add(mesh));
    });
    data.leaves.forEach((leaf) => this.hang(leaf));
    this.near.filter(({ far }) => far).forEach(({ mesh, far }) => (
      /** @type {Object3D} */ (mesh.parent).add(/** @type {Mesh} */ (far))
    ));
    this.box();
    this.addGround();
    addDaylight(this.scene, data.light, this.middle, this.radius);
    this.addPerson();
    this.sited = true; // whether what stands on the site is seen
    this.dimensions = new Group();
    this.scene.add(this.dimensions);
    // what the methods called above set, for the type checker alone: the bundler drops it
    void (() => {
      /** @type {Vector3} */ this.low;
      /** @type {Vector3} */ this.high;
      /** @type {Vector3} */ this.middle;
      /** @type {number} */ this.radius;
      /** @type {Vector3} */ this.front;
      /** @type {Mesh<BufferGeometry, MeshLambertMaterial>} */ this.ground;
      /** @type {Mesh} */ this.soil;
      /** @type {Group} */ this.person;
    });
  }

  /**
   * In chunks along the fence, so that what is out of sight is not drawn.
   * @param {number} number
   * @param {Float32Array} places
   * @param {Vector3} origin
   */
  instanced(number, places, origin) {
    /** @type {InstancedMesh[]} */
    const made = [];
    const step = 7 * (this.small(number) ? SMALL_CHUNK : CHUNK);
    for (let at = 0; at < places.length; at += step) {
      made.push(this.chunk(number, places.subarray(at, at + step), origin));
    }
    return made;
  }

  /** @param {number} number */
  small(number) {
    const mark = this.data.marks[number];
    return this.data.finishes[mark.finish].metallic > 0 || mark.part === "footing";
  }

  /**
   * @param {number} number
   * @param {Float32Array} places
   * @param {Vector3} origin
   */
  chunk(number, places, origin) {
    const count = places.length / 7;
    const mark = this.data.marks[number];
    const mesh = new InstancedMesh(this.geometries[number], this.materialOf(mark), count);
    const matrix = new Matrix4();
    const one = new Vector3(1, 1, 1);
    for (let i = 0; i < count; i += 1) {
      const p = places.subarray(i * 7, i * 7 + 7);
      const at = new Vector3(p[0], p[1], p[2]).sub(origin);
      matrix.compose(at, new Quaternion(p[3], p[4], p[5], p[6]), one);
      mesh.setMatrixAt(i, matrix);
    }
    const small = this.small(number);
    mesh.castShadow = !small;
    mesh.receiveShadow = true;
    mesh.userData.mark = number;
    mesh.computeBoundingSphere();
    this.meshes.push(mesh);
    if (small) this.near.push({ mesh, from: Math.min(SMALL, PIXEL * [...mark.size].sort((a, b) => a - b)[1]) });
    else if (this.geometries[number].getAttribute("position").count < FEW) this.near.push({ mesh, from: PLAIN, far: this.plainer(mesh) });
    return mesh;
  }

  /**
   * The same members without grain, and pales as plates, for when they are far away.
   * @param {InstancedMesh} mesh
   */
  plainer(mesh) {
    const { mark } = mesh.userData;
    const { finish } = this.data.marks[mark];
    if (!this.plains.has(finish)) this.plains.set(finish, plain(this.data.finishes[finish]));
    const far = new Mesh(repeated(this.plainest[mark], mesh), this.plains.get(finish));
    far.castShadow = true;
    far.visible = false;
    return far;
  }

  /**
   * Draw of each chunk what can be seen from where the camera is.
   * @param {Vector3} eye
   */
  detail(eye) {
    const at = new Sphere();
    this.near.forEach(({ mesh, from, far }) => {
      at.copy(/** @type {Sphere} */ (mesh.boundingSphere)).applyMatrix4(mesh.matrixWorld);
      const close = at.distanceToPoint(eye) < from;
      const there = this.sited || this.data.marks[mesh.userData.mark].count > 0;
      mesh.visible = close && there && !this.buried(mesh);
      if (far) far.visible = !close && there;
    });
  }

  /**
   * Whether grass lies over it: what is in the ground is shown by a cut alone.
   * @param {Object3D} object
   */
  buried(object) {
    const { mark } = object.userData;
    return mark !== undefined && this.data.marks[mark].part === "footing" && !this.soil.visible;
  }

  /** @param {LeafData} leaf */
  hang(leaf) {
    const pivot = new Group();
    pivot.position.set(...leaf.axis);
    const origin = new Vector3(...leaf.axis);
    const made = { name: leaf.name, pivot, degrees: leaf.degrees, shut: origin.clone(), slides: new Vector3(...leaf.slides), open: 0, wanted: 0 };
    leaf.parts.forEach((part) => {
      this.instanced(part.mark, floats(part.places), origin).forEach((mesh) => {
        mesh.userData.leaf = this.leaves.length;
        pivot.add(mesh);
      });
    });
    this.leaves.push(made);
    this.timber.add(pivot);
  }

  // ends of the legs and tops of the posts: what views are fitted to
  box() {
    this.low = new Vector3(Infinity, Infinity, Infinity);
    this.high = new Vector3(-Infinity, -Infinity, -Infinity);
    this.data.posts.forEach((post) => {
      const at = new Vector3(...post.at);
      this.low.min(at);
      this.high.max(at.clone().setZ(at.z + post.top));
    });
    this.middle = this.low.clone().add(this.high).multiplyScalar(0.5);
    this.radius = Math.max(this.low.distanceTo(this.high) / 2, 800);
    const front = new Vector3();
    this.data.legs.forEach((leg) => front.add(new Vector3(...leg.front, 0).multiplyScalar(leg.length)));
    const longest = this.data.legs.reduce((a, b) => (b.length > a.length ? b : a));
    const total = this.data.legs.reduce((sum, leg) => sum + leg.length, 0);
    if (front.length() < 0.1 * total) front.set(...longest.front, 0);
    this.front = front.normalize();
  }

  addGround() {
    const geometry = new BufferGeometry();
    const points = floats(this.data.ground.points);
    geometry.setAttribute("position", new BufferAttribute(points, 3));
    const places = new Float32Array((points.length / 3) * 2);
    for (let i = 0; i < places.length / 2; i += 1) {
      places[2 * i] = points[3 * i] / GRASS_TILE;
      places[2 * i + 1] = points[3 * i + 1] / GRASS_TILE;
    }
    geometry.setAttribute("uv", new BufferAttribute(places, 2));
    geometry.setAttribute("color", new BufferAttribute(floats(this.data.ground.tints), 3));
    geometry.setIndex(new BufferAttribute(numbers(this.data.ground.triangles), 1));
    geometry.computeVertexNormals();
    this.ground = new Mesh(geometry, grass(this.data.light.lawn));
    this.ground.receiveShadow = true;
    this.scene.add(this.ground);
    // what a cut through the ground shows behind the footing
    this.soil = new Mesh(
      new PlaneGeometry(4 * this.radius + 6000, 2400),
      new MeshBasicMaterial({ color: new Color(0.42, 0.33, 0.24), side: DoubleSide }),
    );
    this.soil.visible = false;
    this.scene.add(this.soil);
  }

  /**
   * The level of the ground near a place: of the nearest post.
   * @param {number} x
   * @param {number} y
   */
  groundAt(x, y) {
    let best = this.data.posts[0];
    let least = Infinity;
    this.data.posts.forEach((post) => {
      const away = (post.at[0] - x) ** 2 + (post.at[1] - y) ** 2;
      if (away < least) [best, least] = [post, away];
    });
    return best.at[2];
  }

  addPerson() {
    const cloth = new MeshStandardMaterial({ color: new Color(0.25, 0.32, 0.42), roughness: 0.9 });
    const skin = new MeshStandardMaterial({ color: new Color(0.72, 0.55, 0.45), roughness: 0.8 });
    const person = new Group();
    /** @type {(geometry: BufferGeometry, material: Material, x: number, z: number) => void} */
    const upright = (geometry, material, x, z) => {
      const mesh = new Mesh(geometry, material);
      mesh.rotation.x = Math.PI / 2;
      mesh.position.set(x, 0, z);
      mesh.castShadow = true;
      person.add(mesh);
    };
    upright(new CapsuleGeometry(75, 640, 6, 12), cloth, -95, 395);
    upright(new CapsuleGeometry(75, 640, 6, 12), cloth, 95, 395);
    upright(new CapsuleGeometry(165, 360, 8, 16), cloth, 0, 1090);
    upright(new CapsuleGeometry(52, 520, 6, 12), cloth, -235, 1080);
    upright(new CapsuleGeometry(52, 520, 6, 12), cloth, 235, 1080);
    const head = new Mesh(new SphereGeometry(115, 20, 16), skin);
    head.position.z = PERSON - 115;
    head.castShadow = true;
    person.add(head);
    const leg = this.data.legs.reduce((a, b) => (b.length > a.length ? b : a));
    const at = new Vector3(...leg.start).lerp(new Vector3(...leg.end), 0.2)
      .addScaledVector(new Vector3(...leg.front, 0), 900);
    person.position.set(at.x, at.y, this.groundAt(at.x, at.y));
    person.rotation.z = Math.atan2(leg.front[1], leg.front[0]) + Math.PI / 2;
    this.person = person;
    this.scene.add(person);
  }

  /**
   * @param {number | null} number
   * @returns {number} how many members are lit
   */
  mark(number) {
    // copies share their corners with what they light
    this.shown.forEach((mesh) => {
      mesh.removeFromParent();
      [mesh.material].flat().forEach(scrapMaterial);
    });
    this.shown = [];
    if (number === null) return 0;
    const bright = new MeshBasicMaterial({ color: new Color(1, 0.45, 0), depthTest: false, transparent: true, opacity: 0.75 });
    let count = 0;
    this.meshes.filter((mesh) => mesh.userData.mark === number).forEach((mesh) => {
      const copy = new InstancedMesh(mesh.geometry, bright, mesh.count);
      copy.instanceMatrix = mesh.instanceMatrix;
      copy.renderOrder = 2;
      copy.raycast = () => {};
      /** @type {Object3D} */ (mesh.parent).add(copy);
      this.shown.push(copy);
      count += mesh.count;
    });
    return count;
  }

  /**
   * Hide what lies before a plane and fill what it cuts through; null shows all again.
   * @param {Plane | null} plane
   */
  cut(plane) {
    const planes = plane && [plane];
    this.materials.forEach((material) => {
      material.clipShadows = false;
      material.side = planes ? DoubleSide : 0;
    });
    [...this.materials.values(), ...this.plains.values(), this.ground.material].forEach((material) => {
      material.clippingPlanes = planes;
      material.needsUpdate = true;
    });
    this.faces.forEach((face) => {
      face.removeFromParent();
      [face.material].flat().forEach(scrapMaterial);
      if (!(face instanceof InstancedMesh)) face.geometry.dispose();
    });
    this.faces = plane ? caps(this, plane) : [];
    this.soil.visible = Boolean(plane);
    this.person.visible = !plane;
  }

  /** @param {boolean} seen whether what stands on the site besides the fence is seen */
  around(seen) {
    this.sited = seen;
    this.meshes.forEach((mesh) => { mesh.visible = seen || this.data.marks[mesh.userData.mark].count > 0; });
  }

  /**
   * Turn leaves towards where they shall be.
   * @param {number} seconds
   * @returns {boolean} whether any moves
   */
  turn(seconds) {
    let moving = false;
    this.leaves.forEach((leaf) => {
      const rest = leaf.wanted - leaf.open;
      if (rest === 0) return;
      const step = Math.min(Math.abs(rest), 1.6 * seconds) * Math.sign(rest);
      leaf.open = Math.abs(rest) < 1e-3 ? leaf.wanted : leaf.open + step;
      leaf.pivot.rotation.z = (leaf.degrees * leaf.open * Math.PI) / 180;
      leaf.pivot.position.copy(leaf.shut).addScaledVector(leaf.slides, leaf.open);
      moving = true;
    });
    return moving;
  }

  /** Give back all that the graphics card holds of it. */
  dispose() {
    this.mark(null);
    this.cut(null);
    scrap(this.scene);
    [...this.geometries, ...this.plainest, ...this.tried].forEach((geometry) => geometry.dispose());
    [...this.materials.values(), ...this.plains.values()].forEach(scrapMaterial);
  }
}
