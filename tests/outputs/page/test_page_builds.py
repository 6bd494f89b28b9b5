"""Builds from the local page: one at a time, killed when asked, and what the page gets is what the package holds."""

from __future__ import annotations

import io
import json
import sys
import time
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from layout.study.study import Study
from outputs.page.desk import KEPT_BUILDS, Build, Busy, Desk
from outputs.page.guard import Session
from outputs.page.job_text import Start, start_of
from outputs.page.routes import application
from outputs.page.serve import hosts_of
from outputs.page.worker import Task, answer, result_of, zip_folder

JOB = Path(__file__).parents[2] / "jobs" / "larkmoor-front-bay.toml"
GOOD = JOB.read_text(encoding="utf-8")
PORT = 43211
HERE = f"http://127.0.0.1:{PORT}"


@pytest.fixture
def desk() -> Iterator[Desk]:
    found = Desk()
    yield found
    found.close()


def until(build: Build, wanted: str, seconds: float = 60.0) -> None:
    end = time.monotonic() + seconds
    while build.state != wanted and time.monotonic() < end:
        time.sleep(0.02)
    assert build.state == wanted, build


def task(text: str, out: Path, arrangement: int | None = None) -> Task:
    return Task(text, Start(GOOD), out, 2.0, 0, arrangement)


def test_wrong_job_is_refused_with_its_problems(tmp_path: Path) -> None:
    kind, rows = answer(task(GOOD.replace('"2390 mm"', '"2390 kg"'), tmp_path), sys.stderr)
    assert kind == "refused"
    assert rows[0]["path"] == "vehicle.wheelbase"
    assert rows[0]["line"] == 12
    assert list(tmp_path.iterdir()) == []


