"""As many modules as a room holds on given places, by two exact searches side by side; slow to import (the solvers).

The places' common gap is added on the high side of every body, and clear zones are drawn in accordingly, so that the
engine's boxes overlap exactly where two places exclude one another:
a body from b to b + s in front of a zone from u to v is in it where b < v and b + s > u, that is, where b < v and
b + s + gap > u + gap.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from layout.packing.bodies import Body, Stand
from layout.packing.clock import Clock
from layout.packing.engine.board import Board
from layout.packing.engine.candidates import Candidates, index_of, mask_of
from layout.packing.engine.cpsat import CpSatRun
from layout.packing.engine.highs import HighsRun
from layout.packing.engine.model import Item, Option
from layout.packing.engine.model_ip import CountRow, offer, set_packing
from layout.packing.engine.race import race
from layout.packing.places import Places, up_to, zone_axis


def most_on(
    places: Places, bodies: tuple[Body, ...], most: int, known: list[int], seed: int, clock: Clock
) -> tuple[list[int], int | None]:
    """Places taken by as many modules as fit (at most `most`) with all equipment, and the greatest number on these places.

    known: places of an answer to start from ([] for none). The number is None where time ran out before it was proved.
    Nothing is taken where no answer was found. Raises ValueError for a body no longer than the gap.
    """
    items = [_item(body, places) for body in bodies]
    candidates = _candidates(places)
    model = set_packing(items, candidates, 2**62)
    modules = np.flatnonzero(np.array([b.is_module for b in bodies])[places.body])
    model = replace(model, counts=(*model.counts, CountRow(modules, 0, most)))
    equipment = sum(b.least for b in bodies)
    board = Board(clock.end, most + equipment, lambda: clock.left() <= 0.0)
    board.limit(most + equipment, "the number asked for")
    if known:
        chosen = np.zeros(places.count, dtype=bool)
        chosen[known] = True
        offer(board, model, chosen, "greedy")
    race([HighsRun(model, board, seed), CpSatRun(model, board, seed)], board)
    if mask_of(candidates, board.placements) is None:
        return [], 0 if board.infeasible else None
    proven = board.bound <= board.value
    return index_of(candidates, board.placements).tolist(), board.value - equipment if proven else None


def _item(body: Body, places: Places) -> Item:
    options = tuple(_option(stand, places) for stand in body.stands)
    return Item(body.name, options, body.most, body.least)


def _option(stand: Stand, places: Places) -> Option:
    gap, unit = places.gap, places.unit_mm
    body = [up_to(v, unit) for v in stand.size_mm]
    x, y, z = (v + gap for v in body)
    axis, end = zone_axis(stand)
    depth = up_to(stand.zone_mm, unit) - gap
    if end == 0 or depth <= 0:
        return Option((x, y, z))
    if min(body) <= gap:
        raise ValueError(f"body {stand.size_mm} mm: each edge must exceed the gap, {gap * unit} mm")
    low, high = [gap] * 3, list(body)
    low[axis], high[axis] = (body[axis] + gap, body[axis] + gap + depth) if end > 0 else (-depth, 0)
    return Option((x, y, z), (low[0], low[1], low[2], high[0], high[1], high[2]))


def _candidates(places: Places) -> Candidates:
    """Zones of candidates only matter through the items' options here; they are given as they are."""
    high = places.low + places.size + places.gap
    up = np.zeros((places.count, 3), dtype=bool)
    return Candidates(places.body, places.stand, places.low, high, places.zone_low, places.zone_high, up)
