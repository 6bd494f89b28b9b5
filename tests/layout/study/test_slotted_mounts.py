"""Slots get no credit along themselves in a crash: other mounts carry that, or friction must."""

from __future__ import annotations

import numpy as np
import pytest

from layout.balance.items import MassProperties
from layout.brackets.design import Slot
from layout.checks.bolts import Ply
from layout.checks.prying import Flange
from layout.checks.rule import Source
from layout.frames import Pose
from layout.job.bay import MountPoint
from layout.loads.cases import LoadCase
from layout.loads.mounts import Mount, isotropic
from layout.study.forces import sliding_shares
from layout.study.mount_bolts import MountJoint, joint_checks, mount_bolt_checks
from layout.study.shares import SLOTS_SLIDE

SOURCE = Source("test", "derived")
FORWARD = LoadCase("forward 20 g", (-20.0, 0.0, 0.0), "crash", 20.0, SOURCE)
BUMP = LoadCase("bump", (0.0, 0.0, 3.0), "road", 3.0, SOURCE)
ALONE = LoadCase("each attachment, +x", (0.0, 0.0, 0.0), "crash", 0.0, SOURCE)
PLACES = {"a": (300.0, 300.0, 0.0), "b": (300.0, -300.0, 0.0), "c": (-300.0, 300.0, 0.0), "d": (-300.0, -300.0, 0.0)}
MOUNTS = tuple(Mount(name, at, isotropic(20000.0)) for name, at in PLACES.items())
X = np.array([1.0, 0.0, 0.0])


def pack() -> MassProperties:
    return MassProperties(100.0, (0.0, 0.0, 200.0), ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)))


def shares(slotted: str) -> dict[str, np.ndarray]:
    found = sliding_shares(MOUNTS, {name: X for name in slotted}, pack(), (FORWARD, BUMP), Pose())
    assert all(s.way == SLOTS_SLIDE for s in found)
    return {} if not found else found[0].forces_n


def test_mounts_without_slots_carry_the_slots_direction() -> None:
    forces = shares("cd")
    assert abs(forces["c"][0]) < 1e-6 * abs(forces["a"][0])
    assert abs(forces["d"][0]) < 1e-6 * abs(forces["a"][0])
    total = sum(forces.values())
    np.testing.assert_allclose(total, 100.0 * 9.80665 * np.array((20.0, 0.0, -1.0)), rtol=1e-9)


def test_road_loads_and_packs_without_slots_have_no_sliding_share() -> None:
    assert shares("") == {}
    assert len(sliding_shares(MOUNTS, {"c": X}, pack(), (FORWARD, BUMP), Pose())) == 1


def test_where_every_mount_slides_nothing_is_shared() -> None:
    assert shares("abcd") == {}


def joint(*, held: bool) -> MountJoint:
    entry = MountPoint.model_validate({"name": "a", "at": [0, 0, 0], "normal": "+z", "thread": "M10"})
    ply = Ply("S275", 8.0, 11.0, 22.0, 40.0, hole_kind="slot across")
    return MountJoint("R1 at a", entry, "8.8", ply, Flange("S275", 8.0, 20.0, 22.0, 60.0), Slot(8.0, (1.0, 0.0)), held)


@pytest.mark.parametrize(("case", "held", "asked"), [
    (FORWARD, True, True), (FORWARD, False, False), (ALONE, False, True), (ALONE, True, True),
])  # fmt: skip
def test_friction_is_asked_for_where_nothing_else_holds(case: LoadCase, held: bool, asked: bool) -> None:
    one = joint(held=held)
    slips = [c for c in joint_checks(one, case, 4000.0, 500.0, 200.0) if c.part.endswith("along its slot")]
    assert len(slips) == int(asked)
    if asked:
        assert slips[0].demand == pytest.approx(4000.0)
        assert not slips[0].holds  # 1.4 kN of friction in a dry M10
        many = mount_bolt_checks(one, case, np.array([[4000.0, 200.0, 500.0], [0.0, 0.0, 0.0]]))
        (slip,) = [c for c in many if c.part.endswith("along its slot")]
        assert np.asarray(slip.utilisation).tolist() == [slips[0].utilisation, 0.0]


def test_on_the_road_a_slotted_joint_slips_sooner() -> None:
    slotted = joint(held=False)
    (slip,) = [c for c in joint_checks(slotted, BUMP, 500.0, 0.0, 0.0) if c.name == "slip"]
    factor = {q.symbol: q.value for q in slip.inputs}["k_s"]
    assert factor == 0.63
