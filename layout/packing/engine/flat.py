"""Questions that are flat: solve one layer and stack it; and, for a plain rectangle, the skyline search beside the rest."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from dataclasses import replace

from layout.packing.engine.board import Board
from layout.packing.engine.bounds import barnes_bound
from layout.packing.engine.model import Box, Item, Packing, Placement, Region, Triple
from layout.packing.engine.skyline import Plate, lay, settings_to_try

_WIDEST = 400
_QUICK = 8


def layer_axis(region: Region, items: Sequence[Item]) -> int | None:
    """An axis along which one layer, solved flat, can be stacked without loss; None where there is none.

    One item; every option has the same extent h along the axis; every wall runs through; zones stay within the body's
    height. Any packing then has at most floor(H / h) times the best of one layer: each box meets exactly one or more of
    the planes at heights h - 1, 2h - 1, ..., and those that meet one plane stand side by side in one layer.
    """
    if len(items) != 1 or not items[0].options:
        return None
    for axis in (2, 1, 0):
        extents = {option.size[axis] for option in items[0].options}
        through = all(box[axis] <= 0 and box[axis + 3] >= region.size[axis] for box in region.blocked)
        within = all(o.zone is None or (o.zone[axis] >= 0 and o.zone[axis + 3] <= o.size[axis]) for o in items[0].options)
        if len(extents) == 1 and through and within and region.size[axis] > min(extents):
            return axis
    return None


def one_layer(region: Region, item: Item, axis: int) -> tuple[Region, Item, int]:
    """The region and item of one layer, and how many layers there are."""
    height = item.options[0].size[axis]
    layers = region.size[axis] // height
    blocked = tuple(_flattened(box, axis, height) for box in region.blocked)
    flat = Region(_with(region.size, axis, height if layers else region.size[axis]), blocked)
    return flat, replace(item, least=0), layers


def stacked(layer: Packing, item: Item, axis: int, layers: int) -> Packing:
    """The layer's packing repeated up the axis, no more than the item's `most`."""
    height = item.options[0].size[axis]
    placed = [replace(p, at=_with(p.at, axis, n * height)) for n in range(layers) for p in layer.placements]
    placed = placed[: item.most]
    bound = min(layer.bound * layers, item.most * item.value)
    value = len(placed) * item.value
    how = layer.how if layers == 1 else f"{layer.how}, {layers} layers"
    if value >= item.least * item.value:
        return Packing(tuple(placed), value, bound, value >= bound, layer.seconds, how)
    return Packing((), 0, bound, bound < item.least * item.value, layer.seconds, how, False)


def plate_of(region: Region, items: Sequence[Item]) -> tuple[int, int, int, int, bool] | None:
    """(length, width, a, b, both ways allowed) when the question is plain rectangles in a plain rectangle in the x-y plane."""
    if len(items) != 1 or region.blocked or not items[0].options:
        return None
    options = items[0].options
    if any(o.zone is not None or o.size[2] * 2 <= region.size[2] or o.size[2] > region.size[2] for o in options):
        return None
    ways = {o.size[:2] for o in options}
    a, b = max(ways)
    if ways - {(a, b), (b, a)}:
        return None
    return region.size[0], region.size[1], a, b, len(ways) == 2


def barnes_limit(region: Region, items: Sequence[Item]) -> int | None:
    """Barnes' bound on the value, where it applies."""
    plate = plate_of(region, items)
    if plate is None:
        return None
    return min(barnes_bound(*plate[:4]), items[0].most) * items[0].value


class SkylineRun:
    """Looks for the count the bound allows, in a thread of its own; `stop` ends it after the step at hand."""

    def __init__(self, region: Region, items: Sequence[Item], board: Board) -> None:
        self._region, self._items, self._board = region, items, board
        self._stopped = False
        self._settings = list(settings_to_try())
        self.thread = threading.Thread(target=self._run)

    @staticmethod
    def suits(region: Region, items: Sequence[Item]) -> bool:
        """Whether the question is of the flat kind this is for."""
        plate = plate_of(region, items)
        return plate is not None and plate[4] and max(plate[:2]) <= _WIDEST

    def stop(self) -> None:
        """End the search."""
        self._stopped = True

    def run_briefly(self, seconds: float) -> None:
        """The quick settings at once, in the caller's thread."""
        until = self._board.left - seconds
        self._try(self._settings[:_QUICK], lambda: self._over() or self._board.left < until)
        self._settings = self._settings[_QUICK:]

    def _run(self) -> None:
        self._try(self._settings, self._over)

    def _try(self, settings: list[tuple[int, float, bool, bool]], over: Callable[[], bool]) -> None:
        plate = plate_of(self._region, self._items)
        if plate is None:
            return
        length, width, a, b, _ = plate
        worth = self._items[0].value
        for breadth, roughness, right, turned in settings:
            wanted = self._board.bound // worth
            if over() or wanted < 1:
                return
            columns, rows = (width, length) if turned else (length, width)
            laid = lay(Plate(columns, rows, a, b, wanted), breadth, roughness, right, over)
            if laid:
                placements = [self._placed(x, y, wide, turned, (a, b)) for x, y, wide in laid]
                self._board.offer(wanted * worth, tuple(placements), "skyline")

    def _over(self) -> bool:
        return self._stopped or self._board.over

    def _placed(self, x: int, y: int, wide: int, turned: bool, edges: tuple[int, int]) -> Placement:
        a, b = edges
        along = wide if not turned else (b if wide == a else a)
        option = next(n for n, o in enumerate(self._items[0].options) if o.size[0] == along)
        return Placement(0, option, (y, x, 0) if turned else (x, y, 0))


def _with(corner: Triple, axis: int, value: int) -> Triple:
    found = [*corner]
    found[axis] = value
    return (found[0], found[1], found[2])


def _flattened(box: Box, axis: int, height: int) -> Box:
    found = [*box]
    found[axis], found[axis + 3] = 0, height
    return (found[0], found[1], found[2], found[3], found[4], found[5])
