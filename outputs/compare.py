"""Two packages side by side: what a fabricator and an engineer must look at again in the second.

Works on the data of two results.json files alone. Lengths in mm, masses in kg.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from layout.errors import JobError, Problem

Data = dict[str, Any]

LEAST: Final[dict[str, float]] = {"mm": 0.0005, "kg": 0.0005, "": 0.0005, "V": 0.005, "kWh": 0.0005, "h": 0.005, "%": 0.005}
"""Differences up to this are none, by unit: half of the last digit that is shown."""

GROUPS: Final = (
    "job",
    "arrangement",
    "parts",
    "holes",
    "hardware",
    "masses",
    "axles",
    "electrical",
    "checks",
    "cautions",
    "files",
)
"""Kinds of change in the order in which they are told."""


@dataclass(frozen=True)
class Change:
    """One difference. group: one of GROUPS; what: the thing; before, after: as text, "" where it is not there."""

    group: str
    what: str
    before: str
    after: str

    def __str__(self) -> str:
        if not self.before:
            return f"{self.what}: new: {self.after}"
        if not self.after:
            return f"{self.what}: gone; was: {self.before}"
        return f"{self.what}: {self.before} -> {self.after}"


def load_package(folder: Path) -> Data:
    """The results of a package folder. Raises JobError where the folder is no package."""
    want = "a folder that `boxwright build` wrote"
    try:
        data = json.loads((folder / "results.json").read_text(encoding="utf-8"))
    except OSError as error:
        raise _no_package(folder, error.strerror or str(error), want) from error
    except ValueError as error:
        raise _no_package(folder, "its results.json does not parse", want) from error
    missing = [k for k in ("job", "fit", "mass", "axles", "loads", "parts") if not isinstance(data, dict) or k not in data]
    if missing:
        raise _no_package(folder, f"its results.json lacks {', '.join(missing)}", want)
    kept: Data = data
    return kept


def _no_package(folder: Path, got: str, want: str) -> JobError:
    return JobError([Problem(str(folder), got, want, "Name such a folder, or build the job again with this version.")])


def compare(before: Data, after: Data) -> list[Change]:
    """Every difference, group by group. Raises JobError where the data do not have the form of a package's results."""
    finders = (_job, _arrangement, _parts, _holes, _hardware, _masses, _axles, _electrical, _checks, _cautions, _files)
    try:
        return [change for find in finders for change in find(before, after)]
    except (KeyError, TypeError, AttributeError, IndexError, ValueError) as error:
        got = f"results of another form ({type(error).__name__}: {error})"
        want = "two packages of this version"
        raise JobError([Problem("results.json", got, want, "Build both jobs again with this version.")]) from error


def _job(before: Data, after: Data) -> Iterator[Change]:
    old, new = before["job"], after["job"]
    for key in sorted(set(old) | set(new)):
        yield from _text("job", key.replace("_", " "), _said(old.get(key)), _said(new.get(key)))


def _arrangement(before: Data, after: Data) -> Iterator[Change]:
    old, new = before["fit"], after["fit"]
    for key, words in (("placed", "modules placed"), ("upper_bound", "most modules possible"), ("proven", "proved")):
        yield from _text("arrangement", words, _said(old[key]), _said(new[key]))
    yield from _text("arrangement", "arrangements found", _said(len(old["arrangements"])), _said(len(new["arrangements"])))
    taken = [fit["arrangements"][(fit.get("taken") or 1) - 1] for fit in (old, new)]
    for side in ("min_mm", "max_mm"):
        yield from _vector("arrangement", f"box, {side[:3]}", taken[0]["box"][side], taken[1]["box"][side])
    modules = [{m["id"]: m for m in one["modules"]} for one in taken]
    for name in _names(*modules):
        yield from _text("arrangement", f"module {name}", _module(modules[0].get(name)), _module(modules[1].get(name)))


def _module(module: Data | None) -> str:
    if module is None:
        return ""
    return f"{module['type']} from {_point(module['min_mm'])}, {module['up']} up, terminals {module['terminals']}"


def _parts(before: Data, after: Data) -> Iterator[Change]:
    old, new = _by_number(before["parts"]), _by_number(after["parts"])
    for number in _names(old, new):
        a, b = old.get(number), new.get(number)
        if a is None or b is None:
            yield Change("parts", number, _part(a), _part(b))
            continue
        for key in ("name", "material", "finish", "group"):
            yield from _text("parts", f"{number} {key}", _said(a.get(key)), _said(b.get(key)))
        yield from _figure("parts", f"{number} thickness", a.get("thickness_mm"), b.get("thickness_mm"), "mm")
        yield from _text("parts", f"{number} bends", _said(a.get("bends")), _said(b.get("bends")))
        yield from _text("parts", f"{number} size", _size(a), _size(b)) if _size(a) != _size(b) else _outline(number, a, b)
        yield from _figure("parts", f"{number} mass", a.get("mass_kg"), b.get("mass_kg"), "kg")


