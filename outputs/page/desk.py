"""The worker seen from the server: start a build, ask how far it is, stop it. One build at a time."""

from __future__ import annotations

import shutil
import tempfile
import threading
from dataclasses import dataclass, field
from multiprocessing import get_context
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any, Literal

from outputs.page.job_text import Start
from outputs.page.worker import Task, work

State = Literal["running", "done", "refused", "stopped", "fault"]
KEPT_BUILDS = 3
MOST_LINES = 2000


@dataclass
class Build:
    """One build and how far it is. result: where done; problems: where refused."""

    number: int
    folder: Path
    state: State = "running"
    lines: list[str] = field(default_factory=list)
    result: dict[str, Any] | None = None
    problems: list[dict[str, Any]] = field(default_factory=list)


class Busy(Exception):
    """A build runs already."""


class Desk:
    """Owner of the one worker process and of the folder with the last builds."""

    def __init__(self) -> None:
        self._lock = threading.RLock()
        self._folder = Path(tempfile.mkdtemp(prefix="boxwright-page-"))
        self._process: BaseProcess | None = None
        self._pipe: Connection | None = None
        self._builds: list[Build] = []
        self._count = 0

    def warm(self) -> None:
        """Start the worker before it is needed."""
        with self._lock:
            if self._process is None or not self._process.is_alive():
                self._drop()
                context = get_context("spawn")
                ours, theirs = context.Pipe()
                self._process = context.Process(target=work, args=(theirs,), daemon=True)
                self._process.start()
                theirs.close()
                self._pipe = ours

    def start(self, text: str, start: Start, seconds: float, seed: int, arrangement: int | None) -> Build:
        """Begin a build. Raises Busy while another one runs."""
        with self._lock:
            if self._builds and self._builds[-1].state == "running":
                raise Busy
            self.warm()
            self._count += 1
            folder = self._folder / str(self._count)
            folder.mkdir()
            build = Build(self._count, folder, lines=["starting"])
            self._builds.append(build)
            for old in self._builds[:-KEPT_BUILDS]:
                shutil.rmtree(old.folder, ignore_errors=True)
            del self._builds[:-KEPT_BUILDS]
            pipe = self._pipe
            assert pipe is not None
            pipe.send(Task(text, start, folder, seconds, seed, arrangement))
            threading.Thread(target=self._listen, args=(build, pipe), daemon=True).start()
            return build

    def latest(self) -> Build | None:
        """The build that runs, or ran last."""
        with self._lock:
            return self._builds[-1] if self._builds else None

    def build(self, number: int) -> Build | None:
        """A build that is still kept."""
        with self._lock:
            return next((b for b in self._builds if b.number == number), None)

    def stop(self) -> None:
        """Kill the worker and with it the build that runs; a new worker is started for the next."""
        with self._lock:
            build = self.latest()
            if build is not None and build.state == "running":
                build.state = "stopped"
                self._drop()
                self.warm()

    def close(self) -> None:
        """End the worker and remove every file."""
        with self._lock:
            for build in self._builds:
                build.state = "stopped" if build.state == "running" else build.state
            self._drop()
            shutil.rmtree(self._folder, ignore_errors=True)

    def _drop(self) -> None:
        """End the process, if there is one. Its listener closes its end of the pipe, or it is closed here."""
        process, pipe = self._process, self._pipe
        self._process = self._pipe = None
        if process is not None:
            process.kill()
            process.join()
            process.close()
        if pipe is not None:
            pipe.close()

    def _listen(self, build: Build, pipe: Connection) -> None:
        while True:
            try:
                kind, what = pipe.recv()
            except (EOFError, OSError, TypeError):  # the other end, or ours, is closed
                kind, what = "fault", "the process that computes has ended; start the build again"
            with self._lock:
                if build.state != "running":
                    return
                if kind == "say":
                    if len(build.lines) < MOST_LINES:
                        build.lines.append(str(what))
                    continue
                self._finish(build, kind, what)
                return

    @staticmethod
    def _finish(build: Build, kind: str, what: Any) -> None:
        if kind == "done":
            build.result, build.state = what, "done"
        elif kind == "refused":
            build.problems, build.state = what, "refused"
        else:
            build.lines.append(str(what))
            build.state = "fault"
