/* Centroid, axle, mount points and vehicle axes: lines in the scene, words over it. */

const MARK = 0xb5471f;

class Marks {
  constructor(scene, groups) {
    this.holder = document.getElementById("labels");
    this.lines = new THREE.Group();
    this.labels = [];
    this.on = true;
    scene.add(this.lines);
    const box = groups.extent();
    const [x, y, z] = PACK.pack.centroid_mm;
    const centroid = new THREE.Vector3(x, y, z);
    const ball = new THREE.Mesh(new THREE.SphereGeometry(9, 24, 16), new THREE.MeshBasicMaterial({ color: MARK, depthTest: false, transparent: true }));
    ball.position.copy(centroid);
    ball.renderOrder = 999;
    this.lines.add(ball);
    this.line([[x - 60, y, z], [x + 60, y, z], [x, y - 60, z], [x, y + 60, z], [x, y, z - 60], [x, y, z + 60]], false);
    this.label(centroid, `centroid of the pack ${places(PACK.pack.centroid_mm)}`);
    this.axle(box, centroid);
    for (const mount of PACK.mounts) this.mount(mount);
  }

  line(points, dashed) {
    const geometry = new THREE.BufferGeometry().setFromPoints(points.map((p) => new THREE.Vector3(...p)));
    const look = { color: MARK, depthTest: false, transparent: true };
    const material = dashed
      ? new THREE.LineDashedMaterial({ ...look, dashSize: 22, gapSize: 12 })
      : new THREE.LineBasicMaterial(look);
    const lines = new THREE.LineSegments(geometry, material);
    if (dashed) lines.computeLineDistances();
    lines.renderOrder = 998;
    this.lines.add(lines);
  }

  /* The vertical plane through the reference axle as a dashed frame, and how far the centroid lies from it. */
  axle(box, centroid) {
    const half = Math.max(Math.abs(box.min.y), Math.abs(box.max.y)) * 1.12;
    const [low, high] = [box.min.z - 25, box.max.z + 25];
    this.line([[0, -half, low], [0, half, low], [0, -half, high], [0, half, high], [0, -half, low], [0, -half, high],
      [0, half, low], [0, half, high]], true);
    this.label(new THREE.Vector3(0, -half, high), `${PACK.axle.name}, x = 0`);
    this.line([[0, centroid.y, centroid.z], [centroid.x, centroid.y, centroid.z]], true);
  }

  mount(mount) {
    const at = new THREE.Vector3(...mount.at_mm);
    const dot = new THREE.Mesh(new THREE.SphereGeometry(6, 16, 12), new THREE.MeshBasicMaterial({ color: 0x24323b }));
    dot.position.copy(at);
    this.lines.add(dot);
    this.label(at, mount.name, "quiet");
  }

  label(at, text, kind = "") {
    const span = document.createElement("span");
    span.textContent = text;
    span.className = kind;
    this.holder.append(span);
    this.labels.push({ at, span });
  }

  show(on) {
    this.on = on;
    this.lines.visible = on;
    this.holder.hidden = !on;
  }

  place(camera, width, height) {
    if (!this.on) return;
    const taken = [];
    for (const { at, span } of this.labels) {
      const p = at.clone().project(camera);
      span.hidden = p.z > 1 || Math.abs(p.x) > 1 || Math.abs(p.y) > 1;
      if (span.hidden) continue;
      const box = { w: span.offsetWidth, h: span.offsetHeight };
      let x = Math.min(((p.x + 1) / 2) * width + 12, width - box.w - 4);
      let y = Math.max(((1 - p.y) / 2) * height - box.h - 4, 2);
      while (taken.some((t) => x < t.x + t.w && t.x < x + box.w && y < t.y + t.h && t.y < y + box.h)) y += box.h + 2;
      taken.push({ x, y, ...box });
      span.style.transform = `translate(${Math.round(x)}px, ${Math.round(y)}px)`;
    }
  }
}

function places(values) {
  const [x, y, z] = values.map((v) => `${Math.round(v)}`);
  const inches = PACK.inches ? ` (${values.map((v) => (v / 25.4).toFixed(2)).join(", ")} in)` : "";
  return `x ${x}, y ${y}, z ${z} mm${inches}`;
}

function drawAxes(svg, camera) {
  const turn = new THREE.Quaternion().copy(camera.quaternion).invert();
  const arms = [["x", "forward", "#a8402c", [1, 0, 0]], ["y", "left", "#3f7a4a", [0, 1, 0]], ["z", "up", "#2f5f97", [0, 0, 1]]];
  svg.replaceChildren();
  const shown = arms.map(([name, word, colour, way]) => ({ name, word, colour, to: new THREE.Vector3(...way).applyQuaternion(turn) }));
  shown.sort((a, b) => a.to.z - b.to.z);
  for (const { name, word, colour, to } of shown) {
    const line = document.createElementNS("http://www.w3.org/2000/svg", "line");
    const [x, y] = [to.x * 36, -to.y * 36];
    for (const [key, value] of Object.entries({ x1: 0, y1: 0, x2: x, y2: y, stroke: colour })) line.setAttribute(key, value);
    const text = document.createElementNS("http://www.w3.org/2000/svg", "text");
    text.setAttribute("x", x * 1.3);
    text.setAttribute("y", y * 1.3 + 3);
    text.textContent = Math.hypot(to.x, to.y) > 0.25 ? `${name} ${word}` : name;
    svg.append(line, text);
  }
}
