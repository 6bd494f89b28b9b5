"""What a job may say of several boxes, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from layout.errors import JobError
from layout.job.read import read_job

JOB = Path(__file__).parents[2] / "jobs" / "hollinmoor-two-boxes.toml"


def _problems(tmp_path: Path, *changes: tuple[str, str]) -> list[str]:
    text = JOB.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    path = tmp_path / "job.toml"
    path.write_text(text, encoding="utf-8")
    try:
        read_job(path)
    except JobError as error:
        return [p.path for p in error.problems]
    return []


@pytest.mark.parametrize(
    ("changes", "path"),
    [
        ((("boxes = 2", "boxes = 3"),), "mount_point"),
        ((('name = "RH outer front"', 'name = "RH outer front"\nbox = 3'),), "mount_point[5].box"),
        ((("box = 2\npanel", "box = 3\npanel"),), "box.opening[3].box"),
        ((("boxes = 2", "boxes = 1"),), "box.opening[3].box"),
        ((('lid_bolt = "M5"', 'lid_bolt = "M5"\noutline = "stepped"'),), "box.outline"),
        ((("boxes = 2", 'boxes = 2\nturn = "free"'),), "pack.turn"),
    ],
)
def test_what_several_boxes_cannot_have_is_refused_where_it_stands(
    tmp_path: Path, changes: tuple[tuple[str, str], ...], path: str
) -> None:
    assert path in [p.partition(" ")[0] for p in _problems(tmp_path, *changes)]


def test_mount_points_may_name_their_box(tmp_path: Path) -> None:
    assert not _problems(tmp_path, ('name = "RH outer front"', 'name = "RH outer front"\nbox = 2'))


def test_a_box_left_with_two_mount_points_is_refused(tmp_path: Path) -> None:
    names = [f'name = "{side} {place}"' for side in ("LH outer", "LH inner", "RH outer") for place in ("front", "rear")]
    assert "mount_point" in _problems(tmp_path, *((name, f"{name}\nbox = 1") for name in names))