def _outline(number: str, a: Data, b: Data) -> Iterator[Change]:
    for key, words in (("outline", "outline"), ("cutouts", "cut-outs")):
        old, new = a.get(key) or [], b.get(key) or []
        if not _alike(old, new):
            yield Change(
                "parts", f"{number} {words}", f"{len(old)} {_unit_of(key)}", f"{len(new)} {_unit_of(key)}, another form"
            )


def _unit_of(key: str) -> str:
    return "corners" if key == "outline" else "cut-outs"


def _alike(a: Any, b: Any) -> bool:
    if isinstance(a, list) and isinstance(b, list):
        return len(a) == len(b) and all(_alike(x, y) for x, y in zip(a, b, strict=True))
    return abs(a - b) <= LEAST["mm"]


def _size(part: Data) -> str:
    return " x ".join(f"{v:.3f}".rstrip("0").rstrip(".") for v in part.get("flat_mm") or part.get("size_mm") or []) + " mm"


def _part(part: Data | None) -> str:
    if part is None:
        return ""
    thick = f"{part['thickness_mm']:g} mm, " if part.get("thickness_mm") else ""
    return f"{part['name']}, {part['material'] or part['group']}, {thick}{_size(part)}, {_kg(part.get('mass_kg'))}"


def _holes(before: Data, after: Data) -> Iterator[Change]:
    old, new = _by_number(before["parts"]), _by_number(after["parts"])
    for number in _names(old, new):
        if number not in old or number not in new:
            continue
        a, b = (_counted((h["name"], h) for h in part.get("holes", [])) for part in (old[number], new[number]))
        for name in _names(a, b):
            yield from _hole(f"{number} hole {name}", a.get(name), b.get(name))


def _hole(what: str, a: Data | None, b: Data | None) -> Iterator[Change]:
    if a is None or b is None:
        yield Change("holes", what, _hole_text(a), _hole_text(b))
        return
    yield from _vector("holes", f"{what} place", [a["x_mm"], a["y_mm"]], [b["x_mm"], b["y_mm"]])
    yield from _figure("holes", f"{what} diameter", a["diameter_mm"], b["diameter_mm"], "mm")
    yield from _figure("holes", f"{what} slot", a.get("slot_mm", 0.0), b.get("slot_mm", 0.0), "mm")
    yield from _figure("holes", f"{what} slot angle", a.get("slot_angle_deg", 0.0), b.get("slot_angle_deg", 0.0), "")
    yield from _text("holes", f"{what} for", _said(a.get("fastener")), _said(b.get("fastener")))


def _hole_text(hole: Data | None) -> str:
    return "" if hole is None else f"{hole['diameter_mm']:g} mm at {_point([hole['x_mm'], hole['y_mm']])}"


def _hardware(before: Data, after: Data) -> Iterator[Change]:
    old, new = ({h["what"]: h["count"] for h in data.get("hardware", [])} for data in (before, after))
    for what in _names(old, new):
        yield from _text("hardware", what, _said(old.get(what)), _said(new.get(what)))


def _masses(before: Data, after: Data) -> Iterator[Change]:
    """Totals, and what is neither a listed part nor a fastener (those stand under parts and hardware)."""
    old, new = before["mass"], after["mass"]
    for key in ("pack_kg", "added_kg", "removed_kg", "change_kg", "pack_ahead_of_axle_kg"):
        yield from _figure("masses", key.removesuffix("_kg").replace("_", " "), old[key], new[key], "kg")
    yield from _vector("masses", "pack centroid", old["pack_centroid_mm"], new["pack_centroid_mm"])
    listed = [{f"{p['number']} {p['name']}" for p in data["parts"]} for data in (before, after)]
    bolts = {h["what"].split(", ")[0].rsplit(" ", 1)[0] for data in (before, after) for h in data.get("hardware", [])}
    items = [
        _counted((i["name"], i) for i in mass["items"] if i["name"] not in known and not i["name"].endswith(tuple(bolts)))
        for mass, known in zip((old, new), listed, strict=True)
    ]
    for name in _names(*items):
        a, b = items[0].get(name), items[1].get(name)
        if a is None or b is None:
            yield Change("masses", name, _kg(a["mass_kg"]) if a else "", _kg(b["mass_kg"]) if b else "")
        else:
            yield from _figure("masses", name, a["mass_kg"], b["mass_kg"], "kg")


def _axles(before: Data, after: Data) -> Iterator[Change]:
    old, new = before["axles"], after["axles"]
    for state in ("before", "after", "margins"):
        for key in ("front_kg", "rear_kg"):
            words = f"{key[:-3]} axle, {'below rating' if state == 'margins' else state}"
            yield from _figure("axles", words, old[state][key], new[state][key], "kg")
    yield from _text("axles", "ratings held", _said(old["ratings_held"]), _said(new["ratings_held"]))


