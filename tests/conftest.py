"""Shared fixtures: a job as read from file, and an arrangement of it laid out by hand (no search)."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from layout.arrangement import Arrangement, PlacedEquipment, PlacedModule, SearchResult
from layout.frames import Extent, Pose, module_axes
from layout.job import Job, read_job
from layout.several.study import PackStudy
from layout.space.bay import Bay, bay_of
from layout.stepped import Stepped
from layout.study.study import Study

JOBS = Path(__file__).parent / "jobs"
FRONT_BAY = JOBS / "larkmoor-front-bay.toml"
L_BAY = JOBS / "wexcombe-l-bay.toml"
TIER_BAY = JOBS / "tolverhythe-two-tier.toml"
TWO_BOXES = JOBS / "hollinmoor-two-boxes.toml"


@pytest.fixture(scope="session")
def front_job() -> Job:
    return read_job(FRONT_BAY)


@pytest.fixture(scope="session")
def front_bay(front_job: Job) -> Bay:
    return bay_of(front_job, JOBS)


@pytest.fixture(scope="session")
def front_arrangement(front_job: Job) -> Arrangement:
    """Eight modules flat, terminals forward: three beside each other, three layers, the last place left to the small unit."""
    kind, gap, liner = front_job.modules[0], 4.0, front_job.box.liner_mm
    length, width, height = kind.size_mm
    inside = Extent((-78.0, -236.0, 383.0), (362.0, 229.5, 725.0))
    axes = module_axes("+z", "+x", "+x")
    assert axes is not None
    modules = []
    for i in range(8):
        layer, column = divmod(i, 3)
        origin = (
            inside.min_mm[0] + liner + length / 2,
            inside.min_mm[1] + liner + width / 2 + column * (width + gap),
            inside.min_mm[2] + liner + height / 2 + layer * (height + gap),
        )
        modules.append(PlacedModule(f"M{i + 1}", kind, Pose(origin, axes), "+z", "+x"))
    unit, controller = front_job.equipment
    inner = PlacedEquipment(unit, Pose((100.0, 170.0, 665.0)), "+y", outside=False)
    behind = Pose((-81.0 - 4.0 - 55.0, -20.0, 488.0), ((0, 1, 0), (0, 0, -1), (-1, 0, 0)))
    hung = PlacedEquipment(controller, behind, "-x", outside=True, plate_mm=4.0)
    return Arrangement(Pose(), tuple(modules), inside, (inner, hung))


@pytest.fixture(scope="session")
def front_search(front_arrangement: Arrangement) -> SearchResult:
    return SearchResult(8, (front_arrangement,), 8, True, 0.0, "laid out by hand")


@pytest.fixture(scope="session")
def front_study(front_job: Job, front_bay: Bay, front_search: SearchResult) -> Study:
    from layout.study.evaluate import evaluate

    return evaluate(front_job, front_bay, front_search, 1)


@pytest.fixture(scope="session")
def l_job() -> Job:
    return read_job(L_BAY)


@pytest.fixture(scope="session")
def l_bay(l_job: Job) -> Bay:
    return bay_of(l_job, JOBS)


@pytest.fixture(scope="session")
def l_arrangement(l_job: Job) -> Arrangement:
    """Fourteen modules in two layers: seven rows to a layer, two of them beside the motor. Laid out by hand."""
    kind = l_job.modules[0]
    inside = Stepped(
        (-363.0, -392.0, 319.0), (380.0, 378.0, 571.0), Extent((-34.0, -94.0, 319.0), (380.0, 378.0, 571.0))
    )
    places = [(591.0, 74.5, "-x"), (591.0, 223.5, "-x"), (266.0, 74.5, "+x"), (266.0, 223.5, "+x")]
    places += [(177.0, y, "-x") for y in (397.5, 546.5, 695.5)]
    modules = []
    for z in (75.0, 202.0):
        for x, y, terminals in places:
            axes = module_axes("+z", "+x", terminals)
            assert axes is not None
            origin = (inside.min_mm[0] + x, inside.min_mm[1] + y, inside.min_mm[2] + z)
            modules.append(PlacedModule(f"M{len(modules) + 1}", kind, Pose(origin, axes), "+z", terminals))
    return Arrangement(Pose(), tuple(modules), inside)


@pytest.fixture(scope="session")
def l_study(l_job: Job, l_bay: Bay, l_arrangement: Arrangement) -> Study:
    from layout.study.evaluate import evaluate

    return evaluate(l_job, l_bay, SearchResult(None, (l_arrangement,), 14, True, 0.0, "laid out by hand"), 1)


@pytest.fixture(scope="session")
def tier_job() -> Job:
    return read_job(TIER_BAY)


@pytest.fixture(scope="session")
def tier_bay(tier_job: Job) -> Bay:
    return bay_of(tier_job, JOBS)


@pytest.fixture(scope="session")
def tier_arrangement(tier_job: Job) -> Arrangement:
    """Fifteen modules: three below, behind the cross member, and two layers of six above. Laid out by hand."""
    kind = tier_job.modules[0]
    inside = Stepped(
        (-359.0, -224.0, 219.0), (302.0, 223.0, 601.0), Extent((-30.0, -224.0, 219.0), (302.0, 223.0, 349.0))
    )
    places = [(-182.0, -149.5, 294.0, "-x"), (-207.0, -0.5, 294.0, "+x"), (-182.0, 148.5, 294.0, "-x")]
    for z in (424.0, 551.0):
        places += [(x, y, z, way) for x, way in ((150.0, "-x"), (-175.0, "+x")) for y in (-149.5, -0.5, 148.5)]
    modules = []
    for x, y, z, terminals in places:
        axes = module_axes("+z", "+x", terminals)
        assert axes is not None
        modules.append(PlacedModule(f"M{len(modules) + 1}", kind, Pose((x, y, z), axes), "+z", terminals))
    return Arrangement(Pose(), tuple(modules), inside)
def two_box_job() -> Job:
    return read_job(TWO_BOXES)


@pytest.fixture(scope="session")
def two_box_bay(two_box_job: Job) -> Bay:
    return bay_of(two_box_job, JOBS)


@pytest.fixture(scope="session")
def four_module_job(two_box_job: Job) -> Job:
    """Four modules, two in each of the two boxes, thrown forward alone: quick to design."""
    factors = two_box_job.crash.factors
    assert factors is not None
    still = dict.fromkeys(("rearward", "left", "right", "up", "down"), 0.0)
    crash = two_box_job.crash.model_copy(
        update={
            "factors": factors.model_copy(update={"forward": 4.0, **still}), "road_loads": False, "target_utilisation": 4.0,
        }
    )  # fmt: skip
    openings = tuple(o.model_copy(update={"at_mm": (0.0, 10.0)}) for o in two_box_job.box.openings)
    return two_box_job.model_copy(
        update={
            "crash": crash,
            "box": two_box_job.box.model_copy(update={"openings": openings}),
            "bracket": two_box_job.bracket.model_copy(update={"sheet_mm": 8.0}),
            "equipment": (),
            "pack": two_box_job.pack.model_copy(update={"count": 4, "series": 4, "voltage_window_v": (40.0, 80.0)}),
        }
    )


@pytest.fixture(scope="session")
def four_module_search(four_module_job: Job) -> SearchResult:
    """Two modules side by side on the floor of a box on either side of the hump, laid out by hand."""
    from layout.box.carriers import Carriers
    from layout.several.scores import packed

    kind, axes = four_module_job.modules[0], module_axes("+z", "+x", "+x")
    assert axes is not None
    parts = []
    for right in (230.0, -534.0):
        places = [(792.0, right + 74.5 + 149.0 * k, 397.0) for k in (0, 1)]
        modules = tuple(PlacedModule(f"M{k}", kind, Pose(p, axes), "+z", "+x") for k, p in enumerate(places, start=1))
        parts.append(Arrangement(Pose(), modules, Extent((640.0, right, 319.0), (971.0, right + 298.0, 449.0))))
    mounts = tuple(
        frozenset(m.name for m in four_module_job.mount_points if m.name.startswith(side)) for side in ("LH", "RH")
    )
    pack = replace(packed(tuple(parts), mounts, "y = 0 mm", 4, 1), bars=(Carriers(), Carriers()))
    return SearchResult(4, (pack,), 4, True, 0.0, "laid out by hand")


@pytest.fixture(scope="session")
def two_box_study(four_module_job: Job, two_box_bay: Bay, four_module_search: SearchResult) -> PackStudy:
    from layout.several.evaluate import evaluate_several

    return evaluate_several(four_module_job, two_box_bay, four_module_search, 1)
