"""Each rule of physical sense, broken one at a time on a job that is otherwise sound."""

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.errors import Problem
from layout.job.bay import Space
from layout.job.read import parse_job
from layout.job.sense import RULES, cautions, sense_problems
from layout.job.sense.modules import DENSITY_KG_PER_L
from layout.job.sense.outlines import distance_mm, outline_problems, taper_problems

Spoil = Callable[..., str]
Problems = Callable[..., list[Problem]]

LOWER = "outline = [[-330, -345], [395, -345], [395, 345], [-330, 345]]"
SERVO = "prism = { outline = [[-430, 120], [-260, 120], [-260, 360], [-430, 360]], z = [560, 760] }"
SHAFT = 'cylinder = { from = [-430, 285, 610], to = [120, 330, 400], diameter = "38 mm" }'
LID_BOLT = 'lid_bolt = "M5"'
MOTOR = "box = { min = [-430, -170, 330], max = [-250, 170, 600] }"
PULSE = 'pulse = { shape = "half sine", peak = "20 g", duration = "70 ms", direction = "forward" }'
FACTORS = "factors = { forward = 20, rearward = 10, left = 15, right = 15, up = 10, down = 10 }"
TAPER = "outline_above = [[395, 345], [-330, 345], [-330, -345], [395, -345]]"
CROSSED = SERVO.replace("[-260, 120], [-260, 360]", "[-260, 360], [-260, 120]")
BACKWARDS = 'pulse = { shape = "points", points = [[0, 0], [9, 5], [8, 0]], direction = "up" }'


