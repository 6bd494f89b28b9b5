"""view.html: the scene, the viewer and its library in one file that asks the network for nothing."""

from __future__ import annotations

import base64
import hashlib
import html
import json
import re
from collections import Counter
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from layout.arrangement import Insertion
from layout.errors import ExportError
from layout.frames import Pose
from layout.several.study import AnyStudy, PackStudy
from layout.space.bay import Bay
from outputs.view.meshes import STEP_MM, Mesh
from outputs.view.scene import Around, Body, Scene, scene_of
from outputs.written import Written, sha256_of
from shapes.colours import colour_of

Data = dict[str, Any]

LABELS: Final[dict[str, str]] = {
    "box": "Box", "lid": "Lid", "gasket": "Gasket", "liner": "Liner", "ring": "Rings", "module": "Modules",
    "equipment": "Equipment", "clamp": "Clamps", "pad": "Pads", "divider": "Dividers", "bracket": "Brackets",
    "hardware": "Fasteners", "bay": "Bay", "keep-out": "Keep-outs", "scan": "Scan",
}  # fmt: skip
"""What a group is called, in the order in which the list shows them; other groups follow under their own name."""

SCRIPTS: Final = ("model", "cut", "camera", "marks", "viewer", "controls")
"""The viewer's own files, in the order in which they are joined."""

_BLOCK = re.compile(r'<script type="application/json" id="pack">(.*?)</script>', re.DOTALL)


def view_data(study: AnyStudy, scene: Scene) -> Data:
    """Everything the page knows. Lengths in mm, vehicle axes; masses in kg.

    Numbers are rounded, so that equal input gives equal text.
    """
    job, pack = study.job.job, study.pack
    taken = _way_in(study)
    groups = sorted({b.group for b in scene.bodies} | {a.group for a in scene.around}, key=_rank)
    return {
        "format": 1,
        "title": job.title,
        "drawing": job.drawing_number,
        "revision": job.revision,
        "date": job.date,
        "inches": job.show_in == "in",
        "step_mm": STEP_MM,
        "groups": [{"key": g, "label": LABELS.get(g, g.capitalize()), "colour": _hex(g)} for g in groups],
        "meshes": [_mesh_data(m) for m in scene.meshes],
        "bodies": [_body_data(b) for b in scene.bodies],
        "around": [_around_data(a) for a in scene.around],
        "pack": {"mass_kg": round(pack.mass_kg, 2), "centroid_mm": _rounded(pack.centroid_mm, 1)},
        "axle": {"name": f"{study.job.vehicle.reference_axle} axle", "track_mm": study.job.vehicle.tracks_mm[0]},
        "mounts": [{"name": m.name, "at_mm": _rounded(m.at_mm, 1)} for m in study.job.mount_points],
        "way_in": [_rounded(p, 1) for p in taken.path_mm] if taken.possible else [],
        "cautions": list(study.cautions),
    }


def _way_in(study: AnyStudy) -> Insertion:
    """The way in that is shown: of several boxes that of the last one."""
    if not isinstance(study, PackStudy):
        return study.fit.insertions[study.fit.number - 1]
    ways = study.fit.ways[study.fit.number - 1]
    return ways.insertions[ways.order[-1] - 1]


def _rank(group: str) -> tuple[int, str]:
    order = list(LABELS)
    return (order.index(group) if group in order else len(order), group)


def _hex(group: str) -> str:
    own = {"keep-out": (0.78, 0.36, 0.30), "bay": (0.40, 0.55, 0.66), "scan": (0.55, 0.50, 0.45)}
    return "#" + "".join(f"{round(255 * v):02x}" for v in own.get(group, colour_of(group)))


def _mesh_data(mesh: Mesh) -> Data:
    return {"points": _packed(mesh.points), "triangles": _packed(mesh.triangles)}


def _body_data(body: Body) -> Data:
    return {
        "number": body.number,
        "group": body.group,
        "mesh": body.mesh,
        "pose": _pose_data(body.pose),
        "shift": _rounded(body.shift_mm, 1),
        "facts": list(body.facts),
        "goes_in": body.goes_in,
    }


def _around_data(around: Around) -> Data:
    return {"name": around.name, "group": around.group, "note": around.note, **_mesh_data(around.mesh)}


def _pose_data(pose: Pose) -> list[float]:
    """Directions of the own axes one after the other, then the origin."""
    return [*(v for axis in pose.axes for v in _rounded(axis, 9)), *_rounded(pose.origin_mm, 3)]


