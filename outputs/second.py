"""A second process for work that needs no CAD kernel, so that two cores write a package at once.

Tasks are plain functions of the package with arguments that can be pickled. They wait in a line: the second process takes them
from its front; whoever asks for the result of a task that still waits does it on the spot. So is everything done where there
is no second core, where no process can be started, where the second process ends early, and where a task fails there: it then
raises its error here. The files are the same.
"""

from __future__ import annotations

import os
import pickle
import signal
import subprocess
import sys
import threading
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import IO, Any, Generic, TypeVar

T = TypeVar("T")

AHEAD = 2
"""Tasks that the second process holds at once: while it works on one, the next lies ready."""
_START = "import sys, pickle; sys.path[:] = pickle.load(sys.stdin.buffer); from outputs.second import serve; serve()"


class Task(Generic[T]):
    """Work that is done once, here or in the second process."""

    def __init__(self, function: Callable[..., T], arguments: tuple[Any, ...], line: _Line | None) -> None:
        self.function, self.arguments, self.line = function, arguments, line
        self.over = threading.Event()
        self.answer: tuple[T] | None = None

    def result(self) -> T:
        """What the function returns. Raises what it raises."""
        if self.answer is None and self.line is not None and not self.line.take_back(self):
            self.over.wait()
        if self.answer is None:
            self.over.set()
            self.answer = (self.function(*self.arguments),)
        return self.answer[0]


class _Line:
    """Tasks that wait, in order."""

    def __init__(self) -> None:
        self.waiting: deque[Task[Any]] = deque()
        self.changed = threading.Condition()
        self.closed = False

    def add(self, task: Task[Any]) -> None:
        with self.changed:
            self.waiting.append(task)
            self.changed.notify_all()

    def take(self) -> Task[Any] | None:
        with self.changed:
            self.changed.wait_for(lambda: self.closed or self.waiting)
            return self.waiting.popleft() if self.waiting and not self.closed else None

    def take_back(self, task: Task[Any]) -> bool:
        with self.changed:
            if task not in self.waiting:
                return False
            self.waiting.remove(task)
            return True

    def close(self) -> None:
        with self.changed:
            self.closed = True
            self.waiting.clear()
            self.changed.notify_all()


class Second:
    """Where tasks are handed in. `line` is None where all is done on the spot."""

    def __init__(self, line: _Line | None = None) -> None:
        self.line = line

    def submit(self, function: Callable[..., T], *arguments: object) -> Task[T]:
        """Hand in a task; ask it for its result later."""
        task = Task(function, arguments, self.line)
        if self.line is not None:
            self.line.add(task)
        return task


HERE = Second()
"""Everything on the spot."""


@contextmanager
def second_process() -> Iterator[Second]:
    """A second process while inside; it is gone afterwards, also after an error."""
    process = _started() if _cores() > 1 else None
    if process is None:
        yield HERE
        return
    line = _Line()
    threads = _threads(process, line)
    try:
        yield Second(line)
    finally:
        line.close()
        process.kill()
        for thread in threads:
            thread.join()
        for pipe in (process.stdin, process.stdout):
            _shut(pipe)
        process.wait()


def _cores() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _started() -> subprocess.Popen[bytes] | None:
    try:
        return subprocess.Popen([sys.executable, "-c", _START], stdin=subprocess.PIPE, stdout=subprocess.PIPE)
    except OSError:
        return None


def _threads(process: subprocess.Popen[bytes], line: _Line) -> tuple[threading.Thread, ...]:
    """One thread hands tasks over, one takes answers in. When either ends, all that is still out is given back."""
    out: deque[Task[Any]] = deque()
    room = threading.Semaphore(AHEAD)
    assert process.stdin is not None
    assert process.stdout is not None
    write, read = process.stdin, process.stdout

    def hand_over() -> None:
        try:
            write.write(pickle.dumps(sys.path))
            while room.acquire() and (task := line.take()) is not None:
                out.append(task)
                write.write(pickle.dumps((task.function, task.arguments), pickle.HIGHEST_PROTOCOL))
                write.flush()
        except (OSError, ValueError, TypeError, AttributeError, pickle.PicklingError):
            process.kill()

    def take_in() -> None:
        try:
            while True:
                answer = pickle.load(read)
                task = out.popleft()
                task.answer = answer
                task.over.set()
                room.release()
        except (EOFError, OSError, ValueError, TypeError, AttributeError, ImportError, pickle.UnpicklingError):
            _give_back(line, out)
            room.release()

    threads = tuple(threading.Thread(target=t, daemon=True) for t in (hand_over, take_in))
    for thread in threads:
        thread.start()
    return threads


def _give_back(line: _Line, out: deque[Task[Any]]) -> None:
    """The second process is gone: nothing waits for it any longer."""
    with line.changed:
        lost = [*out, *line.waiting]
    line.close()
    for task in lost:
        task.over.set()


def _shut(pipe: IO[bytes] | None) -> None:
    if pipe is not None:
        try:
            pipe.close()
        except OSError:  # what was not handed over is not wanted any longer
            return


def serve() -> None:
    """Life of the second process: task after task until the pipe closes. Standard output is for answers alone."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    while True:
        try:
            function, arguments = pickle.load(sys.stdin.buffer)
        except EOFError:
            return
        try:
            answer = pickle.dumps((function(*arguments),), pickle.HIGHEST_PROTOCOL)
        except Exception:  # noqa: BLE001 - whatever it is: whoever asks for the result does the task again and gets the error
            answer = pickle.dumps(None)
        answers.write(answer)
        answers.flush()
