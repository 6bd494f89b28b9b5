"""What the page asks, and what it is told. No text from the page is ever used as the name of a file."""

from __future__ import annotations

import json
import sys
import traceback
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from functools import partial
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from layout.cautions import CAUTIONS
from layout.errors import JobError
from layout.job.sense import cautions
from outputs.page.desk import Build, Busy, Desk
from outputs.page.guard import Guard, Session
from outputs.page.job_text import Start, job_from_page
from outputs.page.worker import problem_rows

Data = dict[str, Any]

PAGE: Final = {
    "/": ("page.html", "text/html"),
    "/page.css": ("page.css", "text/css"),
    "/page.js": ("page.js", "text/javascript"),
}
LONGEST_SECONDS: Final = 600.0


class Wrong(Exception):
    """A request that the page does not send. status: of the answer."""

    def __init__(self, status: int, words: str) -> None:
        super().__init__(words)
        self.status = status


def application(start: Start, session: Session, desk: Desk, hosts: frozenset[str]) -> ASGIApp:
    """The whole server as an ASGI application. hosts: names with port under which it may be addressed."""
    rooms = _Rooms(start, session, desk)
    routes = [Route(path, partial(_asset, name, kind)) for path, (name, kind) in PAGE.items()]
    routes += [
        Route("/favicon.ico", _nothing),
        Route("/open", rooms.answering(rooms.open, free=True), methods=["POST"]),
        Route("/start", rooms.answering(rooms.beginning)),
        Route("/check", rooms.answering(rooms.check), methods=["POST"]),
        Route("/build", rooms.answering(rooms.build), methods=["POST"]),
        Route("/build", rooms.answering(rooms.progress)),
        Route("/stop", rooms.answering(rooms.stop), methods=["POST"]),
        Route("/made/{name}/{what}", rooms.made),
    ]
    handlers: dict[Any, Any] = {HTTPException: _plain, Exception: _fault}

    @asynccontextmanager
    async def life(_: Starlette) -> AsyncIterator[None]:
        await run_in_threadpool(desk.warm)
        yield
        await run_in_threadpool(desk.close)

    return Guard(Starlette(routes=routes, exception_handlers=handlers, lifespan=life), hosts)


async def _asset(name: str, kind: str, _: Request) -> Response:
    text = files("outputs.page").joinpath(f"web/{name}").read_bytes()
    return Response(text, media_type=kind)


async def _nothing(_: Request) -> Response:
    return Response(status_code=204)


