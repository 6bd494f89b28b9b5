"""Leg bolts, gussets and fillets go up where a check asks, down where mass is saved, and never to something weaker."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.brackets.design import Sizes
from layout.checks.rule import Check, Source
from layout.errors import DesignError
from layout.study.refining import GUSSETS_MM, MOST_STEPS, Chosen, Range, Tried, missed_target, refined
from layout.study.study import SizingStep

SOURCE = Source("test", "derived")
SHEETS = (5.0, 6.0, 8.0, 10.0, 12.0)


def check(name: str, part: str, use: float) -> Check:
    return Check(name, part, "c", use, 1.0, "-", SOURCE)


def pack(chosen: Chosen, bolts: float, plates: float, edges: float) -> Tried[None]:
    """A pack whose three kinds of check fall with bolt area and number, sheet squared (without gussets a sixth of the
    strength), and gusset thickness; mass with all of them.
    """
    d, s = float(chosen.leg_bolt[1:]), chosen.sizes
    bare = 1.0 if s.gusset_mm else 6.0
    checks = [
        check("bolt shear with tension", "X-R1-L3", bolts * 64.0 / d**2 * 2.0 / chosen.leg_rows),
        check("flange strip between gussets" if s.gusset_mm else "leg", "X-R1 at m", bare * plates * (8 / s.sheet_mm) ** 2),
    ]  # fmt: skip
    if s.gusset_mm:
        checks.append(check("free edge in compression", "X-R1 at m", edges * 6.0 / s.gusset_mm))
    mass = 100.0 + s.sheet_mm + 0.3 * s.gusset_mm + 0.05 * d * chosen.leg_rows
    return Tried(chosen, None, max(checks, key=lambda c: c.demand), mass)


def run(
    bolts: float, plates: float, edges: float, sheet: float = 8.0, target: float = 0.8
) -> tuple[Tried[None], Tried[None], tuple[SizingStep, ...]]:
    first = pack(Chosen("M8", Sizes(sheet)), bolts, plates, edges)
    best, steps = refined(first, Range(SHEETS, target), lambda c: pack(c, bolts, plates, edges))
    return first, best, steps


def test_larger_bolts_where_bolts_are_weakest() -> None:
    first, best, _ = run(1.1, 0.7, 0.7)
    assert best.chosen.leg_bolt == "M10"
    assert best.use <= 0.8 < first.use


def test_thicker_gussets_where_their_edges_are_weakest() -> None:
    _, best, _ = run(0.5, 0.7, 1.0)
    assert best.chosen.sizes.gusset_mm == 8.0


def test_more_bolts_where_the_largest_do_not_do() -> None:
    _, best, _ = run(2.5, 0.3, 0.3)
    assert (best.chosen.leg_bolt, best.chosen.leg_rows) == ("M12", 3)
    assert best.use <= 0.8


def test_no_gussets_where_the_sheet_holds_alone() -> None:
    _, best, steps = run(0.3, 0.1, 0.3)
    assert best.chosen.sizes.gusset_mm == 0.0
    assert best.use <= 0.8
    assert steps[-1].with_sizes.endswith("no gussets")


def test_steps_that_help_only_together_are_found() -> None:
    """Neither more bolts nor thicker sheet alone lowers the use: both together meet the target."""

    def attempt(chosen: Chosen) -> Tried[None]:
        both = chosen.leg_rows >= 3 and chosen.sizes.sheet_mm >= 12.0
        found = check("flange strip between gussets", "X-R1-L1", 0.7 if both else 1.5)
        return Tried(chosen, None, found, 100.0 + chosen.sizes.sheet_mm + chosen.leg_rows + chosen.sizes.gusset_mm)

    best, steps = refined(attempt(Chosen("M8", Sizes(8.0))), Range(SHEETS, 0.8), attempt)
    assert best.use <= 0.8
    assert (best.chosen.leg_rows, best.chosen.sizes.sheet_mm, best.chosen.sizes.gusset_mm) == (3, 12.0, 0.0)
    assert len(steps) <= MOST_STEPS


def test_the_strongest_that_can_be_made_where_the_thickest_sheet_cannot() -> None:
    def attempt(chosen: Chosen) -> Tried[None]:
        if chosen.sizes.sheet_mm > 8.0:
            raise DesignError("bracket", "the hole keeps clear of the bend", "3 mm", "none")
        both = chosen.leg_rows >= 3 and chosen.sizes.sheet_mm >= 8.0
        found = check("flange strip between gussets", "X-R1-L1", 0.7 if both else 1.5)
        return Tried(chosen, None, found, 100.0 + chosen.sizes.sheet_mm + chosen.leg_rows + chosen.sizes.gusset_mm)

    best, steps = refined(attempt(Chosen("M8", Sizes(6.0))), Range(SHEETS, 0.8), attempt)
    assert (best.use, best.chosen.leg_rows, best.chosen.sizes.sheet_mm) == (0.7, 3, 8.0)
    assert any(step.utilisation is None and step.value_mm == 12.0 for step in steps)


def test_thinner_gussets_where_mass_is_saved() -> None:
    first, best, _ = run(0.3, 0.75, 0.3)
    assert best.chosen.sizes.gusset_mm == 5.0  # none at all would be too weak
    assert best.mass_kg < first.mass_kg
    assert best.use <= 0.8


@settings(max_examples=150, deadline=None)
@given(st.floats(0.1, 4.0), st.floats(0.1, 4.0), st.floats(0.1, 4.0), st.sampled_from(SHEETS))
def test_never_weaker_where_the_target_is_missed_never_heavier_where_it_is_met(
    bolts: float, plates: float, edges: float, sheet: float
) -> None:
    first, best, steps = run(bolts, plates, edges, sheet)
    assert len(steps) <= MOST_STEPS
    if first.use > 0.8:
        assert best.use <= first.use + 1e-12
    else:
        assert best.use <= 0.8
        assert best.mass_kg <= first.mass_kg
    sizes = best.chosen.sizes
    assert sizes.gusset_mm in (0.0, *GUSSETS_MM)
    assert sizes.throat_mm <= 0.7 * min(sizes.sheet_mm, sizes.gusset_mm or sizes.sheet_mm) + 1e-9 or best is first


def test_a_size_that_cannot_be_made_is_passed_over() -> None:
    def attempt(chosen: Chosen) -> Tried[None]:
        raise DesignError("bracket", "no room", f"{chosen}", "none")

    first = pack(Chosen("M8", Sizes(8.0)), 2.0, 0.5, 0.5)
    best, steps = refined(first, Range(SHEETS, 0.8), attempt)
    assert best is first
    assert {s.utilisation for s in steps} == {None}
    assert not any(s.taken for s in steps)
    assert all("no room" in s.driver for s in steps)


def test_the_jobs_own_sheet_stays() -> None:
    first = pack(Chosen("M8", Sizes(8.0)), 0.3, 1.5, 0.3)
    best, _ = refined(first, Range((8.0,), 0.8), lambda c: pack(c, 0.3, 1.5, 0.3))
    assert best.chosen.sizes.sheet_mm == pytest.approx(8.0)


def test_a_target_that_no_size_meets_is_said() -> None:
    """The last sizes taken count: of brackets those of the last step, of other parts each its own."""
    steps = (
        SizingStep("mounting bar width", 100.0, 1.2, "bar", 9.0, False),
        SizingStep("mounting bar width", 120.0, 0.9, "bar bent", 9.0, True),
        SizingStep("posts, least width", 40.0, 0.3, "post", 9.0, True),
        SizingStep("bracket sheet", 8.0, 1.4, "strip", 9.0, True),
        SizingStep("rows of leg bolts", 3.0, 0.7, "strip", 9.0, True),
    )
    (said,) = missed_target(steps, 0.8)
    assert "mounting bar width" in said
    assert "0.90: bar bent" in said
    assert len(missed_target(steps[:-1], 0.8)) == 2
    assert missed_target(steps, 0.95) == ()
