"""Ctrl-C: before there is a result it ends with a word and 130; while searching it takes the best so far."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from layout.arrangement import SearchResult
from layout.job import read_job
from outputs.cli import commands, pipeline
from outputs.start import main

JOBS = Path(__file__).parents[1] / "jobs"
NOTHING = SearchResult(8, (), 10, False, 0.0, "true geometry", "a note")


def test_before_there_is_a_result(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    def interrupted() -> int:
        raise KeyboardInterrupt

    monkeypatch.setattr(commands, "run", interrupted)
    with pytest.raises(SystemExit) as ended:
        main()
    assert ended.value.code == 130
    assert capsys.readouterr().err == "boxwright: stopped\n"


@pytest.mark.parametrize("times", [0, 1, 2])
def test_while_searching(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], times: int) -> None:
    """Once: the search is asked to stop, and what it gives is said to be cut short. Twice: an end at once."""
    seen: list[bool] = []

    def arrange(*_: Any, stop: Any, **__: Any) -> SearchResult:
        for _n in range(times):
            signal.raise_signal(signal.SIGINT)
        seen.append(stop())
        return NOTHING

    monkeypatch.setattr(pipeline, "arrange", arrange)
    options = pipeline.Options(JOBS / "larkmoor-front-bay.toml", 5.0, 0, None, False)
    before = signal.getsignal(signal.SIGINT)
    if times == 2:
        with pytest.raises(KeyboardInterrupt):
            pipeline.searched_job(read_job(options.job), options)
    else:
        found = pipeline.searched_job(read_job(options.job), options)
        assert found.stopped == seen[0] == (times == 1)
        assert ("stopped before its time" in found.search.note) == (times == 1)
        assert found.search.note.startswith("a note")
        assert (pipeline.looked_at(found, 5.0, 1) is None) if times else True
    assert signal.getsignal(signal.SIGINT) is before
    assert ("best so far is taken" in capsys.readouterr().err.splitlines()[-1]) == (times > 0)


def test_starting_up_counts_as_time_of_a_short_search_up_to_half_of_it() -> None:
    def left(seconds: float, spent: float) -> float:
        return pipeline.Options(Path("job.toml"), seconds, 0, None, False, time.monotonic() - spent).left

    assert pipeline.Options(Path("job.toml"), 2.0, 0, None, False).left == 2.0
    assert left(2.0, 100.0) == 1.0
    assert 1.0 <= left(2.0, 0.5) <= 1.5
    assert left(20.0, 100.0) == 20.0


def test_a_real_interrupt_of_the_running_command_gives_the_best_so_far(tmp_path: Path) -> None:
    """The signal is sent to a process of its own once it has told of a first count, long before its time is up."""
    text = (JOBS / "larkmoor-front-bay.toml").read_text()
    text = text.replace("count = 8 ", 'count = "max" ').replace("available = 10", "available = 60")
    job = tmp_path / "max.toml"
    job.write_text(text)
    code = "from outputs.start import main; main()"
    command = [sys.executable, "-c", code, "fit", str(job), "--time", "300", "--json"]
    with subprocess.Popen(command, cwd=JOBS.parents[1], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as running:
        assert running.stderr is not None
        said = []
        while "modules placed" not in "".join(said):
            said.append(running.stderr.readline())
            assert said[-1], "it ended before it placed anything"
        running.send_signal(signal.SIGINT)
        out, err = running.communicate(timeout=120)
    assert running.returncode == 0
    assert "stopping: the best so far is taken" in err
    found = json.loads(out)["fit"]
    assert found["placed"] == len(found["arrangements"][0]["modules"]) > 0
    assert found["upper_bound"] >= found["placed"]
    assert found["seconds"] < 100.0
