"""view.html: one file that asks for nothing, holds every body where it belongs, and gives the same bytes twice."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections import Counter
from dataclasses import replace
from html.parser import HTMLParser
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from layout.design import Block, FoldedPlate, Hardware, Plate
from layout.design.hardware import pieces
from layout.design.mass import volume_moments
from layout.errors import ExportError
from layout.space.bay import Bay
from layout.study.assembly import pack_assembly
from layout.study.study import Study
from outputs.view import page as page_module
from outputs.view import read_view, view_policy, write_view
from outputs.view.meshes import STEP_MM, coarsened, joined, mesh_of_triangles
from outputs.view.page import page_text, unpacked, view_data
from outputs.view.scene import length, scene_of

pytestmark = pytest.mark.cad


@pytest.fixture(scope="session")
def view_file(front_study: Study, front_bay: Bay, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("view") / "view.html"
    assert write_view(front_study, front_bay, path).read_back
    return path


@pytest.fixture(scope="session")
def shown(view_file: Path) -> dict[str, Any]:
    return read_view(view_file)


class Page(HTMLParser):
    """What a browser would run, style and fetch."""

    def __init__(self) -> None:
        super().__init__()
        self.scripts: list[str] = []
        self.styles: list[str] = []
        self.policy = ""
        self.fetched: list[tuple[str, str]] = []
        self.inside = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if given.get("http-equiv") == "Content-Security-Policy":
            self.policy = given["content"] or ""
        self.fetched += [
            (tag, k) for k, v in attrs if k in ("src", "href", "action", "data") or k.startswith("on") or k == "style"
        ]
        if tag == "script" and given.get("type") is None:
            self.inside = "script"
            self.scripts.append("")
        elif tag == "style":
            self.inside = "style"
            self.styles.append("")

    def handle_endtag(self, tag: str) -> None:
        self.inside = ""

    def handle_data(self, data: str) -> None:
        if self.inside == "script":
            self.scripts[-1] += data
        elif self.inside == "style":
            self.styles[-1] += data


def digest(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def test_policy_admits_exactly_what_is_in_the_file_and_nothing_is_fetched(view_file: Path) -> None:
    found = Page()
    found.feed(view_file.read_text(encoding="utf-8"))
    rules = dict(rule.strip().split(" ", 1) for rule in found.policy.split(";"))
    assert rules["default-src"] == "'none'"
    assert rules["script-src"].split() == [digest(s) for s in found.scripts]
    assert rules["style-src"].split() == [digest(s) for s in found.styles]
    assert len(found.scripts) == 2
    assert found.fetched == []
    assert found.policy == view_policy()


def test_own_scripts_never_write_text_as_markup_nor_fetch() -> None:
    for name in page_module.SCRIPTS:
        text = files("outputs.view").joinpath(f"web/{name}.js").read_text(encoding="utf-8")
        assert not re.search(
            r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|fetch\(|XMLHttp|eval\(|https?://(?!www\.w3\.org/)", text
        )


def test_file_is_small_enough_to_send(view_file: Path) -> None:
    assert view_file.stat().st_size < 3_000_000


def test_same_study_gives_the_same_bytes(view_file: Path, front_study: Study, front_bay: Bay, tmp_path: Path) -> None:
    again = write_view(front_study, front_bay, tmp_path / "again.html")
    assert again.sha256 == hashlib.sha256(view_file.read_bytes()).hexdigest()


def parts_of(study: Study) -> list[Plate | FoldedPlate | Block | Hardware]:
    assembly = pack_assembly(study)
    return [p for child in assembly.children for p in (*child.parts, *child.hardware)]


def test_every_part_and_every_loose_piece_is_there_once(shown: dict[str, Any], front_study: Study) -> None:
    wanted: Counter[str] = Counter()
    for part in parts_of(front_study):
        wanted[part.number] += 1
        if isinstance(part, Hardware):
            count: Counter[str] = Counter()
            for piece in pieces(part)[1:]:
                kind = piece.name.split()[0]
                count[kind] += 1
                wanted[f"{part.number} {kind} {count[kind]}"] += 1
    assert Counter(b["number"] for b in shown["bodies"]) == wanted


def placed(entry: dict[str, Any], body: dict[str, Any]) -> np.ndarray[Any, Any]:
    """Triangles (m, 3, 3) of a body in vehicle axes, worked out as the page does."""
    points = unpacked(entry["points"]) * STEP_MM
    axes, origin = np.array(body["pose"][:9]).reshape(3, 3), np.array(body["pose"][9:])
    return (points @ axes + origin)[unpacked(entry["triangles"])]


def test_surfaces_are_closed_and_enclose_the_volume_of_the_part(shown: dict[str, Any], front_study: Study) -> None:
    """Volume by the divergence theorem against the exact one; chords inside arcs make holes and bends differ a little."""
    by_name = {(p.number, p.name): p for p in parts_of(front_study) if not isinstance(p, Hardware)}
    checked = 0
    for body in shown["bodies"]:
        part = by_name.get((body["number"], body["facts"][0]))
        if part is None:
            continue
        faces = placed(shown["meshes"][body["mesh"]], body)
        volume = float(np.einsum("ij,ij->i", faces[:, 0], np.cross(faces[:, 1], faces[:, 2])).sum()) / 6.0
        exact = volume_moments(part).volume_mm3
        assert volume == pytest.approx(exact, rel=4e-3), body["number"]
        triangles = unpacked(shown["meshes"][body["mesh"]]["triangles"])
        edges = Counter(map(tuple, np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]]).tolist()))
        assert all(edges[b, a] == n for (a, b), n in edges.items()), body["number"]
        checked += 1
    assert checked == len(by_name)


def test_modules_stand_where_the_arrangement_puts_them(shown: dict[str, Any], front_study: Study) -> None:
    frame, prefix = front_study.arrangement.frame, front_study.job.job.drawing_number
    bodies = {b["number"]: b for b in shown["bodies"] if b["group"] == "module"}
    for module in front_study.arrangement.modules:
        body = bodies[f"{prefix}-{module.id}"]
        corners = placed(shown["meshes"][body["mesh"]], body).reshape(-1, 3)
        seen = module.own_extent.seen_from(frame.then(module.pose))
        assert corners.min(axis=0) == pytest.approx(seen.min_mm, abs=STEP_MM)
        assert corners.max(axis=0) == pytest.approx(seen.max_mm, abs=STEP_MM)


def test_bay_keep_outs_centroid_mounts_and_cautions_are_shown(
    shown: dict[str, Any], front_study: Study, front_bay: Bay
) -> None:
    around = Counter(a["group"] for a in shown["around"])
    assert around["bay"] == len(front_bay.spaces)
    assert around["keep-out"] == len(front_bay.keep_outs)
    assert {a["name"] for a in shown["around"]} >= {k.name for k in front_bay.keep_outs}
    assert shown["pack"]["centroid_mm"] == pytest.approx(front_study.pack.centroid_mm, abs=0.05)
    assert [m["name"] for m in shown["mounts"]] == [m.name for m in front_study.job.mount_points]
    assert shown["cautions"] == list(front_study.cautions)


def test_brackets_and_their_bolts_do_not_go_in_with_the_box(shown: dict[str, Any], front_study: Study) -> None:
    riding = {b["number"].split()[0] for b in shown["bodies"] if not b["goes_in"]}
    wanted = set()
    for bracket in front_study.brackets:
        wanted |= {bracket.angle.number, *(g.number for g in bracket.gussets), *(h.number for h in bracket.hardware)}
    assert riding == wanted


def titled(study: Study, title: str) -> Study:
    job = study.job
    return replace(study, job=job.model_copy(update={"job": job.job.model_copy(update={"title": title})}))


def test_no_title_can_leave_its_place(front_study: Study, front_bay: Bay, tmp_path: Path) -> None:
    title = '</script><script>alert(1)</script><!-- [[LIBRARY]] "\u2028'
    path = tmp_path / "view.html"
    write_view(titled(front_study, title), front_bay, path)
    found = Page()
    found.feed(path.read_text(encoding="utf-8"))
    assert read_view(path)["title"] == title
    assert len(found.scripts) == 2
    assert all("alert(1)" not in s for s in found.scripts)


def test_lengths_stand_in_inches_too_where_the_job_does() -> None:
    assert length(3.0, inches=False) == "3 mm"
    assert length(25.4, inches=True) == "25.4 mm (1 in)"


@pytest.mark.parametrize("spoil", ["drop", "twist"])
def test_page_that_does_not_read_back_is_refused(
    spoil: str, front_study: Study, front_bay: Bay, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def spoiled(data: dict[str, Any]) -> str:
        data = json.loads(json.dumps(data))
        if spoil == "drop":
            del data["bodies"][3]
        else:
            data["meshes"][0]["points"] = data["meshes"][1]["points"]
        return page_text(data)

    monkeypatch.setattr(page_module, "page_text", spoiled)
    with pytest.raises(ExportError, match="did not read back"):
        write_view(front_study, front_bay, tmp_path / "view.html")


def test_folder_that_is_not_there_is_said(front_study: Study, front_bay: Bay, tmp_path: Path) -> None:
    with pytest.raises(ExportError, match="cannot write"):
        write_view(front_study, front_bay, tmp_path / "nowhere" / "view.html")


def test_library_is_the_one_whose_digest_is_kept() -> None:
    vendor = files("outputs.view").joinpath("vendor")
    stated = json.loads(vendor.joinpath("three.json").read_text(encoding="utf-8"))
    assert hashlib.sha256(vendor.joinpath("three.min.js").read_bytes()).hexdigest() == stated["sha256"]
    script = vendor.joinpath("rebuild.sh").read_text(encoding="utf-8")
    assert f"three={stated['version']}" in script
    assert stated["built_with"].split()[1] in script
    assert "MIT" in vendor.joinpath("LICENSE").read_text(encoding="utf-8")


def test_large_scan_is_drawn_coarser_within_one_cell() -> None:
    """A wavy surface of 20000 triangles: few enough afterwards, and no corner further away than a cell's diagonal."""
    x, y = np.meshgrid(np.linspace(0.0, 1000.0, 101), np.linspace(0.0, 1000.0, 101))
    points = np.column_stack([x.ravel(), y.ravel(), 40.0 * np.sin(x.ravel() / 60.0)])
    first = (np.arange(100)[:, None] * 101 + np.arange(100)).ravel()
    faces = np.concatenate(
        [np.column_stack([first, first + 1, first + 102]), np.column_stack([first, first + 102, first + 101])]
    )
    fine = joined(points, faces)
    assert len(fine.triangles) == 20_000
    coarse = coarsened(fine, 2_000)
    assert 200 < len(coarse.triangles) <= 2_000
    gaps = np.linalg.norm(coarse.points_mm[:, None, :] - fine.points_mm[None, :, :], axis=2).min(axis=1)
    assert gaps.max() < 80.0
    assert coarsened(fine, 20_000) is fine


