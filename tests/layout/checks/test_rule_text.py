import copy
import dataclasses
import math
import pickle

import numpy as np
import pytest

from layout.checks import (
    Check,
    Rule,
    Source,
    bars,
    beams,
    bolt_rules,
    box_column,
    brackets,
    buckling,
    fixings,
    gussets,
    held,
    not_checked,
    plates,
    prying,
    saddles,
    threads,
    upright_sheets,
    welds,
)

OWN = Source("own", "derived")
RULE = Rule("rod", "F / A", "min(f, g) / gamma", "MPa", OWN, {
    "F": ("N", "force"), "A": ("mm2", "area"), "f": ("MPa", "one limit"), "g": ("MPa", "other limit"), "gamma": ("-", "factor"),
})  # fmt: skip
VALUES = {"F": 1000.0, "A": 20.0, "f": 200.0, "g": 100.0, "gamma": 1.25}


def test_text_is_what_is_evaluated():
    check = RULE.check("P1", "forward", **VALUES)
    assert (check.demand, check.capacity, check.utilisation) == (50.0, 80.0, 0.625)
    assert (check.demand_formula, check.capacity_formula) == ("F / A", "min(f, g) / gamma")
    assert [q.symbol for q in check.inputs] == ["F", "A", "f", "g", "gamma"]
    assert [q.value for q in check.inputs] == list(VALUES.values())
    assert check.inputs[1].unit == "mm2"
    assert RULE.figures(**VALUES) == (50.0, 80.0)


def test_a_check_is_a_whole_value():
    check = RULE.check("P1", "forward", "note", **VALUES)
    assert check == RULE.check("P1", "forward", "note", **VALUES)
    assert dataclasses.replace(check, note="other").inputs == check.inputs
    assert dataclasses.asdict(RULE.check("P1", "forward", **VALUES))["inputs"][0]["symbol"] == "F"
    assert pickle.loads(pickle.dumps(RULE.check("P1", "forward", "note", **VALUES))) == check
    assert copy.deepcopy(check) == check
    with pytest.raises(AttributeError):
        _ = check.utilization  # type: ignore[attr-defined]
    with pytest.raises(dataclasses.FrozenInstanceError):
        check.demand = 1.0  # type: ignore[misc]


def test_missing_and_unexplained_symbols_are_errors():
    with pytest.raises(TypeError):
        RULE.check("P1", "forward", F=1.0)
    with pytest.raises(ValueError, match="does not explain"):
        Rule("odd", "F / A", "f", "MPa", OWN, {"F": ("N", "force")})


@pytest.mark.parametrize("symbol", list(VALUES))
def test_not_a_number_never_holds(symbol):
    values = {**VALUES, symbol: math.nan}
    assert not RULE.check("P1", "forward", **values).holds
    assert not RULE.utilisations(**values) <= 1.0


def test_no_capacity_never_holds_and_no_demand_uses_nothing():
    assert Check("n", "p", "c", 1.0, 0.0, "N", OWN).utilisation == math.inf
    assert Check("n", "p", "c", 1.0, -5.0, "N", OWN).utilisation == math.inf
    assert Check("n", "p", "c", 0.0, 0.0, "N", OWN).utilisation == 0.0
    missing = not_checked("n", "p", "c", "why")
    assert missing.utilisation is None
    assert not missing.holds


def test_arrays_agree_with_single_values():
    force, limit = np.array([0.0, 10.0, 1000.0, 5000.0, -20.0]), np.array([[200.0], [-1.0], [0.0], [50.0]])
    many = RULE.utilisations(**{**VALUES, "F": force, "g": limit})
    for i, g in enumerate(limit[:, 0]):
        for j, f in enumerate(force):
            one = RULE.check("P1", "c", **{**VALUES, "F": float(f), "g": float(g)}).utilisation
            assert many[i, j] == pytest.approx(one) or (many[i, j] == one == math.inf)


def test_every_rule_of_the_product_is_explained_and_sourced():
    modules = (bars, beams, bolt_rules, brackets, buckling, fixings, gussets, held, plates, prying, saddles)
    modules = (*modules, box_column, threads, upright_sheets, welds)
    rules = {id(r): r for m in modules for r in vars(m).values() if isinstance(r, Rule)}
    assert len(rules) > 35
    for rule in rules.values():
        assert rule.source.text
        assert all(meaning and unit for unit, meaning in rule.symbols.values())
        text = f"{rule.demand} {rule.capacity}"
        assert all(symbol in text for symbol in rule.symbols), rule.name
