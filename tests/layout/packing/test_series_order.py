"""Order of connection: shortest, polarity respected."""

from __future__ import annotations

from itertools import pairwise, permutations
from typing import Any

import numpy as np
import pytest

from layout.arrangement import PlacedModule
from layout.frames import Pose, module_axes
from layout.job.module import ModuleType
from layout.packing.series import link_lengths, shortest_path, terminals_of, wire


def module(make: Any, name: str, at: tuple[float, float, float], looks: str = "+x", **more: Any) -> PlacedModule:
    kind = ModuleType.model_validate(make.slab | more)
    axes = module_axes("+z", "+x", looks)
    assert axes is not None
    return PlacedModule(name, kind, Pose(at, axes), "+z", looks)


def test_terminals_lie_on_the_terminal_face_a_quarter_of_the_width_out(make: Any) -> None:
    positive, negative = terminals_of(ModuleType.model_validate(make.slab))
    assert positive == (150.0, 30.0, 0.0)
    assert negative == (150.0, -30.0, 0.0)


def test_given_terminals_are_used(make: Any) -> None:
    kind = ModuleType.model_validate(make.slab | {"terminals": [[150, 10, 40], [150, 50, 40]]})
    assert terminals_of(kind) == ((150.0, 10.0, 40.0), (150.0, 50.0, 40.0))


def test_links_run_from_negative_to_positive(make: Any) -> None:
    # side by side, 124 mm apart in y: from the negative (y = -30) of the left one to the positive (y = +30) of the right one
    right, left = module(make, "right", (0, 0, 0)), module(make, "left", (0, 124, 0))
    lengths = link_lengths((right, left))
    assert lengths[1, 0] == pytest.approx(64.0)
    assert lengths[0, 1] == pytest.approx(184.0)
    wiring = wire((right, left), 2, 1)
    assert wiring is not None
    assert wiring.strings == (("left", "right"),)
    assert wiring.length_mm == pytest.approx(64.0)


@pytest.mark.parametrize("seed", range(6))
def test_path_is_the_shortest_of_all(seed: int) -> None:
    lengths = np.random.default_rng(seed).uniform(10.0, 500.0, (6, 6))
    best = min(sum(lengths[a, b] for a, b in pairwise(p)) for p in permutations(range(6)))
    path = shortest_path(lengths)
    assert sorted(path) == list(range(6))
    assert sum(lengths[a, b] for a, b in pairwise(path)) == pytest.approx(best)


def test_long_strings_in_a_row_are_connected_in_a_row(make: Any) -> None:
    rng = np.random.default_rng(3)
    order = rng.permutation(20)
    modules = tuple(module(make, f"M{k}", (0.0, 124.0 * k, 0.0)) for k in order)
    wiring = wire(modules, 20, 1)
    assert wiring is not None
    assert wiring.length_mm == pytest.approx(19 * 64.0)


def test_strings_and_too_few_modules(make: Any) -> None:
    modules = tuple(module(make, f"M{k}", (0.0, 124.0 * k, 0.0)) for k in range(6))
    wiring = wire(modules, 3, 2)
    assert wiring is not None
    assert [len(s) for s in wiring.strings] == [3, 3]
    assert len(wiring.links) == 4
    assert wire(modules, 4, 2) is None
