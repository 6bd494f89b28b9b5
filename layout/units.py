"""Text with units -> numbers, and numbers -> text with units, in one place.

The parser is closed: a sign, one number (decimal, fraction or mixed number) and one unit of the field's kind; or feet
and inches; or pounds and ounces. Everything else is refused with a sentence that says what is wrong and what to write.

Factors: 1 in = 25.4 mm and 1 lb = 0.45359237 kg exactly (international yard and pound, 1959); g_n = 9.80665 m/s2
(3rd CGPM, 1901; ISO 80000-3); lbf and kgf are those masses times g_n. All from memory, each a definition.
"""

from __future__ import annotations

import difflib
import math
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final, Literal

System = Literal["mm", "in"]

G_N: Final = 9.80665
"""Standard gravity in m/s2."""
_G: Final = Fraction("9.80665")
_INCH: Final = Fraction("25.4")
_POUND: Final = Fraction("0.45359237")
_LBF: Final = _POUND * _G
_ONE_UNIT: Final = Fraction(1)
_THOUSAND: Final = Fraction(1000)
_THOUSANDTH: Final = Fraction(1, 1000)


@dataclass(frozen=True)
class Kind:
    """A kind of quantity. default: unit of a bare number in the file; units: factor of each unit to the base unit.

    base: unit of the value in the models. example: text to write instead of a refused value.
    """

    noun: str
    base: str
    default: str
    units: dict[str, Fraction]
    example: str


def _spelled(joined: tuple[tuple[str, str, Fraction], ...]) -> dict[str, Fraction]:
    """Every usual spelling of a product of two units: a*b, a-b, a b, ab where that is plain."""
    marks = {"*", "-", " "}
    table = {f"{a}{mark}{b}": factor for a, b, factor in joined for mark in marks}
    return table | {f"{a}{b}": factor for a, b, factor in joined if a in ("N", "kN")}


_FOOT_POUND: Final = _LBF * 12 * _INCH
_TORQUES: Final = _spelled(
    (
        *(("N", "m", _THOUSAND), ("N", "mm", _ONE_UNIT), ("kN", "m", _THOUSAND**2)),
        *(("ft", pound, _FOOT_POUND) for pound in ("lb", "lbs", "lbf")),
        *((pound, "ft", _FOOT_POUND) for pound in ("lb", "lbf")),
        *(("in", pound, _LBF * _INCH) for pound in ("lb", "lbs", "lbf")),
        *((pound, "in", _LBF * _INCH) for pound in ("lb", "lbf")),
    )
)
_LENGTHS: Final = {
    **{"mm": _ONE_UNIT, "cm": Fraction(10), "m": _THOUSAND, "thou": _INCH / 1000},
    **dict.fromkeys(("in", "inch", "inches", '"'), _INCH),
    **dict.fromkeys(("ft", "foot", "feet", "'"), 12 * _INCH),
}
_MASSES: Final = {
    **{"kg": _ONE_UNIT, "g": _THOUSANDTH, "t": _THOUSAND},
    **{"lb": _POUND, "lbs": _POUND, "oz": _POUND / 16},
}
_SIMPLE: Final = {"": _ONE_UNIT, "k": _THOUSAND, "m": _THOUSANDTH, "M": _THOUSAND**2}


def _with_prefixes(symbol: str, prefixes: str, base: Fraction = _ONE_UNIT) -> dict[str, Fraction]:
    """Factors of a unit and of the named prefixes of it."""
    return {prefix + symbol: _SIMPLE[prefix] * base for prefix in ("", *prefixes)}


