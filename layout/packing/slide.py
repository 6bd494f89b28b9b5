"""Sliding what was found: bodies move freely as long as each keeps to the side of each other it is on; the box closes in.

The places of the search keep the best count, not the best balance. With left/right, front/behind and above/below held
fixed, the best positions for each wish are a linear programme (HiGHS), solved wish after wish.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import combinations, pairwise
from math import ceil, floor

import numpy as np

from layout.frames import Array, Extent, Pose, vec3
from layout.packing.bodies import Body, Stand, gap_between
from layout.packing.goal import TOLERANCE, Spot
from layout.packing.hung import Pocket
from layout.packing.linear import least
from layout.packing.places import zone_axis
from layout.packing.reach import Span
from layout.packing.slide_step import INSIDE_HIGH, INSIDE_LOW, StepLines
from layout.stepped import Stepped

WALL_REACH_MM = 15.0
"""Equipment served through a cover stands at most this far from the liner of that wall."""

SAME_LEVEL_MM = 0.05
EPS = 1e-7


@dataclass(frozen=True)
class Layout:
    """What stands where, and the inside of the box's walls. hung: low corners of what hangs outside, in order.

    level: modules whose bases lie level stay level.
    """

    spots: tuple[Spot, ...]
    inside: Extent
    hung_mm: tuple[tuple[float, float, float], ...] = ()
    level: bool = False


@dataclass(frozen=True)
class Frame:
    """What a layout must stay within: limits of the inside; what liner and lid take; what hangs on the outside.

    faces: further limits of the inside's faces.
    """

    pose: Pose
    limit: Extent
    liner_mm: float
    pockets: tuple[Pocket, ...] = ()
    faces: tuple[Span, ...] = ()
    beside_mm: float = 0.0
    """Kept from the walls where it is more than the liner: the bend between floor and wall."""

    @property
    def side_mm(self) -> float:
        """Kept from the walls."""
        return max(self.liner_mm, self.beside_mm)


@dataclass
class _Rows:
    """Linear constraints sum(factor * variable) <= limit."""

    width: int
    entries: list[tuple[int, int, float]] = field(default_factory=list)
    limits: list[float] = field(default_factory=list)

    def add(self, terms: dict[int, float], limit: float) -> None:
        row = len(self.limits)
        self.entries += [(row, k, f) for k, f in terms.items()]
        self.limits.append(limit)

    def matrix(self) -> Array:
        out = np.zeros((len(self.limits), self.width))
        for row, column, factor in self.entries:
            out[row, column] += factor
        return out


def _low(k: int, axis: int) -> int:
    return 6 + 3 * k + axis


def _reach(stand: Stand, axis: int) -> tuple[float, float]:
    """What the clear zone adds below and above along an axis."""
    at, end = zone_axis(stand)
    if at != axis or end == 0:
        return (0.0, 0.0)
    return (stand.zone_mm, 0.0) if end < 0 else (0.0, stand.zone_mm)


def _separations(spots: tuple[Spot, ...], bodies: tuple[Body, ...]) -> list[tuple[int, int, int, float]]:
    """(first, second, axis, distance): second's low is at least first's high plus distance. One or two per pair."""
    out = []
    for i, j in combinations(range(len(spots)), 2):
        gap = gap_between(bodies[spots[i].body], bodies[spots[j].body])
        out.append(_widest(i, j, spots, bodies, gap, None))
        for owner in (i, j):
            stand = bodies[spots[owner].body].stands[spots[owner].stand]
            if zone_axis(stand)[1] and bodies[spots[owner].body].is_module:
                out.append(_widest(i, j, spots, bodies, 0.0, owner))
    return out


def _widest(
    i: int, j: int, spots: tuple[Spot, ...], bodies: tuple[Body, ...], gap: float, owner: int | None
) -> tuple[int, int, int, float]:
    """The separation with the most room to spare between two bodies, or between the owner's clear zone and the other body."""
    best: tuple[float, tuple[int, int, int, float]] | None = None
    for axis in range(3):
        for a, b in ((i, j), (j, i)):
            before, after = _ends(a, axis, spots, bodies, owner), _ends(b, axis, spots, bodies, owner)
            spare = after[0] - before[1] - gap
            # as a distance between the bodies' own ends
            own_a, own_b = _ends(a, axis, spots, bodies, None), _ends(b, axis, spots, bodies, None)
            distance = gap + (before[1] - own_a[1]) + (own_b[0] - after[0])
            if best is None or spare > best[0] + EPS:
                best = (spare, (a, b, axis, distance))
    assert best is not None
    return best[1]


