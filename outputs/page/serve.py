"""Socket, link, server: on this machine alone."""

from __future__ import annotations

import socket
from collections.abc import Callable
from pathlib import Path
from typing import Final

import uvicorn

from layout.errors import ExportError, JobError, Problem
from outputs.page.desk import Desk
from outputs.page.guard import MOST_BYTES, Session
from outputs.page.job_text import start_of
from outputs.page.routes import application

ADDRESS: Final = "127.0.0.1"
"""The only address that is listened on; no option changes it."""


def hosts_of(port: int) -> frozenset[str]:
    """Names under which the server may be addressed."""
    return frozenset({f"{ADDRESS}:{port}", f"localhost:{port}"})


def listening(port: int) -> socket.socket:
    """A socket on this machine's own address. port 0: any that is free. Raises ExportError where it is taken."""
    found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        found.bind((ADDRESS, port))
    except OSError as error:
        found.close()
        raise ExportError(
            f"port {port} of {ADDRESS} cannot be used: {error.strerror or error}. Name another with --port"
        ) from error
    return found


def serve(job: Path | None, port: int, say: Callable[[str], None]) -> None:
    """Serve until Ctrl-C.

    Raises:
        JobError: the job file cannot be read as text, or is too large for the page.
        ExportError: the port is taken.
    """
    start = start_of(job)
    if len(start.text.encode("utf-8")) > MOST_BYTES * 3 // 4:
        want = f"a job file of at most {MOST_BYTES * 3 // 4096} kB for the page"
        raise JobError([Problem(str(job), f"{len(start.text) // 1024} kB", want, "Use `boxwright build` for it.")])
    session, desk = Session(), Desk()
    try:
        with listening(port) as found:
            number = found.getsockname()[1]
            say(f"open this link in a browser on this machine (it works once):\n  http://{ADDRESS}:{number}/#{session.link}")
            say("Ctrl-C ends it.")
            app = application(start, session, desk, hosts_of(number))
            config = uvicorn.Config(
                app, log_level="warning", access_log=False, server_header=False, date_header=False, ws="none",
                limit_concurrency=64, timeout_keep_alive=5, timeout_graceful_shutdown=2, proxy_headers=False,
            )  # fmt: skip
            uvicorn.Server(config).run(sockets=[found])
    except KeyboardInterrupt:
        pass
    finally:
        desk.close()
