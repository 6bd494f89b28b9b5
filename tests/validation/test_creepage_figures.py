"""Creepage distances against IEC 60664-1:2007 Table F.4 as reproduced in a public catalogue of terminals (text seen)."""

from __future__ import annotations

import pytest

from layout.checks.creepage import creepage_check, creepage_mm
from layout.errors import DesignError


@pytest.mark.parametrize(
    ("volts", "published"), [(50, 1.9), (125, 2.4), (200, 3.2), (320, 5.0), (400, 6.3), (500, 8.0), (1000, 16.0)]
)
def test_pollution_degree_3_group_iii(volts: float, published: float) -> None:
    assert creepage_mm(volts) == published


def test_between_rows_the_higher_voltage_counts() -> None:
    assert creepage_mm(200.1) == creepage_mm(250.0) == 4.0
    assert not creepage_check("M1", 201.6, 7.9).holds
    assert creepage_check("M1", 201.6, 8.0).holds


def test_beyond_the_table_is_refused() -> None:
    with pytest.raises(DesignError, match="1000 V"):
        creepage_mm(1200.0)