_AREAS: Final = {f"{unit}{power}": _LENGTHS[unit] ** 2 for power in ("2", "^2") for unit in ("mm", "cm", "m", "in")}
_STRESSES: Final = {
    **{"MPa": _ONE_UNIT, "N/mm2": _ONE_UNIT, "N/mm^2": _ONE_UNIT, "GPa": _THOUSAND},
    **{"psi": _LBF / _INCH**2, "ksi": _THOUSAND * _LBF / _INCH**2},
}
_STIFFNESSES: Final = {
    **{"N/mm": _ONE_UNIT, "kN/mm": _THOUSAND, "N/m": _THOUSANDTH, "kN/m": _ONE_UNIT},
    **{"lbf/in": _LBF / _INCH, "lb/in": _LBF / _INCH},
}
_ANGLES: Final = {"deg": _ONE_UNIT, "°": _ONE_UNIT, "rad": Fraction(180.0 / math.pi)}
_ACCELERATIONS: Final = {"g": _ONE_UNIT, "g_n": _ONE_UNIT, "m/s2": 1 / _G, "m/s^2": 1 / _G}
_ENERGIES: Final = _with_prefixes("Wh", "kM", _THOUSANDTH) | {"kJ": Fraction(1, 3600), "MJ": Fraction(1000, 3600)}

KINDS: Final[dict[str, Kind]] = {
    "length": Kind("a length", "mm", "mm", _LENGTHS, '"420 mm" or "16.5 in"'),
    "mass": Kind("a mass", "kg", "kg", _MASSES, '"12.4 kg" or "39 lb"'),
    "force": Kind("a force", "N", "N", _with_prefixes("N", "k") | {"lbf": _LBF, "kgf": _G}, '"5 kN" or "1100 lbf"'),
    "torque": Kind("a torque", "N*mm", "N*m", _TORQUES, '"60 N*m" or "45 ft*lb"'),
    "voltage": Kind("a voltage", "V", "V", _with_prefixes("V", "km"), '"22.2 V"'),
    "energy": Kind("an energy", "kWh", "kWh", _ENERGIES, '"2.0 kWh"'),
    "power": Kind("a power", "kW", "kW", _with_prefixes("W", "kM", _THOUSANDTH), '"3.3 kW"'),
    "current": Kind("a current", "A", "A", _with_prefixes("A", "km"), '"350 A"'),
    "angle": Kind("an angle", "deg", "deg", _ANGLES, '"5 deg"'),
    "time": Kind("a time", "s", "ms", _with_prefixes("s", "m"), '"70 ms"'),
    "acceleration": Kind("an acceleration", "g", "g", _ACCELERATIONS, '"20 g" or "196 m/s2"'),
    "stiffness": Kind("a stiffness", "N/mm", "N/mm", _STIFFNESSES, '"28 N/mm" or "160 lbf/in"'),
    "area": Kind("an area", "mm2", "mm2", _AREAS, '"50 mm2"'),
    "stress": Kind("a stress", "MPa", "MPa", _STRESSES, '"275 MPa"'),
}

_NUMBER: Final = r"[0-9]+ +[0-9]+/[0-9]+|[0-9]+/[0-9]+|(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?"
_ONE: Final = re.compile(rf"([+-]?)\s*({_NUMBER})\s*([^0-9\s].*)?")
_PAIR: Final = re.compile(rf"([+-]?)\s*([0-9]+)\s*([^0-9\s]+)\s*({_NUMBER})\s*([^0-9\s]+)")
_PAIRS: Final = {
    "length": (("ft", "foot", "feet", "'"), ("in", "inch", "inches", '"'), 12),
    "mass": (("lb", "lbs"), ("oz",), 16),
}
_LOOKALIKES: Final = str.maketrans(
    {
        **{"′": "'", "’": "'", "″": '"', "”": '"', "·": "*", "⋅": "*", "×": "x", "−": "-", "\u00a0": " ", "\u202f": " "},
        **{"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8", "²": "^2"},
    }
)
_LONGEST: Final = 60
_LARGEST: Final = 10**15


def parse(value: Any, kind: str) -> float:
    """Number in the base unit of `kind` (see KINDS). A bare number takes the kind's default unit.

    Raises ValueError with one sentence that says what is wrong and what to write.
    """
    what = KINDS[kind]
    if isinstance(value, bool):
        raise ValueError(f"the value {str(value).lower()} is not {what.noun}; write {what.example}")
    if isinstance(value, int | float):
        return _from_number(value, what)
    if not isinstance(value, str):
        raise ValueError(f"a single value is needed here; write {what.example}")
    text = value.strip()
    _refuse_plain_mistakes(text, what)
    return _as_float(_parsed(text.translate(_LOOKALIKES).strip(), text, kind), text, what)