def test_slivers_without_area_are_dropped() -> None:
    mesh = mesh_of_triangles([[[0, 0, 0], [1, 0, 0], [0, 1, 0]], [[0, 0, 0], [0.001, 0, 0], [0, 1, 0]]])
    assert mesh.triangles.shape == (1, 3)


def test_drawn_apart_no_two_parts_of_the_box_stay_on_one_another(front_study: Study, front_bay: Bay) -> None:
    """Lid above modules above box; opposite walls move apart."""
    scene = scene_of(front_study, front_bay)
    up = {g: min(b.shift_mm[2] for b in scene.bodies if b.group == g) for g in ("lid", "gasket", "module")}
    assert up["lid"] > up["gasket"] > up["module"]
    data = view_data(front_study, scene)
    walls = {b["facts"][0]: b["shift"] for b in data["bodies"] if "wall" in b["facts"][0]}
    assert walls["left wall"][1] > 0.0 > walls["right wall"][1]
    assert walls["fore wall"][0] > 0.0 > walls["aft wall"][0]


@pytest.mark.slow
def test_picture_shows_the_pack_on_a_light_ground(front_study: Study, front_bay: Bay, tmp_path: Path) -> None:
    from PIL import Image

    from outputs.view.picture import write_picture

    path = tmp_path / "pack.png"
    assert write_picture(front_study, front_bay, path, (320, 200)).read_back
    with Image.open(path) as picture:
        pixels = np.asarray(picture.convert("RGB"), dtype=int)
    assert pixels.shape == (200, 320, 3)
    ground = pixels[0, 0]
    assert ground.min() > 220
    drawn = np.abs(pixels - ground).max(axis=2) > 12
    assert 0.25 < drawn.mean() < 0.95
    rows, columns = np.flatnonzero(drawn.any(axis=1)), np.flatnonzero(drawn.any(axis=0))
    assert max(rows[-1] - rows[0] + 1, (columns[-1] - columns[0] + 1) * 200 / 320) > 150