@pytest.mark.parametrize(
    ("old", "new", "path", "said"),
    [
        # vehicle
        ('wheelbase = "2390 mm"', 'wheelbase = "239 mm"', "vehicle.wheelbase", "500 mm"),
        ('cg_height = "540 mm"', "cg_height = 5400", "vehicle.cg_height", "2.5 m"),
        ('front_axle_rating = "640 kg"', 'front_axle_rating = "460 kg"', "vehicle.front_axle_rating", "468.0 kg"),
        ('rear_axle_rating = "780 kg"', 'rear_axle_rating = "780 lb"', "vehicle.rear_axle_rating", "402.0 kg"),
        ('cg_height = "540 mm"', "cg_height = 540\ngross_rating = 800", "vehicle.gross_rating", "870.0 kg"),
        ('cg_height = "540 mm"', "cg_height = 540\nfront_end_x = -700", "vehicle.front_end_x", "ahead of the front axle"),
        ('cg_height = "540 mm"', "cg_height = 540\nrear_end_x = -700", "vehicle.rear_end_x", "behind the rear axle"),
        ('mass = "118 kg"', 'mass = "490 kg"', "removed", "less than the front axle carried"),
        ('mass = "39 kg"', 'mass = "450 kg"', "removed", "less than the rear axle carried"),
        ("at = [-2150, 0, 380]", "at = [-21500, 0, 380]", 'removed[2].at ("fuel tank, full")', "within the vehicle"),
        ("at = [-210, 0, 430]", "at = [-210, 0, -430]", 'added[1].at ("drive motor and adapter")', "below the ground"),
        ('name = "fuel tank, full"', 'name = "engine and ancillaries"', "removed[2].name", "names must differ"),
        # bay
        (LOWER, LOWER.replace("[395, 345], [-330, 345]", "[-330, 345], [395, 345]"), "bay.space[1].outline", "cross itself"),
        (LOWER, "outline = [[-330, -345], [395, -345], [-330, -345]]", "bay.space[1].outline", "3 points that differ"),
        (LOWER, "outline = [[-330, 0], [395, 0], [200, 0]]", "bay.space[1].outline", "enclose an area"),
        ("z = [330, 560]", "z = [560, 330]", "bay.space[1].z", "below the second"),
        ("z = [330, 560]", "z = [560, 560]", "bay.space[1].z", "below the second"),
        (LOWER, f"{LOWER}\noutline_above = [[0, 0], [1, 0], [1, 1]]", "bay.space[1].outline_above", "enclose an area"),
        (LOWER, f"{LOWER}\noutline_above = [[0, 0], [90, 0], [90, 90]]", "bay.space[1].outline_above", "as many points"),
        (LOWER, f"{LOWER}\n{TAPER}", "bay.space[1].outline_above", "same corner"),
        (MOTOR, f"{MOTOR}\n{SHAFT}", "bay.keep_out[2]", "exactly one"),
        (MOTOR, "", "bay.keep_out[2]", "no shape"),
        (MOTOR, "box = { min = [-430, 170, 330], max = [-250, -170, 600] }", "bay.keep_out[2].box", "along y"),
        (SHAFT, SHAFT.replace("to = [120, 330, 400]", "to = [-430, 285, 610]"), "bay.keep_out[1].cylinder.to", "must differ"),
        (SERVO, SERVO.replace("[560, 760]", "[760, 560]"), "bay.keep_out[3].prism.z", "below the second"),
        (SERVO, CROSSED, "bay.keep_out[3].prism.outline", "cross"),
        ('name = "brake servo"', 'name = "steering shaft"', "bay.keep_out[3].name", "names must differ"),
        (SERVO, 'mesh = { file = "servo.step", unit = "mm" }', "bay.keep_out[3].mesh.file", ".stl"),
        (SERVO, 'mesh = { file = "servo.stl", unit = "mm" }', "bay.keep_out[3].mesh.file", "no such file"),
        ("[[bay.space]]", '[bay.scan]\nfile = "bay.stl"\nunit = "mm"\n[[bay.space]]', "bay.scan.file", "no such file"),
        # mount points
        ("at = [340, 315, 330]", "at = [340, 360, 330]", "mount_point[1].at", "15 mm outside"),
        ("at = [340, 315, 330]", "at = [340, 315, 250]", "mount_point[1].at", "80 mm outside"),
        ('normal = "+z"', 'normal = "-z"', "mount_point[1].normal", "points out of it"),
        ('name = "rail RH front"', 'name = "rail LH front"', "mount_point[2].name", "names must differ"),
        ("at = [340, -315, 330]", "at = [345, 310, 330]", "mount_point[2].at", "two holes cannot"),
        (MOTOR, "box = { min = [200, 200, 300], max = [400, 350, 400] }", "mount_point[1].at", "inside bay.keep_out[2]"),
        (SHAFT, SHAFT.replace("to = [120, 330, 400]", "to = [900, 350, 120]"), "mount_point[1].at", "inside bay.keep_out[1]"),
        (SERVO, SERVO.replace("-260, ", "360, ").replace("560", "300"), "mount_point[1].at", "inside bay.keep_out[3]"),
        # modules and pack
        ('mass = "12.4 kg"', 'mass = "12.4 t"', "module[1].mass", "kg/L"),
        ('mass = "12.4 kg"', 'mass = "2.4 kg"', "module[1].mass", "0.375 kg/L"),
        ("size = [392, 151, 108]", 'size = ["392 in", 151, 108]', "module[1].mass", "kg/L"),
        ('energy = "2.0 kWh"', "energy = 2000", "module[1].energy", "Wh/kg"),
        ("centroid_offset = [6, 0, -2]", "centroid_offset = [196, 0, 0]", "module[1].centroid_offset", "inside the body"),
        ('bolt = "M6" }', 'bolt = "M6" }\nterminals = [[196, 40, 0], [1960, -40, 0]]', "module[1].terminals[2]", "on the body"),
        ("[[-170, -60], [170", "[[-1700, -60], [170", "module[1].fixing.pattern[1]", "base"),
        ('max_voltage = "25.2 V"', 'max_voltage = "21 V"', "module[1].nominal_voltage", "between"),
        ('min_voltage = "18.0 V"', 'min_voltage = "23 V"', "module[1].nominal_voltage", "between"),
        ("count = 8 ", "count = 12 ", "pack.count", "more modules than there are"),
        ("count = 8 ", "count = 9 ", "pack.count", "series 8 x parallel 1 = 8"),
        ("count = 8 ", "count = 0 ", "pack.count", "at least 1"),
        ("count = 8 ", "count = -8 ", "pack.count", "at least 1"),
        ('["140 V", "210 V"]', '["210 V", "140 V"]', "pack.voltage_window", "below the second"),
        ('["140 V", "210 V"]', '["300 V", "400 V"]', "pack.series", "14 to 18 in series"),
        ('["140 V", "210 V"]', '["20 V", "60 V"]', "pack.series", "1 to 2 in series"),
        ('"low", "centred"', '"low", "low"', "pack.prefer[3]", "named before"),
        ("parallel = 1", "parallel = 1\nhand_width = 9", "pack.hand_width", "50 mm"),
        # box, equipment, brackets
        ('lid = "+z"', 'lid = "-z"', "box.lid", "lid on top"),
        ('sheet = "3 mm"', 'sheet = "3 in"', "box.sheet", "0.5 mm to 25 mm"),
        ('liner = "2 mm"', 'liner = "2 m"', "box.liner", "50 mm"),
        (LID_BOLT, f"{LID_BOLT}\npress = {{ radius = 300 }}", "box.press.radius", "0.2 and 10 times the sheet"),
        (LID_BOLT, f"{LID_BOLT}\npress.test_bend = [{{ radius = 3 }}]", "box.press.test_bend[1]", "exactly one of"),
        (
            LID_BOLT, f"{LID_BOLT}\npress.test_bend = [{{ radius = 3, allowance = 5.9 }}, {{ radius = 3, allowance = 19 }}]",
            "box.press.test_bend[2]", "K-factor above 0",
        ),
        (LID_BOLT, f"{LID_BOLT}\npress.test_bend = [{{ radius = 3, angle = 190, k_factor = 0.4 }}]",
         "box.press.test_bend[1].angle", "less than 180"),
        ('construction = "welded"', 'construction = "folded"\nlocating = "tabs"', "box.locating", "welded box"),
        ('where = "aft face"', 'where = "bay"', "equipment[2].at", "needs `at`"),
        ('where = "aft face"', 'where = "bay"\nat = [600, 0, 600]', "equipment[2].at", "130 mm outside"),
        ('mass = "8.1 kg"', 'mass = "81 kg"', "equipment[2].mass", "denser than copper"),
        ('name = "motor controller on its cold plate"', 'name = "battery management unit"', "equipment[2].name", "differ"),
        ('material = "5083-H111"', 'material = "5083-H11"', "box.material", 'Did you mean "5083-H111"?'),
        ('material = "S275"', 'material = "cheese"', "bracket.material", "S275"),
        ('material = "S235"', 'material = "S236"', "mount_point[1].sheet.material", "S235"),
        # crash
        (FACTORS, FACTORS.replace("forward = 20", "forward = -20"), "crash.factors.forward", "negative"),
        (FACTORS, FACTORS.replace("forward = 20", 'forward = "2000 m/s2"'), "crash.factors.forward", "200 g"),
        (FACTORS, "rule_set = 'no such rules'", "crash.rule_set", "one of the rule sets"),
        (PULSE, PULSE.replace('"70 ms"', "0.07"), "crash.pulse.duration", "bare number is in ms"),
        (PULSE, PULSE.replace('"20 g"', '"20000 m/s2"'), "crash.pulse.peak", "at most 200 g"),
        (PULSE, PULSE.replace('peak = "20 g", ', ""), "crash.pulse", "needs peak"),
        (PULSE, PULSE.replace('"half sine"', '"trapezoid"'), "crash.pulse", "needs rise"),
        (PULSE, PULSE.replace('"half sine"', '"trapezoid", rise = 40, fall = 40'), "crash.pulse", "exceed"),
        (PULSE, BACKWARDS, "crash.pulse.points[3]", "forward"),
        (PULSE, 'pulse = { shape = "csv", file = "sled.csv", direction = "up" }', "crash.pulse.file", "no such file"),
    ],
)  # fmt: skip
def test_one_rule(spoilt: Spoil, problems_of: Problems, tmp_path: Path, old: str, new: str, path: str, said: str) -> None:
    text = spoilt((old, new))
    found = problems_of(text, tmp_path)
    matching = [p for p in found if p.path.partition(" (")[0] == path.partition(" (")[0] and said in str(p)]
    assert matching, [str(p) for p in found]
    assert matching[0].line is not None
    assert matching[0].remedy.endswith((".", "?"))