def _rounded(values: Any, digits: int) -> list[float]:
    return [round(float(v), digits) + 0.0 for v in values]


def _packed(values: NDArray[np.int32]) -> str:
    """Whole numbers as base64 of 32 bit little endian."""
    return base64.b64encode(np.ascontiguousarray(values, dtype="<i4").tobytes()).decode("ascii")


def unpacked(text: str) -> NDArray[np.int32]:
    """The numbers back, (n, 3)."""
    return np.frombuffer(base64.b64decode(text, validate=True), dtype="<i4").reshape(-1, 3)


@cache
def _asset(name: str) -> str:
    return files("outputs.view").joinpath(name).read_bytes().decode("utf-8")


@cache
def _viewer() -> str:
    return "\n".join(_asset(f"web/{name}.js") for name in SCRIPTS)


def _digest(text: str) -> str:
    return "'sha256-" + base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii") + "'"


@cache
def view_policy() -> str:
    """Content security policy of the page: its own two scripts and its style by their digests, and nothing from anywhere."""
    scripts = f"{_digest(_library())} {_digest(_viewer())}"
    style = _digest(_asset("web/viewer.css"))
    return f"default-src 'none'; script-src {scripts}; style-src {style}; base-uri 'none'; form-action 'none'"


@cache
def _library() -> str:
    """The vendored bundle. Raises ExportError where it is not the one whose digest stands beside it."""
    text = _asset("vendor/three.min.js")
    stated = json.loads(_asset("vendor/three.json"))
    if hashlib.sha256(text.encode("utf-8")).hexdigest() != stated["sha256"]:
        raise ExportError("the 3D library that comes with boxwright was altered: install boxwright again")
    return text


def page_text(data: Data) -> str:
    """The whole page. No text of the job can close the data block: every "<" in it is written as an escape."""
    block = json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":")).replace("<", "\\u003c")
    fields = {
        "POLICY": html.escape(view_policy(), quote=True),
        "TITLE": html.escape(f"{data['drawing']} {data['title']}"),
        "STYLE": _asset("web/viewer.css"),
        "PACK": block,
        "LICENCE": _asset("vendor/LICENSE").replace("--", "- -"),
        "LIBRARY": _library(),
        "VIEWER": _viewer(),
    }
    return re.sub(r"\[\[([A-Z]+)\]\]", lambda found: fields[found.group(1)], _asset("web/viewer.html"))


def write_view(study: AnyStudy, bay: Bay, path: Path) -> Written:
    """Write the page and read it back: the data block parsed and compared, part by part.

    Raises:
        ExportError: the file cannot be written, or what is in it is not what was to be shown.
        DesignError: a solid cannot be made.
    """
    scene = scene_of(study, bay)
    data = view_data(study, scene)
    try:
        path.write_text(page_text(data), encoding="utf-8", newline="\n")
    except OSError as error:
        raise ExportError(f"cannot write {path}: {error.strerror or error}") from error
    _compare(path, scene)
    return Written(path, sha256_of(path), True)


def read_view(path: Path) -> Data:
    """The data block of a page. Raises ExportError where there is none or it does not parse."""
    found = _BLOCK.findall(path.read_text(encoding="utf-8"))
    if len(found) != 1:
        raise ExportError(f"{path.name}: {len(found)} data blocks instead of one")
    try:
        data: Data = json.loads(found[0])
    except ValueError as error:
        raise ExportError(f"{path.name}: its data block does not read back ({error})") from error
    return data


def _compare(path: Path, scene: Scene) -> None:
    data = read_view(path)
    wanted, got = Counter(b.number for b in scene.bodies), Counter(b["number"] for b in data["bodies"])
    if wanted != got:
        odd = sorted(((wanted - got) + (got - wanted)).elements())
        raise ExportError(f"{path.name}: these parts did not read back: {', '.join(odd[:5])}")
    for mesh, entry in zip(scene.meshes, data["meshes"], strict=True):
        same = np.array_equal(mesh.points, unpacked(entry["points"])) and np.array_equal(
            mesh.triangles, unpacked(entry["triangles"])
        )
        if not same:
            raise ExportError(f"{path.name}: a surface did not read back as it was written")
    if any(not 0 <= b["mesh"] < len(scene.meshes) for b in data["bodies"]):
        raise ExportError(f"{path.name}: a body has no surface")
