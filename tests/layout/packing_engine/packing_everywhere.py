"""A second, slow and simple way to the optimum: every whole position, every clashing pair."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import combinations, product
from random import Random

from ortools.sat.python import cp_model

from layout.packing.engine import Box, Item, Option, Placement, Region


def meet(a: Box | None, b: Box | None) -> bool:
    return a is not None and b is not None and all(max(a[k], b[k]) < min(a[k + 3], b[k + 3]) for k in range(3))


def shifted(box: Sequence[int], at: Sequence[int]) -> Box:
    return tuple(box[k] + at[k % 3] for k in range(6))  # type: ignore[return-value]


def everywhere(region: Region, items: Sequence[Item]) -> list[tuple[Placement, Box, Box | None]]:
    found = []
    whole: Box = (0, 0, 0, *region.size)
    for i, item in enumerate(items):
        for o, option in enumerate(item.options):
            for at in product(*(range(max(region.size[k] - option.size[k] + 1, 0)) for k in range(3))):
                body = shifted((0, 0, 0, *option.size), at)
                zone = shifted(option.zone, at) if option.zone else None
                boxes = [body] if zone is None else [body, zone]
                inside = all(b[k] >= whole[k] and b[k + 3] <= whole[k + 3] for b in boxes for k in range(3))
                if inside and not any(meet(b, wall) for b in boxes for wall in region.blocked):
                    found.append((Placement(i, o, at), body, zone))
    return found


def optimum(
    region: Region, items: Sequence[Item], cost: Callable[[Placement], int] | None = None, seconds: float = 5.0
) -> int | None:
    """Greatest value, or least cost at the exact counts item.least == item.most; None when unsettled or impossible."""
    places = everywhere(region, items)
    model = cp_model.CpModel()
    use = [model.new_bool_var("") for _ in places]
    for n, m in combinations(range(len(places)), 2):
        (_, a, za), (_, b, zb) = places[n], places[m]
        if meet(a, b) or meet(za, b) or meet(a, zb):
            model.add_bool_or([use[n].negated(), use[m].negated()])
    for i, item in enumerate(items):
        chosen = sum(u for u, p in zip(use, places, strict=True) if p[0].item == i)
        model.add_linear_constraint(chosen, item.least, item.most)
    if cost is None:
        model.maximize(sum(items[p[0].item].value * u for u, p in zip(use, places, strict=True)))
    else:
        model.minimize(sum(cost(p[0]) * u for u, p in zip(use, places, strict=True)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = seconds
    return round(solver.objective_value) if solver.solve(model) == cp_model.OPTIMAL else None


def question(seed: int, zones: float = 0.6) -> tuple[Region, tuple[Item, ...]]:
    """A small random question: keep-outs, one or two types, limits, values, zones of all kinds."""
    rng = Random(seed)
    size = (rng.randint(3, 8), rng.randint(3, 7), rng.randint(2, 4))
    blocked = []
    for _ in range(rng.randint(0, 3)):
        low = [rng.randint(-1, s - 1) for s in size]
        blocked.append((*low, *(v + rng.randint(1, 3) for v in low)))
    items = []
    for n in range(rng.randint(1, 2)):
        edges = [rng.randint(1, 4) for _ in range(3)]
        options = []
        for _ in range(rng.randint(1, 3)):
            rng.shuffle(edges)
            options.append(Option((edges[0], edges[1], edges[2]), _zone(rng, edges) if rng.random() < zones else None))
        items.append(Item(str(n), tuple(options), rng.choice((2, 5, 50)), 0, rng.randint(1, 3)))
    return Region(size, tuple(blocked)), tuple(items)


def _zone(rng: Random, edges: Sequence[int]) -> Box:
    zone = [0, 0, 0, *edges]
    axis, depth = rng.randint(0, 2), rng.randint(1, 2)
    zone[axis], zone[axis + 3] = (edges[axis], edges[axis] + depth) if rng.random() < 0.5 else (-depth, 0)
    if rng.random() < 0.35:  # narrower or wider than the face, or off to a side
        side = rng.choice([k for k in range(3) if k != axis])
        zone[side] += rng.choice((-1, 0, 1))
        zone[side + 3] = max(zone[side + 3] + rng.choice((-1, 0, 1, 2)), zone[side] + 1)
    return tuple(zone)  # type: ignore[return-value]
