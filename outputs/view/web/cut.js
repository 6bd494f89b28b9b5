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
    this.rims = new THREE.LineSegments(new THREE.BufferGeometry(), new THREE.LineBasicMaterial({ color: INK }));
    this.rims.frustumCulled = false;
    scene.add(this.rims);
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
    this.rims.visible = this.axis !== "";
    if (this.axis) this.rims.geometry.setAttribute("position", new THREE.BufferAttribute(new Float32Array(this.outlines()), 3));
  }

  /* Lines in which the plane meets the surfaces that are shown, a hair on the viewer's side of the faces that close the cut. */
  outlines() {
    const out = [];
    const corners = [new THREE.Vector3(), new THREE.Vector3(), new THREE.Vector3()];
    const off = this.plane.normal.clone().multiplyScalar(-0.2);
    for (const mesh of this.groups.solids()) {
      if (mesh.userData.group.state === "off") continue;
      mesh.geometry.computeBoundingBox();
      const places = mesh.geometry.getAttribute("position");
      for (const body of mesh.userData.bodies) {
        if (!this.plane.intersectsBox(mesh.geometry.boundingBox.clone().applyMatrix4(body.now))) continue;
        for (let i = 0; i < places.count; i += 3) {
          corners.forEach((c, k) => c.fromBufferAttribute(places, i + k).applyMatrix4(body.now));
          this.crossing(corners, off, out);
        }
      }
    }
    return out;
  }

  crossing(corners, off, out) {
    const over = corners.map((c) => this.plane.distanceToPoint(c));
    const found = [];
    for (let k = 0; k < 3; k++) {
      const [a, b] = [over[k], over[(k + 1) % 3]];
      if (a >= 0 !== b >= 0) found.push(corners[k].clone().lerp(corners[(k + 1) % 3], a / (a - b)).add(off));
    }
    if (found.length === 2) out.push(...found[0].toArray(), ...found[1].toArray());
  }

  hides(point) {
    return this.axis !== "" && this.plane.distanceToPoint(point) < -1e-3;
  }
}
