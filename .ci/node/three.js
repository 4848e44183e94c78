// What viewer/pages/stage.js and viewer/live/page/room.js take from three.js, and no more: a name that is not listed here is not shipped.
export {
  Box3,
  DataTexture,
  DirectionalLight,
  HemisphereLight,
  PCFShadowMap,
  PerspectiveCamera,
  Plane,
  REVISION,
  Scene,
  Spherical,
  TextureLoader,
  Vector3,
  WebGLRenderer,
} from "three";
export { OrbitControls } from "three/addons/controls/OrbitControls.js";
export { LineMaterial } from "three/addons/lines/LineMaterial.js";
export { LineSegments2 } from "three/addons/lines/LineSegments2.js";
export { LineSegmentsGeometry } from "three/addons/lines/LineSegmentsGeometry.js";
export { GLTFLoader } from "three/addons/loaders/GLTFLoader.js";
