"""Text with units: what is read, what is refused, and how values are printed."""

import math
from fractions import Fraction

import pytest

from layout import units
from layout.units import KINDS, parse, show


@pytest.mark.parametrize(
    ("text", "kind", "expected"),
    [
        ("16.5 in", "length", 419.1),
        ("31 1/2 in", "length", 800.1),
        ("7 1/2 in", "length", 190.5),
        ("3/4 in", "length", 19.05),
        ("5 ft 3 in", "length", 1600.2),
        ("5' 3\"", "length", 1600.2),
        ("5′ 3 1/2″", "length", 1612.9),
        ("-5 ft 3 in", "length", -1600.2),
        ("- 31 1/2 in", "length", -800.1),
        ("31½ in", "length", 800.1),
        ("420 mm", "length", 420.0),
        ("  420   mm ", "length", 420.0),
        ("42cm", "length", 420.0),
        ("12. mm", "length", 12.0),
        (".5 in", "length", 12.7),
        ("1e3 mm", "length", 1000.0),
        ("250 thou", "length", 6.35),
        ("39 lb", "mass", 39 * 0.45359237),
        ("3 lb 4 oz", "mass", 3.25 * 0.45359237),
        ("850 g", "mass", 0.85),
        ("20 g", "acceleration", 20.0),
        ("9.80665 m/s2", "acceleration", 1.0),
        ("9.80665 m/s²", "acceleration", 1.0),
        ("120 Nm", "torque", 120_000.0),
        ("60 N*m", "torque", 60_000.0),
        ("60 N · m", "torque", 60_000.0),
        ("500 N*mm", "torque", 500.0),
        ("70 ms", "time", 0.07),
        ("0.07 s", "time", 0.07),
        ("3300 W", "power", 3.3),
        ("2000 Wh", "energy", 2.0),
        ("7.2 MJ", "energy", 2.0),
        ("0.5 rad", "angle", math.degrees(0.5)),
        ("50 mm2", "area", 50.0),
        ("28 kN/m", "stiffness", 28.0),
    ],
)
def test_text_is_read(text: str, kind: str, expected: float) -> None:
    assert parse(text, kind) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kind", "expected", "rel"),
    [
        ("88 ft-lb", "torque", 88 * 1.355818e3, 1e-6),
        ("45 ft*lb", "torque", 45 * 1.355818e3, 1e-6),
        ("45 lbf ft", "torque", 45 * 1.355818e3, 1e-6),
        ("10 in-lb", "torque", 10 * 1.129848e2, 1e-6),
        ("1 lbf", "force", 4.448222, 1e-6),
        ("1 lbf/in", "stiffness", 0.1751268, 1e-6),
        ("1 ksi", "stress", 6.894757, 1e-6),
        ("1 oz", "mass", 2.834952e-2, 1e-6),
        ("1 kgf", "force", 9.80665, 1e-12),
    ],
)
def test_factors_agree_with_published_ones(text: str, kind: str, expected: float, rel: float) -> None:
    """Factors to seven figures as in NIST Special Publication 811 (2008), Appendix B.8 (from memory)."""
    assert parse(text, kind) == pytest.approx(expected, rel=rel)


def test_lengths_from_the_tape_are_exact() -> None:
    assert parse("5 ft 3 in", "length") == 1600.2
    assert parse("31 1/2 in", "length") == 800.1
    assert all(parse(f"{n}/64 in", "length") == float(Fraction(n, 64) * Fraction(254, 10)) for n in range(1, 64))


@pytest.mark.parametrize(
    ("number", "kind", "expected"),
    [(420, "length", 420.0), (12.4, "mass", 12.4), (60, "torque", 60_000.0), (70, "time", 0.07), (20, "acceleration", 20.0)],
)
def test_bare_numbers_take_the_default_unit(number: float, kind: str, expected: float) -> None:
    assert parse(number, kind) == expected


def test_negative_zero_is_plain_zero() -> None:
    assert math.copysign(1.0, parse("-0 mm", "length")) == 1.0


