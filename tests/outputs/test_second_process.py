"""Work in a second process: the same results, errors raised where the result is asked for, nothing left behind."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path

import pytest

from layout.errors import DesignError
from outputs import second
from outputs.second import HERE, second_process
from outputs.written import file_stem, plain_ascii


def own_pid() -> int:
    return os.getpid()


@pytest.fixture
def two_cores(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(second, "_cores", lambda: 2)


def test_tasks_give_their_results_in_any_order(two_cores: None) -> None:
    with second_process() as line:
        tasks = [line.submit(plain_ascii, f"Größe {k}") for k in range(40)]
        assert [t.result() for t in reversed(tasks)] == [f"Groesse {k}" for k in reversed(range(40))]
        assert tasks[0].result() == "Groesse 0"  # asked twice, done once


def test_work_is_done_elsewhere(two_cores: None) -> None:
    with second_process() as line:
        task = line.submit(os.getpid)
        until = time.monotonic() + 20.0
        while not task.over.is_set() and time.monotonic() < until:
            time.sleep(0.01)
        assert task.result() != os.getpid()


def test_error_is_raised_where_the_result_is_asked_for(two_cores: None) -> None:
    from layout.design.geometry import require_valid
    from layout.design.profile import Profile

    crossed = Profile(((0.0, 0.0, 0.0), (9.0, 9.0, 0.0), (9.0, 0.0, 0.0), (0.0, 9.0, 0.0)))
    with second_process() as line:
        bad = line.submit(require_valid, crossed, "T-1")
        good = line.submit(file_stem, "a b")
        with pytest.raises(DesignError, match="T-1"):
            bad.result()
        assert good.result() == "a_b"


def test_what_cannot_be_handed_over_is_done_here(two_cores: None) -> None:
    with second_process() as line:
        tasks = [line.submit(lambda k: k + 1, k) for k in range(5)]
        assert [t.result() for t in tasks] == [1, 2, 3, 4, 5]


def test_end_of_the_second_process_loses_nothing(two_cores: None) -> None:
    with second_process() as line:
        first = line.submit(os.getpid)
        until = time.monotonic() + 20.0
        while not first.over.is_set() and time.monotonic() < until:
            time.sleep(0.01)
        other = first.result()
        tasks = [line.submit(time.sleep, 0.05) for _ in range(4)] + [line.submit(file_stem, "x y")]
        os.kill(other, signal.SIGKILL)
        assert [t.result() for t in tasks] == [None] * 4 + ["x_y"]
    with pytest.raises(ProcessLookupError):
        os.kill(other, 0)


def test_one_core_needs_no_second_process(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(second, "_cores", lambda: 1)
    with second_process() as line:
        assert line is HERE
        task = line.submit(os.getpid)
        assert task.result() == own_pid()