def _ends(k: int, axis: int, spots: tuple[Spot, ...], bodies: tuple[Body, ...], owner: int | None) -> tuple[float, float]:
    stand = bodies[spots[k].body].stands[spots[k].stand]
    low = spots[k].low_mm[axis]
    high = low + stand.size_mm[axis]
    if owner != k:
        return (low, high)
    at, end = zone_axis(stand)
    if at != axis:
        return (low, high)
    return (high, high + stand.zone_mm) if end > 0 else (low - stand.zone_mm, low)


def _drawn_in(low: float, high: float, step_mm: float) -> tuple[float, float]:
    if step_mm <= 0.0:
        return (low, high)
    return (ceil(low / step_mm - 1e-6) * step_mm, floor(high / step_mm + 1e-6) * step_mm)


class _Programme:
    """The linear programme of one layout."""

    def __init__(self, layout: Layout, bodies: tuple[Body, ...], frame: Frame) -> None:
        self.layout, self.bodies, self.frame = layout, bodies, frame
        self.spots = layout.spots
        n, h = len(self.spots), len(frame.pockets)
        self.hung_at = 6 + 3 * n
        self.step = StepLines(frame.limit, self.hung_at + 3 * h) if isinstance(frame.limit, Stepped) else None
        self.extra = self.hung_at + 3 * h + (2 if self.step else 0)  # the offset to the side, then one share ahead per body
        self.width = self.extra + 1 + n
        self.rows = _Rows(self.width)
        self._inside()
        self._apart()
        if layout.level:
            self._level()
        self._hung()
        self.plain_rows = len(self.rows.limits)
        self._ahead()
        self._offset()

    def stand(self, k: int) -> Stand:
        return self.bodies[self.spots[k].body].stands[self.spots[k].stand]

    def _inside(self) -> None:
        t, side = self.frame.liner_mm, self.frame.side_mm
        for k in range(len(self.spots)):
            stand = self.stand(k)
            for axis in range(3):
                below, above = _reach(stand, axis)
                bottom, top = (t, 0.0) if axis == 2 else (side, side)
                self.rows.add({INSIDE_LOW + axis: 1.0, _low(k, axis): -1.0}, -(bottom + below))
                self.rows.add({_low(k, axis): 1.0, INSIDE_HIGH + axis: -1.0}, -(top + above + stand.size_mm[axis]))
            self._at_wall(k, stand)
            self._beside_step(k, stand)
        if self.step:
            for terms, limit in self.step.depths():
                self.rows.add(terms, limit)

    def _beside_step(self, k: int, stand: Stand) -> None:
        if self.step is None:
            return
        start = self.spots[k].low_mm
        reach = [_reach(stand, a) for a in range(3)]
        low = vec3([v - r[0] for v, r in zip(start, reach, strict=True)])
        high = vec3([v + s + r[1] for v, s, r in zip(start, stand.size_mm, reach, strict=True)])
        self.rows.add(*self.step.beside(start, low, high, _low(k, 0), self.frame.liner_mm))

    def _at_wall(self, k: int, stand: Stand) -> None:
        if not stand.wall:
            return
        axis, t = "xyz".index(stand.wall[1]), self.frame.side_mm
        reach = 0.0 if stand.fixed else WALL_REACH_MM
        if stand.wall[0] == "+":
            self.rows.add({INSIDE_HIGH + axis: 1.0, _low(k, axis): -1.0}, stand.size_mm[axis] + t + reach)
        else:
            self.rows.add({_low(k, axis): 1.0, INSIDE_LOW + axis: -1.0}, t + reach)

    def _apart(self) -> None:
        for a, b, axis, distance in _separations(self.spots, self.bodies):
            self.rows.add({_low(a, axis): 1.0, _low(b, axis): -1.0}, -(distance + self.stand(a).size_mm[axis]))

    def _level(self) -> None:
        modules = [k for k, s in enumerate(self.spots) if self.bodies[s.body].is_module]
        modules.sort(key=lambda k: self.spots[k].low_mm[2])
        for a, b in pairwise(modules):
            if self.spots[b].low_mm[2] - self.spots[a].low_mm[2] < SAME_LEVEL_MM:
                self.rows.add({_low(a, 2): 1.0, _low(b, 2): -1.0}, 0.0)
                self.rows.add({_low(a, 2): -1.0, _low(b, 2): 1.0}, 0.0)

    def _hung(self) -> None:
        for k, pocket in enumerate(self.frame.pockets):
            for hook in pocket.hooks():
                terms = {self.hung_at + 3 * k + hook.axis: hook.sign}
                bound = (INSIDE_HIGH if hook.high else INSIDE_LOW) + hook.axis
                terms[self.step.hook_variable(pocket, hook) if self.step else bound] = -hook.sign
                self.rows.add(terms, hook.limit_mm)

    def _ahead(self) -> None:
        """share_k <= 1 and <= (x + length ahead of the axle)/length, for bodies that are ahead at least in part."""
        origin, normal = self.frame.pose.origin_mm[0], self.frame.pose.matrix[0]
        for k in range(len(self.spots)):
            size = np.array(self.stand(k).size_mm)
            depth = float(np.abs(normal) @ size)
            # furthest point ahead = origin + normal.low + positive part of normal*size
            reach = origin + float(np.maximum(normal, 0.0) @ size)
            terms = {_low(k, a): -float(normal[a]) / depth for a in range(3) if abs(normal[a]) > 1e-12}
            self.rows.add({self.extra + 1 + k: 1.0, **terms}, reach / depth)

    def _offset(self) -> None:
        across = self.vehicle_terms(1)
        constant = self.vehicle_constant(1)
        for sign in (1.0, -1.0):
            terms = {k: sign * f for k, f in across.items()}
            terms[self.extra] = -1.0
            self.rows.add(terms, -sign * constant)

    def vehicle_terms(self, axis: int) -> dict[int, float]:
        """Factors of sum(mass * vehicle coordinate of the centroid) over the bodies and what hangs on the box."""
        factors = self.frame.pose.matrix[axis]
        used = [a for a in range(3) if abs(factors[a]) > 1e-12]
        terms = {_low(k, a): self.bodies[s.body].mass_kg * float(factors[a]) for k, s in enumerate(self.spots) for a in used}
        for k, pocket in enumerate(self.frame.pockets):
            terms |= {self.hung_at + 3 * k + a: pocket.kind.mass_kg * float(factors[a]) for a in used}
        return terms

    def vehicle_constant(self, axis: int) -> float:
        """The part of that sum that does not depend on the positions."""
        total = 0.0
        for k, s in enumerate(self.spots):
            stand = self.stand(k)
            middle = self.frame.pose.point(np.array(stand.size_mm) / 2.0 + np.array(stand.centroid_mm))
            total += self.bodies[s.body].mass_kg * float(middle[axis])
        for pocket in self.frame.pockets:
            total += pocket.kind.mass_kg * float(self.frame.pose.point(np.array(pocket.size_mm) / 2.0)[axis])
        return total

    def steps(self) -> tuple[float, ...]:
        """Steps in which positions may be sought.

        The coarsest of 1, 0.5 and 0.1 mm of which all distances are multiples; where there is none, 0.5 and 0.1 mm with
        distances rounded up, which may ask for more room than there is.
        """
        lengths = [abs(v) for v in self.rows.limits[: self.plain_rows]]
        for step in (1.0, 0.5, 0.1):
            if all(abs(v / step - round(v / step)) < 1e-6 for v in lengths):
                return (step,)
        return (0.5, 0.1)

    def limits(self, step_mm: float) -> list[float]:
        """Limits of the constraints; those between positions lowered to multiples of a step where one is given."""
        if step_mm <= 0.0:
            return list(self.rows.limits)
        plain = [floor(v / step_mm + 1e-6) * step_mm for v in self.rows.limits[: self.plain_rows]]
        return [*plain, *self.rows.limits[self.plain_rows :]]

    def bounds(self, step_mm: float) -> list[tuple[float | None, float | None]]:
        """Limits of the variables, drawn in to multiples of a step where one is given."""
        low, high = self.frame.limit.min_mm, self.frame.limit.max_mm
        inside = [_drawn_in(low[a], high[a], step_mm) for a in (0, 1, 2, 0, 1, 2)]
        for span in self.frame.faces:
            least, most = _drawn_in(span.low_mm, span.high_mm, step_mm)
            inside[span.face] = (max(inside[span.face][0], least), min(inside[span.face][1], most))
        out: list[tuple[float | None, float | None]] = list(inside)
        out += [(None, None)] * (3 * len(self.spots))
        for pocket in self.frame.pockets:
            ends = [(pocket.limit.min_mm[a], pocket.limit.max_mm[a] - pocket.size_mm[a]) for a in range(3)]
            out += [_drawn_in(a, b, step_mm) for a, b in ends]
        out += [_drawn_in(a, b, step_mm) for a, b in self.step.bounds()] if self.step else []
        return [*out, (0.0, None), *[(None, 1.0)] * len(self.spots)]

    def goal(self, wish: str) -> tuple[Array, float]:
        """Costs of the variables for a wish, and how much of it may be given up for the next."""
        cost = np.zeros(self.width)
        mass = sum(self.bodies[s.body].mass_kg for s in self.spots)
        if wish == "ahead_of_axle":
            for k, s in enumerate(self.spots):
                cost[self.extra + 1 + k] = -self.bodies[s.body].mass_kg
            return cost, TOLERANCE[wish] * mass / 2.0
        if wish == "low":
            for k, f in self.vehicle_terms(2).items():
                cost[k] = f
            return cost, TOLERANCE[wish] * mass / 2.0
        if wish == "centred":
            cost[self.extra] = 1.0
            return cost, TOLERANCE[wish] * mass / 2.0
        edges = np.array(self.layout.inside.size_mm)
        weights = np.sum(edges) - edges
        for a in range(3):
            cost[INSIDE_HIGH + a], cost[INSIDE_LOW + a] = weights[a], -weights[a]
        if self.step:
            self.step.size_costs(cost)
        return cost, 0.002 * float(weights @ edges)


