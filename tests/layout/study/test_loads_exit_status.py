"""The command says 0 where every check holds, and 1 with the failing check first in the list where one does not."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from layout.arrangement import Arrangement, SearchResult
from layout.job import Job
from outputs.cli.commands import run

CONTRACT = Path(__file__).parents[2] / "jobs" / "larkmoor-front-bay.toml"
SHEET = 'sheet = { material = "S355", thickness = "6 mm" }\nedge_distance = "30 mm"'


def sound_text() -> str:
    """The shared job with every mount's metal known and thick, low factors, no pulse, no equipment, modules fully known."""
    text = CONTRACT.read_text(encoding="utf-8")
    text = re.sub(r"(?m)^sheet = \{ material.*\n", "", text)
    text = re.sub(r'(?m)^thread = "M10"', f'thread = "M10"\n{SHEET}', text)
    text = re.sub(r"(?ms)^\[\[equipment\]\]\n.*?(?=^\[)", "", text)
    text = re.sub(r"(?m)^factors = .*$", "factors = { forward = 6, rearward = 5, left = 5, right = 5, up = 4, down = 4 }", text)
    text = re.sub(r"(?m)^pulse = .*\n", "", text)
    text = text.replace('bolt = "M6" }', 'bolt = "M6", load = "9 kN" }\nterminals = [[196, -40, 20], [196, 40, 20]]')
    assert text.count("edge_distance") == 4
    assert "equipment" not in text
    return text


WEAK = {
    "nothing": ("", "", None),
    "metal tapped too thin": ('thickness = "6 mm"', 'thickness = "1 mm"', "bolt reaches into the thread"),
    "holes near an edge": ('edge_distance = "30 mm"', 'edge_distance = "9 mm"', "edge distance"),
    "rivet nuts": ('thread = "M10"', 'thread = "M10"\nfixing = "rivet nut"', "blind nut in a crash"),
    "metal not known": (SHEET.splitlines()[0], "", "vehicle's own sheet"),
    "fixing points that hold little": ('load = "9 kN"', 'load = "60 N"', "module's own fixing point"),
}


@pytest.mark.slow
@pytest.mark.parametrize("what", WEAK)
def test_loads_of_a_weak_job(
    what: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch,
    laid_out: Callable[[Job], Arrangement],
) -> None:  # fmt: skip
    """From the job file to the exit status; the arrangement is laid out by hand in place of the search."""

    def arranged(job: Job, *_: object, **__: object) -> SearchResult:
        return SearchResult(8, (laid_out(job),), 8, True, 0.0, "laid out by hand")

    monkeypatch.setattr("outputs.cli.pipeline.arrange", arranged)
    old, new, name = WEAK[what]
    text = sound_text()
    assert old in text
    job = tmp_path / "job.toml"
    job.write_text(text.replace(old, new), encoding="utf-8")
    status = run(["loads", str(job), "--time", "1"])
    shown = capsys.readouterr()
    assert status == (0 if name is None else 1), shown.out[-2000:] + shown.err
    if name is not None:
        assert name in shown.out
