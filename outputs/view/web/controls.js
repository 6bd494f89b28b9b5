/* The panel: groups, cut, drawing apart, way in, directions to look from. */

function bindGroups(view, wish) {
  for (const group of view.groups.list) {
    const row = element("div", "", { class: "group" });
    const label = element("label", "");
    const tick = element("input", "", { type: "checkbox" });
    const swatch = element("span", "", { class: "swatch" });
    swatch.style.background = group.colour;
    const glass = element("button", "see through", { type: "button", "aria-pressed": "false" });
    label.append(tick, swatch, element("span", group.label), element("span", String(group.count), { class: "count" }));
    row.append(label, ...(group.around ? [] : [glass]));
    byId("groups").append(row);
    tick.checked = !wish.hide.includes(group.key);
    glass.setAttribute("aria-pressed", String(wish.glass.includes(group.key)));
    const apply = () => {
      const through = glass.getAttribute("aria-pressed") === "true";
      view.show(group.key, !tick.checked ? "off" : through ? "glass" : "on");
    };
    tick.addEventListener("change", apply);
    glass.addEventListener("click", () => {
      glass.setAttribute("aria-pressed", String(glass.getAttribute("aria-pressed") !== "true"));
      apply();
    });
    apply();
  }
  const label = element("label", "");
  const tick = element("input", "", { type: "checkbox" });
  tick.checked = wish.marks;
  label.append(tick, element("span", "Marks: centroid, axle, mounts"));
  const row = element("div", "", { class: "group" });
  row.append(label);
  byId("groups").append(row);
  tick.addEventListener("change", () => { view.marks.show(tick.checked); view.draw(); });
  view.marks.show(wish.marks);
}

function bindCut(view, wish) {
  const slider = byId("cut-at");
  const extent = view.groups.extent();
  const buttons = [];
  let [axis, turned] = [wish.axis, wish.turned];
  const apply = () => {
    view.cut.set(axis, Number(slider.value), turned);
    buttons.forEach((b) => b.setAttribute("aria-pressed", String(b.value === axis)));
    flip.setAttribute("aria-pressed", String(turned));
    slider.disabled = flip.disabled = !axis;
    byId("cut-says").textContent = axis ? `${axis} ${slider.value} mm${inch(slider.value)}` : "";
    view.draw();
  };
  const choose = (chosen, at) => {
    axis = chosen;
    if (axis) {
      slider.min = Math.floor(extent.min[axis]);
      slider.max = Math.ceil(extent.max[axis]);
      slider.value = Number.isFinite(at) ? at : Math.round((extent.min[axis] + extent.max[axis]) / 2);
    }
    apply();
  };
  for (const [value, text] of [["", "none"], ["x", "x"], ["y", "y"], ["z", "z"]]) {
    const button = element("button", text, { type: "button", value });
    button.addEventListener("click", () => {
      turned = value !== "" && view.eye.camera.position[value] < view.eye.controls.target[value]; // takes away the near side
      choose(value, NaN);
    });
    buttons.push(button);
  }
  const flip = element("button", "other side", { type: "button" });
  flip.addEventListener("click", () => { turned = !turned; apply(); });
  byId("cut-axis").append(...buttons, flip);
  slider.addEventListener("input", apply);
  choose(axis, wish.at);
}

function inch(value) {
  return PACK.inches ? ` (${(value / 25.4).toFixed(1)} in)` : "";
}

/* Place along the way in at a share from 0 (outside) to 1 (in place), as a shift of the pack. */
function alongWay(share) {
  const stops = PACK.way_in.map((p) => new THREE.Vector3(...p));
  const end = stops[stops.length - 1];
  const lengths = stops.slice(1).map((p, i) => p.distanceTo(stops[i]));
  let left = share * lengths.reduce((a, b) => a + b, 0);
  for (let i = 0; i < lengths.length; i++) {
    if (left <= lengths[i] && lengths[i] > 0) return stops[i].clone().lerp(stops[i + 1], left / lengths[i]).sub(end);
    left -= lengths[i];
  }
  return new THREE.Vector3();
}

function bindMoves(view, wish) {
  const [apart, way] = [byId("apart"), byId("way-at")];
  const travels = PACK.way_in.length > 1;
  byId("way").hidden = !travels;
  apart.value = Math.round(100 * wish.apart);
  way.value = Math.round(100 * wish.way);
  const apply = (refit) => {
    const share = Number(way.value) / 100;
    const moved = travels ? alongWay(share) : new THREE.Vector3();
    view.groups.arrange(Number(apart.value) / 100, moved);
    view.cut.refresh();
    byId("apart-says").textContent = `${apart.value} %`;
    byId("way-says").textContent = share === 1 ? "in place" : `${Math.round(moved.length())} mm out`;
    if (refit && !view.eye.moved) view.eye.fit();
    view.draw();
  };
  apart.addEventListener("input", () => apply(true));
  way.addEventListener("input", () => apply(true));
  apply(false);
}

function bindLooks(view, wish) {
  for (const look of Object.keys(LOOKS)) {
    const button = element("button", look, { type: "button" });
    button.addEventListener("click", () => { view.eye.fit(look); view.draw(); });
    byId("looks").append(button);
  }
  view.eye.look = wish.from;
}

start();
