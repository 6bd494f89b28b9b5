import pytest

from layout.balance.figures import balance_figures
from layout.balance.items import MassItem
from layout.balance.problems import balance_table_problems
from layout.balance.whatif import swap
from layout.errors import JobError
from layout.job.model import Job
from layout.job.vehicle import AsWeighed


def problems_of(job):
    return balance_table_problems({name: getattr(job, name) for name in Job.model_fields})


def problems(tables, **changes):
    tables = dict(tables)
    for key, value in changes.items():
        tables[key] = {**tables[key], **value} if isinstance(value, dict) and key in tables else value
    return problems_of(Job.model_validate(tables))


def test_a_sound_job_has_none(job):
    assert problems_of(job) == []
    assert balance_table_problems({}) == []


def test_rating_below_what_the_axle_carries(job_tables):
    (found,) = problems(job_tables, vehicle={"rear_axle_rating": 480})
    assert found.path == "vehicle.rear_axle_rating"
    assert found.got == "480.0 kg"
    assert "500.0 kg" in found.want
    assert "20.0 kg less" in found.want


def test_gross_rating_below_kerb_weight(job_tables):
    (found,) = problems(job_tables, vehicle={"gross_rating": 950})
    assert found.path == "vehicle.gross_rating"
    assert "50.0 kg less" in found.want


def test_removed_masses_that_contradict_the_axle_loads(job_tables):
    heavy = [{"name": "engine", "mass": 510, "at": [0, 0, 500]}, {"name": "tank", "mass": 39, "at": [-2150, 0, 380]}]
    (found,) = problems(job_tables, removed=heavy)
    assert found.path == "removed"
    assert "515.5 kg on the front axle" in found.got
    assert "-15.5 kg would be left" in found.want
    assert "'engine'" in found.remedy
    (found,) = problems(job_tables, removed=[{"name": "all", "mass": 1100, "at": [-1250, 0, 500]}])
    assert "1000.0 kg" in found.want


def test_track_of_zero_and_track_exchanged_with_wheelbase(job_tables):
    with pytest.raises(ValueError, match="track"):
        problems(job_tables, vehicle={"track": 0})
    (found,) = problems(job_tables, vehicle={"track": 3400})
    assert found.path == "vehicle.track"
    assert "3000 mm" in found.want


def test_heights_that_put_the_rest_below_ground(job_tables):
    (found,) = problems(job_tables, removed=[{"name": "engine", "mass": 400, "at": [-1250, 0, 1400]}])
    assert found.path == "vehicle.cg_height"
    assert "-100 mm" in found.want


def test_corners_that_do_not_sum_to_the_axles(job_tables):
    corners = {"front_left": 250, "front_right": 262, "rear_left": 251, "rear_right": 249}
    (found,) = problems(job_tables, vehicle={"corner_loads": corners, "load_tolerance": 1})
    assert found.path == "vehicle.corner_loads"
    assert "12.0 kg" in found.want


def test_unsprung_mass_above_the_axle_load(job_tables):
    (found,) = problems(job_tables, suspension={"front": {"wheel_rate": 20, "unsprung": 520}})
    assert found.path == "suspension.front.unsprung"


def test_load_states_and_scale_readings(job_tables):
    state = {"name": "driver", "items": [{"name": "driver", "mass": 75, "at": [-1200, 300, 600]}]}
    scales = {"tolerance": 1, "front_axle": 600, "rear_axle": 450, "total": 1062, "load_state": "drivr"}
    found = problems(job_tables, load_state=[state, state], as_weighed=scales)
    assert [p.path for p in found] == ["load_state[2].name", "as_weighed.load_state", "as_weighed.total"]
    assert "Did you mean 'driver'" in found[1].remedy
    assert "12.0 kg" in found[2].want
    tables = {"as_weighed": AsWeighed(tolerance=1, front_axle=600, rear_axle=450, load_state="drivr")}
    assert balance_table_problems(tables) == []
    corners = {"front_left": 300, "front_right": 300, "rear_left": 225, "rear_right": 225}
    clash = problems(job_tables, load_state=[state], as_weighed={"tolerance": 1, "corners": corners, "rear_axle": 470})
    assert [p.path for p in clash] == ["as_weighed.rear_axle"]
    emptied = {"name": "empty", "items": [{"name": "it all", "mass": 1200, "at": [0, 0, 0], "taken_out": True}]}
    assert [p.path for p in problems(job_tables, load_state=[emptied], as_weighed={"tolerance": 1, "total": 1000})] == [
        "load_state[1].items"
    ]


def test_runs_that_cannot_be_bent(job_tables):
    run = {"name": "main", "points": [[0, 0, 0], [90, 0, 0], [90, 300, 0]], "diameter": 20, "bend_radius": 100}
    twice = {"name": "aux", "points": [[0, 0, 0], [0, 0, 0]], "diameter": 20, "bend_radius": 10}
    found = problems(job_tables, run=[run, twice])
    assert [p.path for p in found] == ["run[1].bend_radius", "run[2].points"]


def test_swap_to_another_module_type(job):
    assert [m.name for m in swap(job, "slab").modules] == ["slab"]
    with pytest.raises(JobError, match="3 are available"):
        swap(job, "brick")
    with pytest.raises(JobError, match="slab, brick"):
        swap(job, "cube")


def test_all_figures_of_a_conversion_in_one_value(job_tables):
    state = {"name": "driver", "items": [{"name": "driver", "mass": 75, "at": [-1200, 300, 600]}]}
    loom = {"name": "main cable", "points": [[0, 0, 500], [-1000, 0, 300]], "diameter": 20, "bend_radius": 80, "kg_per_m": 1.0}
    corners = {"front_left": 300, "front_right": 300, "rear_left": 240, "rear_right": 220}
    lifted = {"lifted_axle": "rear", "scale_axle": "front", "scale_load": 640, "angle": 12, "loaded_radius": 280}
    job = Job.model_validate(
        {
            **job_tables,
            "load_state": [state],
            "run": [loom],
            "suspension": {"front": {"wheel_rate": 18}},
            "wiring": {"continuous_power": 20},
            "cooling": [{"name": "controller", "heat": 0.4, "inlet_c": 40, "limit_c": 70, "flow_l_per_min": 6}],
            "as_weighed": {"tolerance": 1, "corners": corners, "load_state": "driver", "lifted": lifted},
        }
    )
    pack = [MassItem("pack", 120.0, (100.0, 0.0, 450.0))]
    found = balance_figures(job, pack, [job.modules[0]] * 8)
    assert found.pack.mass_kg == 120.0
    added = 120.0 + 58.0 + 1.0 * (1040000**0.5 / 1000.0)
    assert found.balance.added_kg == pytest.approx(added)
    assert sum(i.mass_kg for i in found.items) == pytest.approx(added)
    assert found.balance.removed_kg == pytest.approx(157.0)
    assert [r.name for r in found.states] == ["unladen", "driver"]
    assert found.ride.front is not None
    assert found.ride.rear is None
    assert found.links is not None
    assert [r.name for r in found.runs] == ["main cable"]
    assert found.heat[0].heat_w == pytest.approx(400.0)
    assert found.sigma.front_kg > found.sigma.rear_kg > 1.0
    assert found.weighed is not None
    assert found.height is not None
    assert found.height.predicted_mm == pytest.approx(found.states[1].after.standing.centroid_mm[2])
    alone = Job.model_validate(job_tables)
    bare = balance_figures(alone, pack, [job.modules[0]] * 8)
    assert bare.weighed is None
    assert bare.height is None
    assert bare.links is None