def slide(
    layout: Layout, bodies: tuple[Body, ...], frame: Frame, order: tuple[str, ...], strict: bool = False
) -> Layout | None:
    """The layout moved and the box closed in, wish after wish in the given order; the box is made small in any case.

    strict: nothing of the first wish is given up for the others.

    Returns None where the relations cannot be held within the limits (the places were of a coarser model).
    """
    programme = _Programme(layout, bodies, frame)
    for step in (*programme.steps(), 0.0):
        found = _solved(layout, programme, order, strict, step)
        if found is not None:
            return found
    return None


def _solved(layout: Layout, programme: _Programme, order: tuple[str, ...], strict: bool, step_mm: float) -> Layout | None:
    """Solved wish after wish; where step_mm is above 0 all positions come out as its multiples."""
    matrix, bounds = programme.rows.matrix(), programme.bounds(step_mm)
    limits = programme.limits(step_mm)
    wishes = [w for w in order if w in TOLERANCE]
    solution: Array | None = None
    held: list[Array] = []
    for wish in [*wishes, *(w for w in ("small_box",) if w not in wishes), "compact"]:
        cost, slack = (_towards_wishes(programme), 0.0) if wish == "compact" else programme.goal(wish)
        slack = 0.0 if strict and solution is None else slack
        stacked = np.vstack([matrix, *held])
        if any(b[0] is not None and b[1] is not None and b[0] > b[1] for b in bounds):
            return None
        result = least(cost, stacked, limits, bounds)
        if result is None:
            break
        solution, value = result
        held.append(cost)
        limits.append(value + slack + 1e-6)
    if solution is None:
        return None
    return _layout(layout, programme, _stepped(programme, solution, step_mm))