def _from_number(value: float, what: Kind) -> float:
    text = str(value)[:30]
    if isinstance(value, float) and not math.isfinite(value):
        raise ValueError(f"the value {text} is not a finite number; measure it and write {what.example}")
    return _as_float(Fraction(value) * what.units[what.default], text, what)


def _as_float(size: Fraction, text: str, what: Kind) -> float:
    """The float nearest to the exact value."""
    if abs(size) > _LARGEST:
        raise ValueError(f"'{text}' is larger than any real measure; write {what.example}")
    return float(size)


def _refuse_plain_mistakes(text: str, what: Kind) -> None:
    if not text:
        raise ValueError(f"the text is empty; write {what.example}")
    if len(text) > _LONGEST:
        raise ValueError(f"the text is too long for a measure; write one number and its unit, such as {what.example}")
    if "," in text:
        raise ValueError(
            f"'{text}' has a comma in it, and a comma can mean a decimal point or a group of thousands; write 7.5 or 7500"
        )
    if re.search(r"±|\+\s*/\s*-|\+-", text):
        raise ValueError(f"'{text}' holds a tolerance; write the measured value alone, such as {what.example}")
    if "**" in text or re.match(r"[^A-Za-z]*\^", text):
        raise ValueError(f"'{text}' holds a power, which is not worked out; write the number itself, such as {what.example}")
    if re.match(r"[+-]?\s*(nan|inf|infinity)\b", text, re.IGNORECASE):
        raise ValueError(f"'{text}' is not a finite number; measure it and write {what.example}")
    if re.search(r"[0-9]_", text):
        raise ValueError(f"'{text}' holds an underscore; write the digits without it")


def _parsed(text: str, given: str, kind: str) -> Fraction:
    what = KINDS[kind]
    pair = _PAIR.fullmatch(text)
    if pair and kind in _PAIRS and pair[3] in _PAIRS[kind][0] and pair[5] in _PAIRS[kind][1]:
        return _joined(pair, given, kind)
    one = _ONE.fullmatch(text)
    if one is None:
        raise ValueError(f"'{given}' does not begin with a number; write {what.example}")
    unit = re.sub(r"\s*\*\s*", "*", re.sub(r"\s+", " ", (one[3] or "").strip()))
    if not unit:
        raise ValueError(f"'{given}' has no unit; write the number without quotes for {what.default}, or {what.example}")
    if unit not in what.units:
        raise ValueError(_unit_trouble(unit, given, kind))
    return (-1 if one[1] == "-" else 1) * _number(one[2], given) * what.units[unit]


def _joined(pair: re.Match[str], given: str, kind: str) -> Fraction:
    units, limit = KINDS[kind].units, _PAIRS[kind][2]
    small = _number(pair[4], given)
    if small >= limit:
        raise ValueError(f"'{given}': the second part must be less than {limit}; measure again or write it in one unit")
    size = int(pair[2]) * units[pair[3]] + small * units[pair[5]]
    return -size if pair[1] == "-" else size


def _number(text: str, given: str) -> Fraction:
    if "/" not in text:
        return Fraction(text.rstrip("."))
    *whole, fraction = text.split()
    over, under = (int(part) for part in fraction.split("/"))
    if under == 0:
        raise ValueError(f"'{given}' divides by zero; write the fraction as read from the tape, such as 31 1/2")
    if whole and over >= under:
        raise ValueError(f"'{given}': the fraction after a whole number must be less than 1; write 31 1/2")
    return (int(whole[0]) if whole else 0) + Fraction(over, under)


def _unit_trouble(unit: str, given: str, kind: str) -> str:
    """Sentence about a unit that the kind does not have."""
    what = KINDS[kind]
    if re.search(r"[0-9]", unit) and not any(unit in other.units for other in KINDS.values()):
        return f"'{given}' holds more than one number; write one number and its unit, such as {what.example}"
    if unit == "mil":
        return f"'{given}': mil is read in more than one way; write thou for 0.001 in, or mm"
    if unit in ("hp", "PS", "bhp"):
        return f"'{given}': horsepower is of several sizes; write kW"
    others = [other.noun for name, other in KINDS.items() if name != kind and unit in other.units]
    if others:
        return f"'{unit}' measures {' or '.join(others)}, but {what.noun} is needed here; write {what.example}"
    near = difflib.get_close_matches(unit.lower(), {u.lower(): u for u in what.units}, n=1, cutoff=0.6)
    spelled = next((u for u in what.units if near and u.lower() == near[0]), None)
    if spelled:
        return f"'{unit}' is not a unit known here; did you mean '{spelled}'?"
    return f"'{unit}' is not a unit of {what.noun.split(' ', 1)[1]}; write {what.example}"


