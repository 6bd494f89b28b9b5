/* The camera: z is up; it takes in the pack and its bay when the page opens and whenever a direction is chosen. */

const LOOKS = {
  "corner": [0.95, 0.8, 0.75], "other corner": [-0.9, -0.85, 0.75], "front": [1, 0, 0], "rear": [-1, 0, 0], "left": [0, 1, 0],
  "right": [0, -1, 0], "top": [-1e-4, 0, 1], "below": [-1e-4, 0, -1],
};

class Eye {
  constructor(canvas, groups, changed) {
    this.groups = groups;
    this.camera = new THREE.PerspectiveCamera(28, 1, 1, 1e5);
    this.camera.up.set(0, 0, 1);
    this.controls = new THREE.OrbitControls(this.camera, canvas);
    this.controls.zoomToCursor = true;
    this.moved = false;
    this.look = "corner";
    this.controls.addEventListener("start", () => { this.moved = true; });
    this.controls.addEventListener("change", changed);
  }

  /* Nearest place in a direction from which every corner of the extent is seen. */
  fit(look = this.look) {
    this.look = look;
    const box = this.groups.extent();
    if (box.isEmpty()) return;
    const target = box.getCenter(new THREE.Vector3());
    const back = new THREE.Vector3(...LOOKS[look]).normalize();
    const right = new THREE.Vector3().crossVectors(this.camera.up, back).normalize();
    const up = new THREE.Vector3().crossVectors(back, right);
    const tall = Math.tan((this.camera.fov * Math.PI) / 360);
    const wide = tall * this.camera.aspect;
    let far = 10;
    for (let k = 0; k < 8; k++) {
      const corner = new THREE.Vector3(k & 1 ? box.max.x : box.min.x, k & 2 ? box.max.y : box.min.y, k & 4 ? box.max.z : box.min.z);
      corner.sub(target);
      const reach = Math.max(Math.abs(corner.dot(right)) / wide, Math.abs(corner.dot(up)) / tall);
      far = Math.max(far, 1.08 * reach + corner.dot(back));
    }
    this.camera.position.copy(target).addScaledVector(back, far);
    this.camera.near = far / 200;
    this.camera.far = far * 30;
    this.camera.updateProjectionMatrix();
    this.controls.target.copy(target);
    this.controls.update();
    this.moved = false;
  }

  resize(width, height) {
    this.camera.aspect = width / Math.max(height, 1);
    this.camera.updateProjectionMatrix();
    if (!this.moved) this.fit();
  }
}