@pytest.mark.parametrize(
    ("value", "kind", "said"),
    [
        ("7,5 mm", "length", "comma"),
        ("1,250 mm", "length", "comma"),
        ("[1,2] mm", "length", "comma"),
        ("25 mm ± 1", "length", "tolerance"),
        ("25 +/- 1 mm", "length", "tolerance"),
        ("9**9**7 mm", "length", "power"),
        ("2^8 mm", "length", "power"),
        ("nan mm", "length", "not a finite number"),
        ("-inf", "length", "not a finite number"),
        ("infinity mm", "length", "not a finite number"),
        ("1e400 mm", "length", "larger than any real measure"),
        ("1e999999999 mm", "length", "one number"),
        (math.nan, "length", "not a finite number"),
        (-math.inf, "mass", "not a finite number"),
        (10**400, "length", "larger than any real measure"),
        ("39 lb", "torque", "measures a mass, but a torque is needed"),
        ("39 lb", "force", "measures a mass, but a force is needed"),
        ("60 N*m", "length", "measures a torque, but a length is needed"),
        ("25 mm^2", "length", "measures an area, but a length is needed"),
        ("12 V", "energy", "measures a voltage, but an energy is needed"),
        ("40 mil", "length", "write thou"),
        ("10 20 mm", "length", "'10 20 mm'"),
        ("10-20 mm", "length", "more than one number"),
        ("10 x 20 mm", "length", "more than one number"),
        ("3 mm 4", "length", "more than one number"),
        ("5 ft 3 ft", "length", "more than one number"),
        ("5.5 ft 3 in", "length", "more than one number"),
        ("3 in 5 ft", "length", "more than one number"),
        ("5 ft -3 in", "length", "'5 ft -3 in'"),
        ("5 ft 13 in", "length", "less than 12"),
        ("3 lb 16 oz", "mass", "less than 16"),
        ("31 5/2 in", "length", "less than 1"),
        ("7 1/0 in", "length", "divides by zero"),
        ("1/2/3 in", "length", "more than one number"),
        ("1_000 mm", "length", "underscore"),
        ("", "length", "empty"),
        ("   ", "length", "empty"),
        ("420", "length", "no unit"),
        ("mm", "length", "begin with a number"),
        ("about 20 mm", "length", "begin with a number"),
        ("5 KG", "mass", "did you mean 'kg'"),
        ("5 bananas", "mass", "not a unit of mass"),
        ("3 hp", "power", "write kW"),
        ("٣ mm", "length", "begin with a number"),
        ("1 mm" + " " * 80 + "x", "length", "too long"),
        (True, "length", "the value true"),
        (None, "length", "single value"),
        ([1, 2], "length", "single value"),
        ({"mm": 1}, "length", "single value"),
    ],
)
def test_refused(value: object, kind: str, said: str) -> None:
    with pytest.raises(ValueError, match=r"\w") as trouble:
        parse(value, kind)
    assert said in str(trouble.value)


def test_refusals_say_what_to_write_in_one_line() -> None:
    for kind, what in KINDS.items():
        with pytest.raises(ValueError, match=r"\w") as trouble:
            parse("5 bananas", kind)
        assert what.example in str(trouble.value)
        assert "\n" not in str(trouble.value)


def test_examples_in_messages_are_themselves_read() -> None:
    for kind, what in KINDS.items():
        for example in what.example.split(" or "):
            assert parse(example.strip('"'), kind) > 0.0


@pytest.mark.parametrize(
    ("value", "kind", "system", "expected"),
    [
        (419.1, "length", "in", "16.50 in (419.1 mm)"),
        (419.1, "length", "mm", "419.1 mm (16.50 in)"),
        (12.4, "mass", "in", "27.3 lb (12.4 kg)"),
        (12.4, "mass", "mm", "12.4 kg (27.3 lb)"),
        (60_000.0, "torque", "mm", "60.0 N*m (44.3 ft*lb)"),
        (22.2, "voltage", "in", "22.2 V"),
        (0.07, "time", "mm", "70 ms"),
        (-0.001, "length", "mm", "0.0 mm (0.00 in)"),
    ],
)
def test_show(value: float, kind: str, system: units.System, expected: str) -> None:
    assert show(value, kind, system) == expected


def test_show_with_other_decimals() -> None:
    assert show(419.123, "length", "in", 3) == "16.501 in (419.1 mm)"


def test_every_kind_can_be_shown_in_both_systems() -> None:
    for kind in KINDS:
        for system in ("mm", "in"):
            first = show(123_456.0, kind, system).partition(" (")[0]
            assert parse(first, kind) == pytest.approx(123_456.0, rel=1e-2)