def test_own_fault_reaches_the_terminal_and_not_the_page(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(_: Task) -> Any:
        raise RuntimeError("inside of the program")

    monkeypatch.setattr("outputs.page.worker._built", broken)
    terminal = io.StringIO()
    kind, words = answer(task(GOOD, tmp_path), terminal)
    assert kind == "fault"
    assert "inside" not in words
    assert "inside of the program" in terminal.getvalue()


def test_same_files_give_the_same_archive(tmp_path: Path) -> None:
    folder = tmp_path / "package"
    (folder / "step").mkdir(parents=True)
    (folder / "step" / "a.step").write_text("ISO", encoding="utf-8")
    (folder / "results.json").write_text("{}", encoding="utf-8")
    zip_folder(folder, tmp_path / "1.zip", "LKM-01")
    (folder / "results.json").touch()
    zip_folder(folder, tmp_path / "2.zip", "LKM-01")
    assert (tmp_path / "1.zip").read_bytes() == (tmp_path / "2.zip").read_bytes()
    with zipfile.ZipFile(tmp_path / "1.zip") as archive:
        assert archive.namelist() == ["LKM-01/results.json", "LKM-01/step/a.step"]
        assert archive.read("LKM-01/step/a.step") == b"ISO"


def test_result_shows_the_weakest_first_and_counts_the_rest(front_study: Study) -> None:
    result = json.loads(json.dumps(result_of(front_study), allow_nan=False))
    used = [float("inf") if c["verdict"] == "not checked" else c["utilisation"] for c in result["checks"]]
    assert used == sorted(used, reverse=True)
    kinds = {(c.name, c.part) for c in front_study.checks}
    assert len(result["checks"]) + result["checks_left_out"] == len(kinds)
    assert result["all_hold"] is front_study.all_hold
    assert len(result["figures"]) >= 5
    assert result["arrangements"][0]["modules"] == len(front_study.arrangement.modules)
    assert result["cautions"] == list(front_study.cautions)


def test_large_files_arrive_whole_and_only_while_kept(desk: Desk, caller: Any) -> None:
    session = Session()
    client = caller(application(Start(GOOD), session, desk, hosts_of(PORT)), f"127.0.0.1:{PORT}")
    build = Build(1, desk._folder / "1", state="done", result={"name": "LKM-01-package.zip"})
    (build.folder / "package").mkdir(parents=True)
    (build.folder / "package.zip").write_bytes(b"z" * 300_000)
    (build.folder / "package" / "view.html").write_bytes(b"v" * 1_000_000)
    desk._builds.append(build)
    made = client.get("/build", {"authorization": f"Bearer {session.key}"}).json()["made"]
    assert client.get(made["view"]).content == b"v" * 1_000_000
    assert client.get(made["package"]).content == b"z" * 300_000
    desk._builds.clear()
    assert client.get(made["package"]).status == 404


@pytest.mark.slow
def test_worker_refuses_is_killed_and_works_again(desk: Desk) -> None:
    first = desk.start("nonsense", Start(GOOD), 2.0, 0, None)
    until(first, "refused")
    assert first.problems[0]["line"] == 1
    second = desk.start(GOOD, Start(GOOD), 60.0, 0, None)
    with pytest.raises(Busy):
        desk.start(GOOD, Start(GOOD), 1.0, 0, None)
    end = time.monotonic() + 60.0
    while not any("searching" in line for line in second.lines) and time.monotonic() < end:
        time.sleep(0.02)
    desk.stop()
    assert second.state == "stopped"
    folders = []
    for _ in range(KEPT_BUILDS + 1):
        build = desk.start("nonsense", Start(GOOD), 2.0, 0, None)
        until(build, "refused")
        folders.append(build.folder)
    assert [f.exists() for f in folders] == [False] + [True] * KEPT_BUILDS
    assert second.lines[-1].startswith(("searching", "  "))
    desk.close()
    assert not folders[-1].parent.exists()


@pytest.mark.slow
def test_worker_that_dies_is_said_and_replaced(desk: Desk) -> None:
    desk.warm()
    build = desk.start(GOOD, Start(GOOD), 60.0, 0, None)
    assert desk._process is not None
    desk._process.kill()
    until(build, "fault")
    assert "ended" in build.lines[-1]
    again = desk.start("nonsense", Start(GOOD), 2.0, 0, None)
    until(again, "refused")


@pytest.mark.cad
@pytest.mark.slow
def test_build_from_the_page_gives_view_and_package(desk: Desk, caller: Any) -> None:
    """The whole way: link, build, progress, result, view in its frame, package that holds the results."""
    session = Session()
    client = caller(application(start_of(JOB), session, desk, hosts_of(PORT)), f"127.0.0.1:{PORT}")
    headers = {"origin": HERE}
    key = client.post("/open", {"link": session.link}, headers).json()["key"]
    headers["authorization"] = f"Bearer {key}"
    assert client.post("/build", {"text": GOOD, "seconds": 2}, headers).status == 200
    assert client.post("/build", {"text": GOOD}, headers).status == 409
    lines: list[str] = []
    now: dict[str, Any] = {"state": "running"}
    end = time.monotonic() + 300.0
    while now["state"] == "running" and time.monotonic() < end:
        now = client.get(f"/build?since={len(lines)}", headers).json()
        lines += now["lines"]
        time.sleep(0.1)
    assert now["state"] == "done", (now["problems"], lines[-3:])
    assert any("searching" in line for line in lines)
    view = client.get(now["made"]["view"])
    assert "sandbox allow-scripts" in view.headers["content-security-policy"]
    assert "connect-src" not in view.headers["content-security-policy"]
    archive = client.get(now["made"]["package"])
    assert 'filename="LKM-01-package.zip"' in archive.headers["content-disposition"]
    with zipfile.ZipFile(io.BytesIO(archive.content)) as package:
        assert package.testzip() is None
        assert package.read("LKM-01-package/view.html") == view.content
        results = json.loads(package.read("LKM-01-package/results.json"))
        assert results["fit"]["placed"] == now["result"]["fit"]["placed"]
        assert package.read("LKM-01-package/job.toml").decode("utf-8") == GOOD
    assert client.get(now["made"]["view"].replace("view.html", "package.zip")).status == 404