def pattern(kind: str, *, signed: bool = True) -> str:
    """Regular expression (ECMA 262 and Python alike) of the text that `parse` takes for a kind, for a JSON Schema.

    signed: whether a minus sign is taken. Tighter than the parser, which also takes a few look-alike letters.
    """
    number = _NUMBER
    units = "|".join(_escaped(unit) for unit in sorted(KINDS[kind].units, key=len, reverse=True))
    forms = [f"({number}) *({units})"]
    if kind in _PAIRS:
        large, small, _ = _PAIRS[kind]
        forms.append(f"[0-9]+ *({'|'.join(large)}) *({number}) *({'|'.join(small)})")
    return f"^ *{'[+-]' if signed else '[+]'}? *({'|'.join(forms)}) *$"


def _escaped(unit: str) -> str:
    return re.sub(r"([*^/.])", r"\\\1", unit).replace(r"\/", "/").replace(r"\*", r" *\* *")


@dataclass(frozen=True)
class Shown:
    """How a kind is printed in one system: unit, factor from the base unit, decimals."""

    unit: str
    factor: float
    decimals: int


_SHOWN: Final[dict[str, dict[str, Shown]]] = {
    "length": {"mm": Shown("mm", 1.0, 1), "in": Shown("in", float(1 / _INCH), 2)},
    "mass": {"mm": Shown("kg", 1.0, 1), "in": Shown("lb", float(1 / _POUND), 1)},
    "force": {"mm": Shown("N", 1.0, 0), "in": Shown("lbf", float(1 / _LBF), 0)},
    "torque": {"mm": Shown("N*m", 1e-3, 1), "in": Shown("ft*lb", float(1 / _FOOT_POUND), 1)},
    "stiffness": {"mm": Shown("N/mm", 1.0, 1), "in": Shown("lbf/in", float(_INCH / _LBF), 0)},
    "area": {"mm": Shown("mm2", 1.0, 0), "in": Shown("in2", float(1 / _INCH**2), 3)},
    "stress": {"mm": Shown("MPa", 1.0, 0), "in": Shown("ksi", float(_INCH**2 / _LBF / 1000), 1)},
}
_SAME_IN_BOTH: Final = {
    "voltage": Shown("V", 1.0, 1),
    "energy": Shown("kWh", 1.0, 1),
    "power": Shown("kW", 1.0, 1),
    "current": Shown("A", 1.0, 0),
    "angle": Shown("deg", 1.0, 1),
    "time": Shown("ms", 1e3, 0),
    "acceleration": Shown("g", 1.0, 1),
}


def shown_as(kind: str, system: System) -> Shown:
    """Unit, factor and decimals in which a kind is printed in a system: for the heads and columns of tables."""
    return _SAME_IN_BOTH[kind] if kind in _SAME_IN_BOTH else _SHOWN[kind][system]


def number(value: float, kind: str, system: System, decimals: int | None = None) -> str:
    """The bare figure of a value (in the kind's base unit) in a system's unit, without the unit."""
    way = shown_as(kind, system)
    text = f"{value * way.factor:.{way.decimals if decimals is None else decimals}f}"
    return text.removeprefix("-") if float(text) == 0.0 else text


def show(value: float, kind: str, system: System = "mm", decimals: int | None = None) -> str:
    """A value in the base unit as text: in the system's unit first, the other system's in brackets.

    decimals: of the first figure where the usual ones do not do; the bracket keeps its own.
    """
    first = f"{number(value, kind, system, decimals)} {shown_as(kind, system).unit}"
    if kind in _SAME_IN_BOTH:
        return first
    other: System = "in" if system == "mm" else "mm"
    return f"{first} ({number(value, kind, other)} {shown_as(kind, other).unit})"
