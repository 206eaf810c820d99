// Daylight as in the pictures: sun, sky and what the ground throws back, haze, and how light is shown.
import {
  BackSide, Color, CustomToneMapping, DirectionalLight, FogExp2, HemisphereLight, Mesh, ShaderChunk,
  ShaderMaterial, SphereGeometry, Vector3,
} from "three";

/**
 * @import { Scene, WebGLRenderer } from "three"
 * @import { LightData, Triple } from "./data.js"
 */

// Bright light is pressed together and bleached as little as may be; colours below are kept.
// After the Khronos PBR Neutral tone mapper, without its offset for reflections.
const SHOWN = `vec3 CustomToneMapping( vec3 color ) {
  float peak = max( color.r, max( color.g, color.b ) );
  if ( peak <= 0.8 ) return color;
  float pressed = 1.0 - 0.04 / ( peak - 0.6 );
  float share = 1.0 - 1.0 / ( 0.15 * ( peak - pressed ) + 1.0 );
  return mix( color * pressed / peak, vec3( pressed ), share );
}`;

export const SKY = "sky"; // name of what is put round a scene

/** @param {WebGLRenderer} renderer */
export function toneOf(renderer) {
  ShaderChunk.tonemapping_pars_fragment = ShaderChunk.tonemapping_pars_fragment
    .replace("vec3 CustomToneMapping( vec3 color ) { return color; }", SHOWN);
  renderer.toneMapping = CustomToneMapping;
}

/** @param {Triple} light */
const linear = (light) => new Color().setRGB(...light);

/**
 * A brighter light than 1 as a colour and how strong it is; a face sends on 1 / pi of what falls on it.
 * @param {Triple} light
 * @returns {[Color, number]}
 */
const strong = (light) => {
  const most = Math.max(...light);
  return [linear(light).multiplyScalar(1 / most), most * Math.PI];
};

/**
 * Light a scene and put a sky round it.
 * @param {Scene} scene
 * @param {LightData} data
 * @param {Vector3} middle of the fence
 * @param {number} radius of it, mm
 */
export function addDaylight(scene, data, middle, radius) {
  const [sky, over] = strong(data.sky);
  const under = linear(data.bounce).multiplyScalar(Math.PI / over);
  const dome = new HemisphereLight(sky, under, over);
  dome.position.set(0, 0, 1); // where up is
  scene.add(dome);
  const sun = new DirectionalLight(...strong(data.sunlight));
  sun.position.copy(middle).addScaledVector(new Vector3(...data.sun), 3 * radius + 6000);
  sun.target.position.copy(middle);
  sun.castShadow = true;
  sun.shadow.mapSize.set(2048, 2048);
  sun.shadow.radius = 3;
  const reach = 1.15 * radius + 500;
  Object.assign(sun.shadow.camera, { left: -reach, right: reach, top: reach, bottom: -reach, near: 100, far: 8 * radius + 20000 });
  sun.shadow.normalBias = 4;
  scene.add(sun, sun.target);
  scene.fog = new FogExp2(linear(data.horizon), 1 / (60 * Math.max(radius, 4000)));
  const round = new Mesh(new SphereGeometry(100 * radius, 32, 16), new ShaderMaterial({
    side: BackSide,
    depthWrite: false,
    uniforms: { low: { value: linear(data.horizon) }, high: { value: linear(data.zenith) } },
    vertexShader: `varying vec3 way;
      void main() { way = position; gl_Position = projectionMatrix * modelViewMatrix * vec4( position, 1.0 ); }`,
    fragmentShader: `uniform vec3 low; uniform vec3 high; varying vec3 way;
      void main() {
        gl_FragColor = vec4( mix( low, high, pow( clamp( normalize( way ).z, 0.0, 1.0 ), 0.55 ) ), 1.0 );
        #include <tonemapping_fragment>
        #include <colorspace_fragment>
      }`,
  }));
  round.position.copy(middle);
  round.renderOrder = -1;
  round.name = SKY;
  round.raycast = () => {};
  scene.add(round);
}