def test_all_zero_factors(spoilt: Spoil, problems_of: Problems) -> None:
    none = "factors = { forward = 0, rearward = 0, left = 0, right = 0, up = 0, down = 0 }"
    assert [p.path for p in problems_of(spoilt((FACTORS, none)))] == ["crash.factors"]


def test_a_job_without_any_crash_load_is_refused(spoilt: Spoil, problems_of: Problems) -> None:
    found = problems_of(spoilt((FACTORS, "")))
    assert "no default" in str(found[0])


def without_mounts(text: str, keep: int) -> str:
    head, *mounts = text.split("[[mount_point]]")
    last, tail = mounts[-1].split("[[module]]")
    mounts[-1] = last
    return "[[mount_point]]".join([head, *mounts[:keep]]) + "[[module]]" + tail


@pytest.mark.parametrize(("keep", "said"), [(1, "every axis"), (2, "along y (across)")])
def test_too_few_mount_points(sound_text: str, problems_of: Problems, keep: int, said: str) -> None:
    (problem,) = problems_of(without_mounts(sound_text, keep))
    assert problem.path == "mount_point"
    assert said in problem.want


def test_mount_points_on_one_line(spoilt: Spoil, problems_of: Problems) -> None:
    moves = [("at = [340, -315, 330]", "at = [200, 315, 330]"), ("at = [-230, -315, 330]", "at = [60, 315, 330]")]
    (problem,) = problems_of(spoilt(*moves))
    assert "along x (fore and aft)" in problem.want


def test_three_mount_points_will_do(sound_text: str) -> None:
    assert len(parse_job(without_mounts(sound_text, 3)).mount_points) == 3


