"""A job around any bay, for the tests of free space."""

import copy
from collections.abc import Callable
from typing import Any

import pytest

from layout.job.model import Job

BASE: dict[str, Any] = {
    "job": {"title": "test bay", "drawing_number": "T-1"},
    "vehicle": {
        "reference_axle": "front",
        "wheelbase": 2400,
        "track": 1300,
        "front_axle_load": 480,
        "rear_axle_load": 420,
        "front_axle_rating": 700,
        "rear_axle_rating": 800,
        "cg_height": 540,
    },
    "bay": {
        "clearance": 10,
        "insert_from": ["+z"],
        "space": [{"name": "main", "outline": [[0, 0], [600, 0], [600, 500], [0, 500]], "z": [0, 400]}],
    },
    "mount_point": [{"name": "far away", "at": [5000, 5000, 5000], "normal": "+z", "thread": "M10"}],
    "module": [
        {
            "name": "brick",
            "size": [200, 100, 80],
            "mass": 5,
            "up": ["+z", "+y"],
            "terminal_face": "+x",
            "terminal_clearance": 30,
            "gap": 4,
            "available": 3,
            "nominal_voltage": 22,
            "max_voltage": 25,
            "min_voltage": 18,
            "energy": 2,
        }
    ],
    "pack": {"count": 2, "series": 2, "voltage_window": [30, 60]},
    "box": {"construction": "welded", "material": "5083-H111", "sheet": 3, "liner": 2},
    "bracket": {"material": "S275", "bolt_class": "8.8"},
    "crash": {"factors": {"forward": 20, "rearward": 10, "left": 15, "right": 15, "up": 10, "down": 10}},
}


@pytest.fixture
def job_with() -> Callable[..., Job]:
    """Makes a job: keyword arguments replace entries of [bay], or whole tables given as table_<name>."""

    def make(**changes: Any) -> Job:
        tables = copy.deepcopy(BASE)
        for key, value in changes.items():
            if key.startswith("table_"):
                tables[key.removeprefix("table_")] = value
            else:
                tables["bay"][key] = value
        return Job.model_validate(tables)

    return make
