"""Leg bolts, gussets and fillets go up where a check asks, down where mass is saved, and never to something weaker."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.brackets.design import Sizes
from layout.checks.rule import Check, Source
from layout.errors import DesignError
from layout.study.refining import GUSSETS_MM, MOST_STEPS, Chosen, Range, Tried, refined

SOURCE = Source("test", "derived")
SHEETS = (5.0, 6.0, 8.0, 10.0, 12.0)


def check(name: str, part: str, use: float) -> Check:
    return Check(name, part, "c", use, 1.0, "-", SOURCE)


def pack(chosen: Chosen, bolts: float, plates: float, edges: float) -> Tried[None]:
    """A pack whose three kinds of check fall with bolt area, sheet squared, and gusset thickness; mass with all of them."""
    d, s = float(chosen.leg_bolt[1:]), chosen.sizes
    checks = [
        check("bolt shear with tension", "X-R1-L3", bolts * 64.0 / d**2),
        check("flange strip between gussets", "X-R1 at m", plates * 64.0 / s.sheet_mm**2),
        check("free edge in compression", "X-R1 at m", edges * 6.0 / s.gusset_mm),
    ]  # fmt: skip
    mass = 100.0 + s.sheet_mm + 0.3 * s.gusset_mm + 0.05 * d
    return Tried(chosen, None, max(checks, key=lambda c: c.demand), mass)


def run(
    bolts: float, plates: float, edges: float, sheet: float = 8.0, target: float = 0.8
) -> tuple[Tried[None], Tried[None], int]:
    first = pack(Chosen("M8", Sizes(sheet)), bolts, plates, edges)
    best, steps = refined(first, Range(SHEETS, target), lambda c: pack(c, bolts, plates, edges))
    return first, best, len(steps)


def test_larger_bolts_where_bolts_are_weakest() -> None:
    first, best, _ = run(1.1, 0.7, 0.7)
    assert best.chosen.leg_bolt == "M10"
    assert best.use <= 0.8 < first.use


def test_thicker_gussets_where_their_edges_are_weakest() -> None:
    _, best, _ = run(0.5, 0.7, 1.0)
    assert best.chosen.sizes.gusset_mm == 8.0


def test_thinner_gussets_where_mass_is_saved() -> None:
    first, best, _ = run(0.3, 0.75, 0.3)
    assert best.chosen.sizes.gusset_mm == 5.0
    assert best.mass_kg < first.mass_kg
    assert best.use <= 0.8


@settings(max_examples=150, deadline=None)
@given(st.floats(0.1, 4.0), st.floats(0.1, 4.0), st.floats(0.1, 4.0), st.sampled_from(SHEETS))
def test_never_weaker_where_the_target_is_missed_never_heavier_where_it_is_met(
    bolts: float, plates: float, edges: float, sheet: float
) -> None:
    first, best, steps = run(bolts, plates, edges, sheet)
    assert steps <= MOST_STEPS
    if first.use > 0.8:
        assert best.use <= first.use + 1e-12
    else:
        assert best.use <= 0.8
        assert best.mass_kg <= first.mass_kg
    assert best.chosen.sizes.gusset_mm in GUSSETS_MM
    assert (
        best.chosen.sizes.throat_mm <= 0.7 * min(best.chosen.sizes.sheet_mm, best.chosen.sizes.gusset_mm) + 1e-9
        or best is first
    )


def test_a_size_that_cannot_be_made_is_passed_over() -> None:
    def attempt(chosen: Chosen) -> Tried[None]:
        raise DesignError("bracket", "no room", f"{chosen}", "none")

    first = pack(Chosen("M8", Sizes(8.0)), 2.0, 0.5, 0.5)
    best, steps = refined(first, Range(SHEETS, 0.8), attempt)
    assert best is first
    assert steps == ()


def test_the_jobs_own_sheet_stays() -> None:
    first = pack(Chosen("M8", Sizes(8.0)), 0.3, 1.5, 0.3)
    best, _ = refined(first, Range((8.0,), 0.8), lambda c: pack(c, 0.3, 1.5, 0.3))
    assert best.chosen.sizes.sheet_mm == pytest.approx(8.0)
