"""What the search found, as text for the terminal: a table to choose by, then what to know of each arrangement."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise
from typing import TYPE_CHECKING

from layout import units
from layout.arrangement import Arrangement, SearchResult
from layout.box.shell import Shell
from layout.job.model import Job
from layout.packing.scores import FIGURES
from layout.space.removal import removal_words
from layout.stepped import outline_words

if TYPE_CHECKING:  # slow to import
    from layout.several.ways import PackFit
    from layout.study.making import Making
    from layout.study.study import Fit

SIDES = {"+x": "fore", "-x": "aft", "+y": "left", "-y": "right", "+z": "up", "-z": "down"}
TERMINALS = "terminals of "
MOST_REASONS = 3
UP = {"+z": "on their base", "-z": "upside down"}


def fit_lines(job: Job, search: SearchResult, shell: Shell, fit: Fit | None = None) -> list[str]:
    """The count, a table of the arrangements, then each with the way in and the way out where these were looked at.

    Numbers of bars are given without the drawing's number.
    """
    prefix = f"{job.job.drawing_number}-"
    lines = [f"modules: {search.verdict}; {search.seconds:.1f} s", *(fit.space_notes if fit else ())]
    lines += [search.note] if search.note else []
    lines += ["", *table(search.arrangements, shell, job.job.show_in)]
    for k, one in enumerate(search.arrangements):
        lines += ["", f"{k + 1:3d}  best at: {', '.join(one.best_at) or '-'}", f"     modules: {stands(one)}"]
        step = outline_words(one.inside)
        lines += [f"     box: {step}"] if step else []
        if k < len(search.makings):
            lines += [f"     {line.replace(prefix, '')}" for line in making_lines(search.makings[k])]
        if fit:
            way = fit.insertions[k]
            lines.append(f"     way in: {way.note or ('possible' if way.possible else 'none found')}")
            lines.append(f"     out through the lid: {removal_words(fit.lifts[k]).replace(prefix, '')}")
    if fit:
        return [*lines, "", *access_lines(fit)]
    return [*lines, "", "way in and access not looked at: the search was short"]


def table(listed: tuple[Arrangement, ...], shell: Shell, system: units.System) -> list[str]:
    """One row per arrangement; an asterisk marks the best of a column where they differ."""
    length, mass = units.shown_as("length", system).unit, units.shown_as("mass", system).unit
    heads = {
        "ahead_of_axle": f"ahead, {mass}",
        "low": f"centroid up, {length}",
        "centred": "off centre",
        "small_box": "sheet, m2",
        "short_links": f"links, {length}",
        "serviceable": "in the way",
    }
    columns = [["no", *(str(k + 1) for k in range(len(listed)))]]
    for wish, head in heads.items():
        columns.append([head, *(_marked(wish, one, listed, system) for one in listed)])
    columns.append([f"box outside, {length}", *(size(one, shell, system) for one in listed)])
    widths = [max(len(cell) for cell in column) for column in columns]
    rows = ["  ".join(cell.rjust(w) for cell, w in zip(row, widths, strict=True)) for row in zip(*columns, strict=True)]
    return [*rows, "* the best of those listed; in the way: other modules that must come out before one can, on average"]


def _marked(wish: str, one: Arrangement, listed: tuple[Arrangement, ...], system: units.System) -> str:
    name, sign, _ = FIGURES[wish]
    value = one.scores[name]
    shown = {
        "ahead_of_axle": units.number(value, "mass", system, 1),
        "small_box": f"{value:.2f}",
        "serviceable": f"{value:.1f}",
    }.get(wish) or units.number(value, "length", system, 0 if system == "mm" else 1)
    values = [sign * other.scores[name] for other in listed]
    best = sign * value >= max(values) - 1e-6 and min(values) < max(values) - 1e-6
    return f"{shown}{'*' if best else ' '}"


def size(one: Arrangement, shell: Shell, system: units.System) -> str:
    """Outside of the box as it lies in the vehicle (of several boxes: of what bounds them all)."""
    sizes = shell.outermost(one.inside).seen_from(one.frame).size_mm
    return " x ".join(units.number(s, "length", system, 0 if system == "mm" else 1) for s in sizes)


def stands(one: Arrangement) -> str:
    """How the modules stand: layers from the floor up, which face is down, where the terminals look."""
    bases = sorted(m.extent.min_mm[2] for m in one.modules)
    layers = [1]
    for a, b in pairwise(bases):
        layers = [*layers[:-1], layers[-1] + 1] if b - a < 1.0 else [*layers, 1]
    height = "all on one level" if len(layers) == 1 else f"{' + '.join(map(str, layers))} from the floor up"
    ups = Counter(UP.get(m.up, "on their side") for m in one.modules)
    looks = Counter(SIDES[m.terminals] for m in one.modules)
    kinds = Counter(m.kind.name for m in one.modules)
    said = [", ".join(f"{n} {name}" for name, n in kinds.items()), height, _counted(ups), f"terminals look {_counted(looks)}"]
    return "; ".join(said)


def _counted(counts: Counter[str]) -> str:
    if len(counts) == 1:
        return next(iter(counts))
    return ", ".join(f"{n} {name}" for name, n in counts.most_common())


def making_lines(making: Making) -> list[str]:
    """Whether an arrangement can be built as it is, and what cannot be held or put in."""
    if making.trouble:
        return [f"CANNOT BE BUILT as it is: {making.trouble}"]
    loose = making.carriers.unheld
    lines = [f"NOT HELD: {name}: {why}" for name, why in loose[:MOST_REASONS]]
    if len(loose) > MOST_REASONS:
        lines.append(f"NOT HELD either: {', '.join(name for name, _ in loose[MOST_REASONS:])}")
    lines += [f"NOT FIXED: {name}: {why}" for name, why in making.carriers.unfixed]
    lines += [f"CANNOT GO IN: {', '.join(making.stuck)}: out over the edge of the lid's opening"] if making.stuck else []
    return lines or ["can be built: brackets reach, and every module is held"]


def access_lines(fit: Fit | PackFit) -> list[str]:
    """Whether covers and terminals can be reached in the arrangement taken; those alike together."""
    alike: dict[tuple[str, bool, str], list[str]] = {}
    later = [one for one in fit.access if one.under]
    for one in fit.access:
        if not one.under:
            alike.setdefault((one.side, one.possible, one.note), []).append(one.name)
    lines = [f"access in arrangement {fit.number}"] if fit.access else []
    for (_, possible, note), names in alike.items():
        lines.append(f"  {'' if possible else 'NOT reached: '}{_joined(names)}: {note}")
    if later:
        said = ", ".join(f"{one.name.removeprefix(TERMINALS)} (under {' and '.join(one.under)})" for one in later)
        lines.append(f"  {TERMINALS}{said}: reached once these are out")
    return lines


def _joined(names: list[str]) -> str:
    """Names with what they begin with in common said once: terminals of M1, M2."""
    if len(names) > 1 and all(n.startswith(TERMINALS) for n in names):
        return TERMINALS + ", ".join(n.removeprefix(TERMINALS) for n in names)
    return ", ".join(names)
