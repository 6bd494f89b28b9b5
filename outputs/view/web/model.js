"use strict";
/* The data block as bodies of the 3D library: one instanced mesh per distinct body, its edges, and what surrounds the pack. */

const PACK = JSON.parse(document.getElementById("pack").textContent);
const INK = 0x2d3b43;
const LIT = new THREE.Color(0xd9822b);

function numbers(text) {
  const raw = atob(text);
  const bytes = new Uint8Array(raw.length);
  for (let i = 0; i < raw.length; i++) bytes[i] = raw.charCodeAt(i);
  return new Int32Array(bytes.buffer);
}

function surface(entry) {
  const geometry = new THREE.BufferGeometry();
  const places = Float32Array.from(numbers(entry.points), (v) => v * PACK.step_mm);
  geometry.setAttribute("position", new THREE.BufferAttribute(places, 3));
  geometry.setIndex(new THREE.BufferAttribute(new Uint32Array(numbers(entry.triangles)), 1));
  return geometry;
}

function placed(pose) {
  const [a, b, c, d, e, f, g, h, i, x, y, z] = pose;
  return new THREE.Matrix4().set(a, d, g, x, b, e, h, y, c, f, i, z, 0, 0, 0, 1);
}

/* Every group: how it is shown ("on", "glass", "off"), its meshes, its edges. */
class Groups {
  constructor(scene) {
    this.scene = scene;
    this.list = PACK.groups.map((g) => ({ ...g, state: "on", around: false, meshes: [], edges: [], count: 0 }));
    this.byKey = new Map(this.list.map((g) => [g.key, g]));
    this.bodies = PACK.bodies.map((b) => ({ ...b, matrix: placed(b.pose), shift: new THREE.Vector3(...b.shift) }));
    PACK.meshes.forEach((entry, index) => this.instances(surface(entry), index));
    PACK.around.forEach((entry) => this.surroundings(entry));
  }

  instances(geometry, index) {
    const bodies = this.bodies.filter((b) => b.mesh === index);
    if (!bodies.length) return;
    const group = this.byKey.get(bodies[0].group);
    const material = new THREE.MeshStandardMaterial({
      roughness: 0.75, metalness: 0.05, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1, side: THREE.DoubleSide,
    });
    const mesh = new THREE.InstancedMesh(THREE.toCreasedNormals(geometry, 0.6), material, bodies.length);
    const colour = new THREE.Color(group.colour);
    bodies.forEach((b, i) => { mesh.setMatrixAt(i, b.matrix); mesh.setColorAt(i, colour); });
    const edges = new THREE.EdgesGeometry(geometry, 30).getAttribute("position").array;
    const lines = new THREE.LineSegments(new THREE.BufferGeometry(), new THREE.LineBasicMaterial({ color: INK }));
    lines.geometry.setAttribute("position", new THREE.BufferAttribute(new Float32Array(edges.length * bodies.length), 3));
    lines.frustumCulled = mesh.frustumCulled = false;
    Object.assign(mesh.userData, { bodies, group, colour, edges, lines });
    group.meshes.push(mesh);
    group.edges.push(lines);
    group.count += bodies.length;
    this.scene.add(mesh, lines);
  }

  surroundings(entry) {
    const group = this.byKey.get(entry.group);
    const geometry = surface(entry);
    geometry.computeVertexNormals();
    const faint = entry.group === "bay" ? 0.07 : 0.26;
    const material = new THREE.MeshBasicMaterial({
      color: group.colour, transparent: true, opacity: faint, depthWrite: false, side: THREE.DoubleSide,
    });
    const mesh = new THREE.Mesh(geometry, material);
    mesh.renderOrder = 900;
    const lines = new THREE.LineSegments(
      new THREE.EdgesGeometry(geometry, 30),
      new THREE.LineBasicMaterial({ color: group.colour, transparent: true, opacity: 0.55 }),
    );
    mesh.userData = { around: entry, group };
    group.around = true;
    group.count += 1;
    group.meshes.push(mesh);
    group.edges.push(lines);
    this.scene.add(mesh, lines);
  }

  /* Bodies in their places: drawn apart by a share from 0 to 1, and the box with all that goes in with it moved by a vector. */
  arrange(share, moved) {
    const corner = new THREE.Vector3();
    for (const mesh of this.solids()) {
      const { bodies, edges, lines } = mesh.userData;
      const out = lines.geometry.getAttribute("position");
      bodies.forEach((body, k) => {
        const matrix = body.now = body.matrix.clone();
        const by = body.shift.clone().multiplyScalar(share);
        if (body.goes_in) by.add(moved);
        matrix.premultiply(new THREE.Matrix4().makeTranslation(by.x, by.y, by.z));
        mesh.setMatrixAt(k, matrix);
        for (let i = 0; i < edges.length; i += 3) {
          corner.fromArray(edges, i).applyMatrix4(matrix).toArray(out.array, k * edges.length + i);
        }
      });
      out.needsUpdate = mesh.instanceMatrix.needsUpdate = true;
      mesh.boundingSphere = mesh.boundingBox = null;
    }
  }

  solids() {
    return this.list.filter((g) => !g.around).flatMap((g) => g.meshes);
  }

  show(key, state) {
    const group = this.byKey.get(key);
    group.state = state;
    for (const mesh of group.meshes) {
      mesh.visible = state !== "off";
      if (group.around) continue;
      const glass = state === "glass";
      Object.assign(mesh.material, { transparent: glass, opacity: glass ? 0.22 : 1, depthWrite: !glass });
      mesh.renderOrder = glass ? 800 : 0;
      mesh.material.needsUpdate = true;
    }
    for (const lines of group.edges) lines.visible = state !== "off";
  }

  light(mesh, index, on) {
    mesh.setColorAt(index, on ? LIT : mesh.userData.colour);
    mesh.instanceColor.needsUpdate = true;
  }

  /* Corners of everything that the camera should take in. */
  extent() {
    const box = new THREE.Box3();
    for (const mesh of this.solids()) {
      if (mesh.userData.group.state === "off") continue;
      mesh.geometry.computeBoundingBox();
      for (const body of mesh.userData.bodies) box.union(mesh.geometry.boundingBox.clone().applyMatrix4(body.now || body.matrix));
    }
    for (const mesh of this.byKey.get("bay")?.meshes ?? []) if (mesh.visible) box.expandByObject(mesh);
    return box;
  }
}