def test_a_module_larger_than_the_bay(spoilt: Spoil, problems_of: Problems) -> None:
    large = ("size = [392, 151, 108]", "size = [1392, 251, 208]"), ('mass = "12.4 kg"', 'mass = "140 kg"')
    text = spoilt(*large, ('energy = "2.0 kWh"', 'energy = "20 kWh"'))
    (problem,) = problems_of(text)
    assert problem.path.startswith("module[1].size")
    assert "larger than the bay" in problem.want


def test_more_modules_in_series_than_there_are(spoilt: Spoil, problems_of: Problems) -> None:
    (problem,) = problems_of(spoilt(("count = 8 ", 'count = "max" '), ("available = 10", "available = 7")))
    assert problem.path == "pack.series"


def test_nominal_voltage_outside_of_the_window_is_pointed_out_not_refused(spoilt: Spoil) -> None:
    job = parse_job(spoilt(('["140 V", "210 V"]', '["180 V", "210 V"]')))
    (said,) = [text for text in cautions(job) if "window" in text]
    assert "least 144 V below" in said
    assert "nominal 177.6 V below" in said
    assert "greatest 201.6 V inside" in said


def test_the_sound_job_has_no_problem_and_the_cautions_it_deserves(sound_text: str) -> None:
    job = parse_job(sound_text)
    assert sense_problems(job) == []
    said = cautions(job)
    assert len(said) == 2
    assert "above 60 V DC" in said[0]
    assert '"rail RH front", "rail LH rear", "rail RH rear"' in said[1]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('thread = "M10"', 'thread = "M10"\nfixing = "rivet nut"', "Rivet nuts"),
        ('mass = "12.4 kg"', 'mass = "20 kg"', "unusual"),
        ("z = [330, 560]", "z = [-10, 560]", "below z = 0"),
        ("[395, -345], [395, 345]", "[395, -345], [395, 3450]", "further out than the wheels"),
        ("[crash]", "[crash]\nroad_loads = false", "Road loads"),
        (MOTOR, "box = { min = [-4300, -170, 330], max = [-2500, 170, 600] }", "wholly outside"),
        ("up = 10", "up = 0", "No crash load up"),
    ],
)
def test_cautions(spoilt: Spoil, old: str, new: str, said: str) -> None:
    assert any(said in text for text in cautions(parse_job(spoilt((old, new)))))


def test_files_beside_the_job_are_found(spoilt: Spoil, tmp_path: Path) -> None:
    (tmp_path / "servo.STL").touch()
    text = spoilt((SERVO, 'mesh = { file = "servo.STL", unit = "mm" }'))
    assert parse_job(text, "job", tmp_path).folder == tmp_path


def test_rules_name_tables_that_exist() -> None:
    from layout.job import Job

    assert {name for rule in RULES for name in rule.needs} <= {*Job.model_fields, "folder"}


def test_density_band_catches_pounds_taken_for_kilograms() -> None:
    """A module of usual density (1.7 to 2.9 kg/L) whose pounds are written as kilograms comes out above the band."""
    assert all(density * 2.2046 > DENSITY_KG_PER_L[1] for density in (1.7, 2.3, 2.9))


SQUARE = ((0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0))
POINT = st.tuples(*[st.floats(-300.0, 300.0)] * 3)


def space(above: tuple[tuple[float, float], ...] | None = None) -> Space:
    return Space(outline_mm=SQUARE, outline_above_mm=above, z_mm=(0.0, 50.0))


@given(POINT)
def test_distance_to_a_straight_prism_is_that_to_its_box(point: tuple[float, float, float]) -> None:
    outside = [max(0.0 - p, 0.0, p - top) for p, top in zip(point, (100.0, 100.0, 50.0), strict=True)]
    assert distance_mm(point, space()) == pytest.approx(sum(d * d for d in outside) ** 0.5, abs=1e-9)


@given(POINT)
def test_distance_to_a_taper_is_between_those_to_the_prisms_around_and_inside(point: tuple[float, float, float]) -> None:
    inner = tuple((25 + x / 2, 25 + y / 2) for x, y in SQUARE)
    narrow = Space(outline_mm=inner, z_mm=(0.0, 50.0))
    assert distance_mm(point, space()) - 1e-9 <= distance_mm(point, space(inner)) <= distance_mm(point, narrow) + 1e-9


@given(st.integers(0, 3), st.booleans())
def test_a_taper_that_begins_at_another_corner_is_refused(shift: int, backwards: bool) -> None:
    above = SQUARE[shift:] + SQUARE[:shift]
    above = above[::-1] if backwards else above
    assert bool(list(taper_problems(space(above), "p"))) == (shift == 2 or backwards)


@given(st.permutations(range(4)))
def test_of_the_orders_of_four_corners_only_walks_round_are_taken(order: list[int]) -> None:
    around = [(order[(i + 1) % 4] - order[i]) % 4 for i in range(4)]
    assert (not list(outline_problems([SQUARE[i] for i in order], "p"))) == (set(around) in ({1}, {3}))