async def _plain(_: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 400
    return JSONResponse({"error": "there is no such page here"}, status)


async def _fault(_: Request, error: Exception) -> Response:
    sys.stderr.write("boxwright: our own fault. Please report the lines below.\n")
    traceback.print_exception(error)
    return JSONResponse({"error": "boxwright's own fault; the terminal shows what to report"}, 500)


class _Rooms:
    """The answers, with what they need."""

    def __init__(self, start: Start, session: Session, desk: Desk) -> None:
        self.start, self.session, self.desk = start, session, desk
        self.offered: dict[str, tuple[int, str]] = {}

    def answering(
        self, answer: Callable[[Request, Data], Any], *, free: bool = False
    ) -> Callable[[Request], Awaitable[Response]]:
        """An endpoint that gives JSON, to the session's own page only unless `free`; work goes on beside the server's loop."""

        async def endpoint(request: Request) -> Response:
            if not free and not self.session.knows(request.headers.get("authorization", "")):
                return JSONResponse({"error": "open the page with the link that the terminal shows"}, 401)
            try:
                sent = _sent(await request.body()) if request.method == "POST" else {}
                return JSONResponse(await run_in_threadpool(answer, request, sent))
            except Wrong as wrong:
                return JSONResponse({"error": str(wrong)}, wrong.status)

        return endpoint

    def open(self, _: Request, sent: Data) -> Data:
        """The key of the session for the secret of the link."""
        key = self.session.exchange(_text(sent, "link"))
        if key is None:
            raise Wrong(403, "this link was used already or is wrong; stop boxwright in the terminal and start it again")
        return {"key": key}

    def beginning(self, _: Request, __: Data) -> Data:
        """The job file to start from."""
        return {"text": self.start.text, "files": sorted(self.start.files), "cautions": list(CAUTIONS)}

    def check(self, _: Request, sent: Data) -> Data:
        """Problems and cautions of a job file."""
        try:
            job = job_from_page(_text(sent, "text"), self.start)
        except JobError as error:
            return {"problems": problem_rows(error.problems), "cautions": []}
        return {"problems": [], "cautions": [*cautions(job), *CAUTIONS]}

    def build(self, _: Request, sent: Data) -> Data:
        """Begin a build."""
        text, arrangement = _text(sent, "text"), sent.get("arrangement")
        seconds = _number(sent, "seconds", 20.0, 0.1, LONGEST_SECONDS)
        seed = int(_number(sent, "seed", 0, 0, 2**31 - 1))
        number = None if arrangement is None else int(_number(sent, "arrangement", 1, 1, 10_000))
        try:
            build = self.desk.start(text, self.start, seconds, seed, number)
        except Busy:
            raise Wrong(409, "a build is running; wait for it or stop it") from None
        return {"number": build.number}

    def progress(self, request: Request, _: Data) -> Data:
        """How far the last build is: lines of progress from `since` on, and what came of it."""
        build = self.desk.latest()
        if build is None:
            return {"state": "none"}
        since = request.query_params.get("since", "0")
        first = int(since) if since.isascii() and since.isdigit() and len(since) < 8 else 0
        data: Data = {"number": build.number, "state": build.state, "lines": build.lines[first:], "next": len(build.lines)}
        if build.state == "done":
            data |= {"result": build.result, "made": self._offer(build)}
        return data | {"problems": build.problems}

    def stop(self, _: Request, __: Data) -> Data:
        """Kill the build that runs."""
        self.desk.stop()
        return {"stopped": True}

    def _offer(self, build: Build) -> Data:
        """Names under which what was made can be fetched: known to this session only, and never a path."""
        offers = {}
        for what in ("view", "package"):
            name = self.session.name_of(f"{build.number} {what}")
            self.offered[name] = (build.number, what)
            offers[what] = f"/made/{name}/{'view.html' if what == 'view' else 'package.zip'}"
        return offers

    async def made(self, request: Request) -> Response:
        """A file that was offered. The name in the address is looked up, never opened."""
        number, what = self.offered.get(request.path_params["name"], (0, ""))
        build = self.desk.build(number)
        ending = {"view": "view.html", "package": "package.zip"}.get(what)
        if build is None or build.state != "done" or request.path_params["what"] != ending:
            raise HTTPException(404)
        return _view(build.folder) if what == "view" else _package(build)


def _view(folder: Path) -> Response:
    from outputs.view import view_policy

    policy = f"{view_policy()}; frame-ancestors 'self'; sandbox allow-scripts"
    return FileResponse(folder / "package" / "view.html", media_type="text/html", headers={"content-security-policy": policy})


def _package(build: Build) -> Response:
    name = (build.result or {}).get("name", "package.zip")
    return FileResponse(build.folder / "package.zip", media_type="application/zip", filename=name)


def _sent(body: bytes) -> Data:
    try:
        data = json.loads(body or b"{}")
    except (ValueError, RecursionError):
        raise Wrong(400, "the request is not JSON") from None
    if not isinstance(data, dict):
        raise Wrong(400, "the request is not an object")
    return data


def _text(sent: Data, key: str) -> str:
    value = sent.get(key)
    if not isinstance(value, str):
        raise Wrong(400, f"{key} must be text")
    try:
        value.encode("utf-8")
    except UnicodeEncodeError:  # half of a surrogate pair
        raise Wrong(400, f"{key} must be text that can be written as UTF-8") from None
    return value


def _number(sent: Data, key: str, default: float, low: float, high: float) -> float:
    value = sent.get(key, default)
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not low <= value <= high:
        raise Wrong(400, f"{key} must be a number from {low:g} to {high:g}")
    return value
