"""Invariants of the unit parser over generated texts."""

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.units import KINDS, number, parse, pattern, shown_as

KIND = st.sampled_from(sorted(KINDS))
MARKS = "0123456789.,/ +-*^eE'\"°±inmftkgNlbozVWhAsrad²½_x()[]"
MESSY = st.text(MARKS, max_size=24)
INCH, FOOT = 25.4, 304.8


def accepted(text: object, kind: str) -> float | None:
    try:
        return parse(text, kind)
    except ValueError:
        return None


@given(MESSY, KIND)
def test_messy_text_gives_a_finite_number_or_a_clear_refusal(text: str, kind: str) -> None:
    value = accepted(text, kind)
    assert value is None or math.isfinite(value)


@given(st.text(max_size=70), KIND)
def test_any_text_whatever_never_fails_otherwise(text: str, kind: str) -> None:
    value = accepted(text, kind)
    assert value is None or re.search("[0-9½¼¾⅛⅜⅝⅞]", text)


@given(MESSY, MESSY, KIND)
def test_a_comma_is_never_accepted(before: str, after: str, kind: str) -> None:
    assert accepted(f"{before},{after}", kind) is None


@given(st.sampled_from(["7,5 {}", "1,250 {}", "7 1/2, {}", "12{},", ",5 {}"]), KIND, st.data())
def test_a_comma_beside_a_true_unit_is_never_accepted(form: str, kind: str, data: st.DataObject) -> None:
    unit = data.draw(st.sampled_from(sorted(KINDS[kind].units)))
    assert accepted(form.format(unit), kind) is None


@given(KIND, KIND, st.data())
def test_the_dimension_never_changes(own: str, other: str, data: st.DataObject) -> None:
    unit = data.draw(st.sampled_from(sorted(KINDS[own].units)))
    value = accepted(f"3 {unit}", other)
    assert (value is not None) == (unit in KINDS[other].units)


@given(st.integers(0, 4000), st.integers(1, 63), st.sampled_from([2, 4, 8, 16, 32, 64]), st.booleans())
def test_fractions_of_an_inch(whole: int, over: int, under: int, negative: bool) -> None:
    sign = "-" if negative else ""
    value = accepted(f"{sign}{whole} {over}/{under} in", "length")
    if over >= under:
        assert value is None
    else:
        assert value == pytest.approx((-1 if negative else 1) * (whole + over / under) * INCH, rel=1e-14)


@given(st.integers(0, 40), st.integers(0, 11), st.integers(1, 15), st.sampled_from(["{} ft {} {}/16 in", "{}' {} {}/16\""]))
def test_feet_and_inches(feet: int, inches: int, sixteenths: int, form: str) -> None:
    expected = feet * FOOT + (inches + sixteenths / 16) * INCH
    assert parse(form.format(feet, inches, sixteenths), "length") == pytest.approx(expected, rel=1e-14)


@given(st.floats(-1e6, 1e6), KIND, st.sampled_from(["mm", "in"]))
def test_what_is_printed_is_read_back(value: float, kind: str, system: str) -> None:
    way = shown_as(kind, system)  # type: ignore[arg-type]
    text = f"{number(value, kind, system)} {way.unit}"  # type: ignore[arg-type]
    half_a_digit = 0.5 * 10.0**-way.decimals / way.factor
    assert parse(text, kind) == pytest.approx(value, abs=half_a_digit * (1 + 1e-6) + 1e-9 * abs(value))


@given(st.floats(allow_nan=True, allow_infinity=True), KIND)
def test_bare_numbers_are_scaled_or_refused(value: float, kind: str) -> None:
    what = KINDS[kind]
    scale = float(what.units[what.default])
    read = accepted(value, kind)
    if math.isfinite(value) and abs(value * scale) < 1e14:
        assert read == pytest.approx(value * scale, rel=1e-15, abs=5e-324)
    if not math.isfinite(value):
        assert read is None


@given(
    MESSY | st.builds("{} {}".format, st.decimals(0, 9999, places=2), st.sampled_from(["mm", "in", "kg", "lb", "N*m", "V"])),
    KIND,
)
def test_schema_pattern_and_parser_agree(text: str, kind: str) -> None:
    plain = not re.search("[^ -~°]", text)
    fits = re.search(pattern(kind), text) is not None
    value = accepted(text, kind)
    if fits:
        assert value is not None or re.search(r"/0|[0-9] +[0-9]+/|[0-9]e[+-]?[0-9]|ft|'|lb|oz", text, re.IGNORECASE)
    elif plain and text == text.strip():
        assert value is None


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_schema_pattern_refuses_commas_and_other_kinds(kind: str) -> None:
    form = re.compile(pattern(kind))
    units = KINDS[kind].units
    assert all(form.search(f"12.5 {unit}") and form.search(f"-3 1/2 {unit}") for unit in units)
    assert not any(form.search(f"7,5 {unit}") for unit in units)
    assert not re.search(pattern(kind, signed=False), f"-3 {next(iter(units))}")
    foreign = {unit for other in KINDS.values() for unit in other.units} - set(units)
    assert not any(form.search(f"3 {unit}") for unit in foreign)
