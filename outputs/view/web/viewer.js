/* Controls, pointer and drawing. Draws only when something changed. */

const byId = (id) => document.getElementById(id);
const canvas = byId("canvas");

function element(tag, text, attributes = {}) {
  const made = document.createElement(tag);
  made.textContent = text;
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}

function fillWords() {
  byId("drawing").textContent = [PACK.drawing, PACK.revision && `revision ${PACK.revision}`, PACK.date].filter(Boolean).join(", ");
  byId("title").textContent = PACK.title;
  byId("sums").textContent = `Pack ${PACK.pack.mass_kg.toFixed(1)} kg, centroid at ${places(PACK.pack.centroid_mm)}`;
  byId("cautions").querySelector("summary").textContent = `Cautions (${PACK.cautions.length}): ${PACK.cautions[0] ?? ""}`;
  byId("cautions").querySelector("ul").append(...PACK.cautions.map((c) => element("li", c)));
}

function wishes() {
  const given = new URLSearchParams(location.hash.slice(1));
  const list = (key) => (given.get(key) ?? "").split(",").filter(Boolean);
  const [axis, at] = (given.get("cut") ?? "").split(":");
  return {
    axis: axis in AXES ? axis : "", at: Number(at), turned: given.has("turned"), apart: Number(given.get("apart")) || 0,
    hide: list("hide"), glass: given.has("glass") ? list("glass") : ["lid"], from: given.get("from") in LOOKS ? given.get("from") : "corner",
    way: given.has("way") ? Number(given.get("way")) : 1, marks: given.get("marks") !== "off",
  };
}

class View {
  constructor() {
    this.renderer = new THREE.WebGLRenderer({ canvas, antialias: true, stencil: true });
    this.renderer.localClippingEnabled = true;
    this.renderer.setClearColor(0xeef0ee);
    this.scene = new THREE.Scene();
    this.scene.add(new THREE.HemisphereLight(0xffffff, 0xb9bcb6, 2.1));
    this.lamp = new THREE.DirectionalLight(0xffffff, 1.5);
    this.scene.add(this.lamp, this.lamp.target);
    this.groups = new Groups(this.scene);
    this.groups.arrange(0, new THREE.Vector3());
    this.cut = new Cut(this.scene, this.groups);
    this.marks = new Marks(this.scene, this.groups);
    this.eye = new Eye(canvas, this.groups, () => this.draw());
    this.lit = null;
    this.asked = false;
  }

  draw() {
    if (this.asked) return;
    this.asked = true;
    requestAnimationFrame(() => { this.asked = false; this.drawNow(); });
  }

  drawNow() {
    const { camera, controls } = this.eye;
    this.lamp.position.copy(camera.position);
    this.lamp.position.z += camera.position.distanceTo(controls.target) * 0.35;
    this.lamp.target.position.copy(controls.target);
    this.renderer.render(this.scene, camera);
    this.marks.place(camera, canvas.clientWidth, canvas.clientHeight);
    drawAxes(byId("axes"), camera);
  }

  resize() {
    const { clientWidth: width, clientHeight: height } = byId("stage");
    this.renderer.setPixelRatio(Math.min(window.devicePixelRatio || 1, 2));
    this.renderer.setSize(width, height, false);
    this.eye.resize(width, height);
    this.draw();
  }

  show(key, state) {
    this.groups.show(key, state);
    this.cut.refresh();
    this.draw();
  }

  /* What lies under the pointer: solid bodies first, then see-through ones, then keep-outs, then the bay. */
  under(x, y) {
    const ray = new THREE.Raycaster();
    ray.setFromCamera(new THREE.Vector2((x / canvas.clientWidth) * 2 - 1, 1 - (y / canvas.clientHeight) * 2), this.eye.camera);
    const meshes = this.groups.list.flatMap((g) => g.meshes).filter((m) => m.visible);
    const hits = ray.intersectObjects(meshes, false).filter((h) => !this.cut.hides(h.point));
    const rank = ({ object }) => {
      const { group } = object.userData;
      return group.around ? (group.key === "bay" ? 3 : 2) : group.state === "glass" ? 1 : 0;
    };
    return hits.sort((a, b) => rank(a) - rank(b) || a.distance - b.distance)[0];
  }

  point(event) {
    const frame = canvas.getBoundingClientRect();
    const [x, y] = [event.clientX - frame.left, event.clientY - frame.top];
    const hit = event.buttons ? undefined : this.under(x, y);
    this.light(hit && hit.instanceId !== undefined ? hit : null);
    this.tell(hit, x, y);
  }

  light(hit) {
    const same = hit && this.lit && hit.object === this.lit.object && hit.instanceId === this.lit.instanceId;
    if (same || (!hit && !this.lit)) return;
    if (this.lit) this.groups.light(this.lit.object, this.lit.instanceId, false);
    if (hit) this.groups.light(hit.object, hit.instanceId, true);
    this.lit = hit;
    this.draw();
  }

  tell(hit, x, y) {
    const tip = byId("tip");
    tip.hidden = !hit;
    if (!hit) return;
    const { bodies, around, group } = hit.object.userData;
    const body = bodies ? bodies[hit.instanceId] : null;
    const facts = body ? body.facts : [group.label, around.note].filter(Boolean);
    const apart = Number(byId("apart").value) > 0 || Number(byId("way-at").value) < 100;
    const lines = apart && body ? facts : [...facts, `here ${places(hit.point.toArray())}`];
    tip.replaceChildren(element("b", body ? body.number : around.name), document.createTextNode(lines.join("\n")));
    tip.style.left = `${Math.max(4, Math.min(x + 16, canvas.clientWidth - tip.offsetWidth - 8))}px`;
    tip.style.top = `${Math.max(4, Math.min(y + 16, canvas.clientHeight - tip.offsetHeight - 8))}px`;
  }
}

function start() {
  fillWords();
  let view;
  try {
    view = new View();
  } catch (error) {
    byId("trouble").hidden = false;
    byId("trouble").textContent = `This browser cannot draw in three dimensions here (${error.message}). The STEP files hold the same bodies.`;
    return;
  }
  const wish = wishes();
  bindGroups(view, wish);
  bindCut(view, wish);
  bindMoves(view, wish);
  bindLooks(view, wish);
  canvas.addEventListener("pointermove", (event) => view.point(event));
  canvas.addEventListener("pointerleave", () => { view.light(null); view.tell(null); });
  new ResizeObserver(() => view.resize()).observe(byId("stage"));
  view.resize();
}
