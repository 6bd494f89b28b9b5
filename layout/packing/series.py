"""Order of connection: which module follows which, so that the interconnects are short. Polarity is respected.

A link runs from a module's negative terminal to the next module's positive one. Up to EXACT modules in one string the
shortest open path is found exactly by dynamic programming over sets (Held and Karp 1962, from memory); above that by
improving a nearest-neighbour path until no move of a run of modules shortens it.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from layout.arrangement import Link, PlacedModule, Wiring
from layout.frames import Array, Vec3
from layout.job.module import ModuleType

EXACT = 13


def terminals_of(kind: ModuleType) -> tuple[Vec3, Vec3]:
    """Positive and negative terminal in own axes from the middle of the body.

    Where the job does not give them they are taken on the middle line of the terminal face, a quarter of its longer edge
    to either side, the positive one on the side of the greater coordinate.
    """
    if kind.terminals_mm is not None:
        return kind.terminals_mm
    axis = "xyz".index(kind.terminal_face[1])
    across = max((a for a in range(3) if a != axis), key=lambda a: (kind.size_mm[a], -a))
    positive, negative = [0.0, 0.0, 0.0], [0.0, 0.0, 0.0]
    positive[axis] = negative[axis] = (0.5 if kind.terminal_face[0] == "+" else -0.5) * kind.size_mm[axis]
    positive[across], negative[across] = kind.size_mm[across] / 4.0, -kind.size_mm[across] / 4.0
    return (positive[0], positive[1], positive[2]), (negative[0], negative[1], negative[2])


def link_lengths(modules: tuple[PlacedModule, ...]) -> Array:
    """Straight distance from the negative terminal of module i to the positive one of module j, mm, shape (n, n)."""
    ends = [terminals_of(m.kind) for m in modules]
    positive = np.array([m.pose.point(e[0]) for m, e in zip(modules, ends, strict=True)])
    negative = np.array([m.pose.point(e[1]) for m, e in zip(modules, ends, strict=True)])
    return np.linalg.norm(negative[:, None, :] - positive[None, :, :], axis=2)


def shortest_path(lengths: Array) -> list[int]:
    """Open path through all nodes with the least sum of lengths[i, j]; exact up to EXACT nodes."""
    n = len(lengths)
    if n <= 1:
        return list(range(n))
    return _exact(lengths) if n <= EXACT else _improved(lengths)


def _exact(lengths: Array) -> list[int]:
    n = len(lengths)
    best = np.full((1 << n, n), np.inf)
    came = np.full((1 << n, n), -1, dtype=np.int64)
    best[[1 << i for i in range(n)], range(n)] = 0.0
    for visited in range(1, 1 << n):
        ends = [i for i in range(n) if visited >> i & 1]
        for j in range(n):
            if visited >> j & 1:
                continue
            costs = best[visited, ends] + lengths[ends, j]
            k = int(np.argmin(costs))
            into = visited | 1 << j
            if costs[k] < best[into, j] - 1e-9:
                best[into, j], came[into, j] = costs[k], ends[k]
    visited = (1 << n) - 1
    at = int(np.argmin(best[visited]))
    path = [at]
    while came[visited, at] >= 0:
        visited, at = visited ^ 1 << at, int(came[visited, at])
        path.append(at)
    return path[::-1]


def _improved(lengths: Array) -> list[int]:
    n = len(lengths)
    paths = [_nearest(lengths, start) for start in range(n)]
    path = min(paths, key=lambda p: _total(lengths, p))
    total = _total(lengths, path)
    while True:
        better = _best_move(lengths, path, total)
        if better is None:
            return path
        path, total = better, _total(lengths, better)


def _nearest(lengths: Array, start: int) -> list[int]:
    path, left = [start], set(range(len(lengths))) - {start}
    while left:
        at = path[-1]
        nxt = min(left, key=lambda j: (lengths[at, j], j))
        path.append(nxt)
        left.remove(nxt)
    return path


def _total(lengths: Array, path: list[int]) -> float:
    return float(lengths[path[:-1], path[1:]].sum())


def _best_move(lengths: Array, path: list[int], total: float) -> list[int] | None:
    """The first run of modules (either way round) whose move elsewhere shortens the path; None if there is none."""
    n = len(path)
    for i in range(n):
        for j in range(i + 1, n + 1):
            run, rest = path[i:j], path[:i] + path[j:]
            for at in range(len(rest) + 1):
                for piece in (run, run[::-1]):
                    trial = rest[:at] + piece + rest[at:]
                    if _total(lengths, trial) < total - 1e-6:
                        return trial
    return None


def wire(modules: tuple[PlacedModule, ...], series: int, parallel: int) -> Wiring | None:
    """Series strings with short interconnects; None where there are too few modules for series times parallel.

    With several strings the one path through all modules is cut into strings; modules over and above are left out at the
    path's end.
    """
    if len(modules) < series * parallel:
        return None
    lengths = link_lengths(modules)
    path = shortest_path(lengths)[: series * parallel]
    strings = [path[k * series : (k + 1) * series] for k in range(parallel)]
    links = tuple(Link(modules[a].id, modules[b].id, float(lengths[a, b])) for s in strings for a, b in pairwise(s))
    return Wiring(tuple(tuple(modules[k].id for k in s) for s in strings), links)
