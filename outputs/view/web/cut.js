/* A plane that cuts everything; what it cuts is closed by a face in the colour of the group (counted in the stencil). */

const AXES = { x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] };

class Cut {
  constructor(scene, groups) {
    this.scene = scene;
    this.groups = groups;
    this.plane = new THREE.Plane(new THREE.Vector3(-1, 0, 0), 0);
    this.axis = "";
    this.at = 0;
    this.turned = false;
    this.caps = [];
    groups.list.filter((g) => !g.around).forEach((group, k) => this.prepare(group, 10 + 2 * k));
  }

  prepare(group, order) {
    const counters = group.meshes.flatMap((mesh) => [
      this.counter(mesh, THREE.BackSide, THREE.IncrementWrapStencilOp, order),
      this.counter(mesh, THREE.FrontSide, THREE.DecrementWrapStencilOp, order),
    ]);
    const material = new THREE.MeshBasicMaterial({
      color: new THREE.Color(group.colour).multiplyScalar(0.72), side: THREE.DoubleSide, stencilWrite: true, stencilRef: 0,
      stencilFunc: THREE.NotEqualStencilFunc, stencilFail: THREE.ReplaceStencilOp, stencilZFail: THREE.ReplaceStencilOp,
      stencilZPass: THREE.ReplaceStencilOp,
    });
    const face = new THREE.Mesh(new THREE.PlaneGeometry(1, 1), material);
    face.renderOrder = order + 1;
    face.onAfterRender = (renderer) => renderer.clearStencil();
    this.scene.add(face);
    this.caps.push({ group, counters, face });
  }

  counter(mesh, side, op, order) {
    const material = new THREE.MeshBasicMaterial({
      side, depthWrite: false, depthTest: false, colorWrite: false, stencilWrite: true, stencilFunc: THREE.AlwaysStencilFunc,
      stencilFail: op, stencilZFail: op, stencilZPass: op, clippingPlanes: [this.plane],
    });
    const twin = new THREE.InstancedMesh(mesh.geometry, material, mesh.count);
    twin.instanceMatrix = mesh.instanceMatrix;
    twin.frustumCulled = false;
    twin.renderOrder = order;
    this.scene.add(twin);
    return twin;
  }

  /* axis: "x", "y", "z" or "" for no cut. What lies beyond the place along the axis is taken away; turned: what lies before. */
  set(axis, at, turned) {
    Object.assign(this, { axis, at, turned });
    if (axis) {
      const sign = turned ? 1 : -1;
      this.plane.normal.set(...AXES[axis]).multiplyScalar(sign);
      this.plane.constant = -sign * at;
    }
    const planes = axis ? [this.plane] : [];
    for (const group of this.groups.list) {
      for (const thing of [...group.meshes, ...group.edges]) {
        thing.material.clippingPlanes = planes;
        thing.material.needsUpdate = true;
      }
    }
    this.refresh();
  }

  refresh() {
    const box = this.groups.extent();
    const middle = box.getCenter(new THREE.Vector3());
    const reach = 3 * box.getSize(new THREE.Vector3()).length() + 10;
    for (const { group, counters, face } of this.caps) {
      const on = this.axis !== "" && group.state !== "off";
      counters.forEach((c) => { c.visible = on; });
      face.visible = on;
      face.scale.set(reach, reach, 1);
      this.plane.projectPoint(middle, face.position);
      face.lookAt(face.position.clone().add(this.plane.normal));
    }
  }

  hides(point) {
    return this.axis !== "" && this.plane.distanceToPoint(point) < -1e-3;
  }
}
