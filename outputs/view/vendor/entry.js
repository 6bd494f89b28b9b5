/* What the viewer takes from three.js. */
export {
  BackSide, Box3, BufferAttribute, BufferGeometry, Color, DecrementWrapStencilOp, DirectionalLight, DoubleSide, EdgesGeometry,
  FrontSide, Group, HemisphereLight, IncrementWrapStencilOp, InstancedMesh, LineBasicMaterial, LineDashedMaterial, LineSegments,
  Matrix4, Mesh, MeshBasicMaterial, MeshStandardMaterial, NotEqualStencilFunc, AlwaysStencilFunc, PerspectiveCamera, Plane,
  PlaneGeometry, Quaternion, Raycaster, ReplaceStencilOp, Scene, SphereGeometry, Vector2, Vector3, WebGLRenderer,
} from "three";
export { OrbitControls } from "three/addons/controls/OrbitControls.js";
export { toCreasedNormals } from "three/addons/utils/BufferGeometryUtils.js";
