from typing import Any

import pytest

from layout.job.model import Job
from layout.job.vehicle import Vehicle


@pytest.fixture
def vehicle() -> Vehicle:
    """Round figures: loads in proportion to places are read off at once."""
    return Vehicle(
        reference_axle="front",
        wheelbase=2500,
        track=1400,
        front_axle_load=500,
        rear_axle_load=500,
        front_axle_rating=600,
        rear_axle_rating=700,
        gross_rating=1250,
        cg_height=500,
    )


@pytest.fixture
def job_tables() -> dict[str, Any]:
    """The tables of a small job, as a TOML reader gives them."""
    return {
        "job": {"title": "invented estate", "drawing_number": "INV-01"},
        "vehicle": {
            "reference_axle": "front",
            "wheelbase": 2500,
            "track": 1400,
            "front_axle_load": 500,
            "rear_axle_load": 500,
            "front_axle_rating": 650,
            "rear_axle_rating": 700,
            "cg_height": 500,
        },
        "removed": [
            {"name": "engine", "mass": "118 kg", "at": [-60, 0, 520]},
            {"name": "tank", "mass": "39 kg", "at": [-2150, 0, 380]},
        ],
        "added": [{"name": "motor", "mass": "58 kg", "at": [-210, 0, 430], "source": "catalogue"}],
        "bay": {
            "clearance": 10,
            "insert_from": ["+z"],
            "space": [{"outline": [[-300, -300], [300, -300], [300, 300], [-300, 300]], "z": [300, 800]}],
        },
        "mount_point": [{"name": "LH", "at": [300, 300, 300], "normal": "+z", "thread": "M10"}],
        "module": [
            {
                "name": "slab",
                "size": [392, 151, 108],
                "mass": 12.4,
                "terminal_face": "+x",
                "available": 10,
                "nominal_voltage": 22.2,
                "max_voltage": 25.2,
                "min_voltage": 18,
                "energy": 2.0,
            },
            {
                "name": "brick",
                "size": [200, 151, 108],
                "mass": 7.1,
                "terminal_face": "+x",
                "available": 3,
                "nominal_voltage": 11.1,
                "max_voltage": 12.6,
                "min_voltage": 9,
                "energy": 1.2,
            },
        ],
        "pack": {"count": 8, "series": 8, "voltage_window": [140, 210], "charger_power": 3.0},
        "box": {"construction": "welded", "material": "5083-H111", "sheet": 3},
        "bracket": {"material": "S275", "bolt_class": "8.8"},
        "crash": {"factors": {"forward": 20, "rearward": 10, "left": 15, "right": 15, "up": 10, "down": 10}},
    }


@pytest.fixture
def job(job_tables: dict[str, Any]) -> Job:
    """The small job, read."""
    return Job.model_validate(job_tables)