def _electrical(before: Data, after: Data) -> Iterator[Change]:
    old, new = before.get("electrical", {}), after.get("electrical", {})
    units = {"nominal_v": "V", "max_v": "V", "min_v": "V", "energy_kwh": "kWh", "charge_hours": "h"}
    for key, unit in units.items():
        yield from _figure("electrical", key.rsplit("_", 1)[0], old.get(key), new.get(key), unit)


def _checks(before: Data, after: Data) -> Iterator[Change]:
    """The worst of every check and part over all cases; what is weakest in the second package first."""
    old, new = (_worst(data["loads"]["checks"]) for data in (before, after))
    for key in sorted(_names(old, new), key=lambda k: -_badness(new[k]) if k in new else 1.0):
        a, b = old.get(key), new.get(key)
        same = a is not None and b is not None and a["verdict"] == b["verdict"] and _near(a["utilisation"], b["utilisation"])
        if not same:
            yield Change("checks", f"{key[0]}: {key[1]}", _check(a), _check(b))


def _worst(checks: list[Data]) -> dict[tuple[str, str], Data]:
    worst: dict[tuple[str, str], Data] = {}
    for check in checks:
        key = (check["name"], check["part"])
        if key not in worst or _badness(check) > _badness(worst[key]):
            worst[key] = check
    return worst


def _badness(check: Data) -> float:
    """Unknown above all, then what is without limit (no number in the file), then by figure."""
    if check["verdict"] == "not checked":
        return float("inf")
    return 1e300 if check["utilisation"] is None else float(check["utilisation"])


def _near(a: float | None, b: float | None) -> bool:
    return a is b if a is None or b is None else abs(a - b) <= LEAST[""]


def _check(check: Data | None) -> str:
    if check is None:
        return ""
    if check["verdict"] == "not checked":
        return f"not checked ({check['note']})"
    used = check["utilisation"]
    return f"{'no capacity' if used is None else f'{used:.3f}'}, {check['verdict']}, {check['case']}"


def _cautions(before: Data, after: Data) -> Iterator[Change]:
    old, new = set(before.get("cautions", [])), set(after.get("cautions", []))
    for text in sorted(old - new):
        yield Change("cautions", "caution", text, "")
    for text in sorted(new - old):
        yield Change("cautions", "caution", "", text)


def _files(before: Data, after: Data) -> Iterator[Change]:
    """Files that only one package has. (That bytes of a file differ follows from what is listed above it.)"""
    old, new = ({f["path"] for f in data.get("files", [])} for data in (before, after))
    for path in sorted(old ^ new):
        yield Change("files", path, "there" if path in old else "", "there" if path in new else "")


def _names(old: dict[Any, Any], new: dict[Any, Any]) -> list[Any]:
    """Keys of both in their own order, those only in the second last."""
    return [*old, *(k for k in new if k not in old)]


def _by_number(parts: list[Data]) -> dict[str, Data]:
    """Parts by number; where a number stands for several different parts, by number and name."""
    names: dict[str, set[str]] = {}
    for part in parts:
        names.setdefault(part["number"], set()).add(part["name"])
    return _counted((p["number"] if len(names[p["number"]]) == 1 else f"{p['number']} {p['name']}", p) for p in parts)


def _counted(pairs: Iterable[tuple[str, Data]]) -> dict[str, Data]:
    """A dictionary in which a name that comes again is told apart by its count: "x", "x (2)"."""
    out: dict[str, Data] = {}
    seen: dict[str, int] = {}
    for name, value in pairs:
        seen[name] = seen.get(name, 0) + 1
        out[name if seen[name] == 1 else f"{name} ({seen[name]})"] = value
    return out


def _text(group: str, what: str, before: str, after: str) -> Iterator[Change]:
    if before != after:
        yield Change(group, what, before, after)


def _figure(group: str, what: str, before: float | None, after: float | None, unit: str) -> Iterator[Change]:
    if before is None and after is None:
        return
    if before is None or after is None:
        yield Change(group, what, _shown(before, unit), _shown(after, unit))
    elif abs(after - before) > LEAST[unit]:
        yield Change(group, what, _shown(before, unit), f"{_shown(after, unit)} ({after - before:+.3f})")


def _vector(group: str, what: str, before: list[float], after: list[float]) -> Iterator[Change]:
    if len(before) != len(after) or any(abs(a - b) > LEAST["mm"] for a, b in zip(before, after, strict=True)):
        moved = ", ".join(f"{b - a:+.3f}" for a, b in zip(before, after, strict=False))
        yield Change(group, what, _point(before), f"{_point(after)} (by {moved})")


def _shown(value: float | None, unit: str) -> str:
    return "unknown" if value is None else f"{value:.3f} {unit}".rstrip()


def _kg(value: float | None) -> str:
    return _shown(value, "kg")


def _point(values: list[float]) -> str:
    return ", ".join(f"{v:.3f}" for v in values) + " mm"


def _said(value: Any) -> str:
    return "" if value is None else {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value)