def _stepped(programme: _Programme, solution: Array, step_mm: float) -> Array:
    """Positions rounded down to multiples of a step.

    All distances being multiples of it too, a least distance between two positions still holds after rounding both down.
    """
    if step_mm <= 0.0:
        return solution
    out = solution.copy()
    out[: programme.extra] = np.floor(out[: programme.extra] / step_mm + 1e-4) * step_mm
    return out


def _towards_wishes(programme: _Programme) -> Array:
    """Settles what the wishes leave open: the box as small as it can be, then everything low and forward."""
    cost = programme.goal("small_box")[0]
    scale = max(float(np.abs(cost).max()), 1.0)
    cost = cost / scale
    for k in range(len(programme.spots)):
        cost[_low(k, 2)] += 1e-4
        cost[_low(k, 0)] -= 1e-5
    return cost


def _layout(layout: Layout, programme: _Programme, x: Array) -> Layout:
    spots = tuple(Spot(s.body, s.stand, vec3(x[_low(k, 0) : _low(k, 0) + 3])) for k, s in enumerate(layout.spots))
    hung = tuple(
        vec3(x[programme.hung_at + 3 * k : programme.hung_at + 3 * k + 3]) for k in range(len(programme.frame.pockets))
    )
    inside = programme.step.inside(x) if programme.step else Extent(vec3(x[0:3]), vec3(x[3:6]))
    return Layout(spots, inside, hung)
