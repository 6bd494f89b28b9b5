"""Who is answered at all. Everything here is decided before a route sees the request."""

from __future__ import annotations

import asyncio
import hmac
import secrets
import threading
from dataclasses import dataclass, field
from typing import Final

from starlette.responses import JSONResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

MOST_BYTES: Final = 64 * 1024
"""Largest body of a request."""
MOST_SECONDS: Final = 10.0
"""Longest time for a body to arrive."""

POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; frame-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
HEADERS: Final = {
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cache-control": "no-store",
    "cross-origin-resource-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
}


@dataclass
class Session:
    """The one session of a server: link, the secret of the printed link, good once; key, sent by the page with every request.

    No cookie: cookies are shared by all ports of a host.
    """

    link: str = field(default_factory=lambda: secrets.token_urlsafe(32))
    key: str = field(default_factory=lambda: secrets.token_urlsafe(32))
    used: bool = False
    lock: threading.Lock = field(default_factory=threading.Lock)

    def exchange(self, given: str) -> str | None:
        """The key for the link's secret, once."""
        with self.lock:
            if self.used or not _same(given, self.link):
                return None
            self.used = True
            return self.key

    def knows(self, authorization: str) -> bool:
        """Whether a request carries the key."""
        return _same(authorization, f"Bearer {self.key}")

    def name_of(self, digest: str) -> str:
        """A name for something made, that only this session can work out."""
        return hmac.new(self.key.encode("ascii"), digest.encode("utf-8"), "sha256").hexdigest()


def _same(given: str, wanted: str) -> bool:
    return hmac.compare_digest(given.encode("utf-8"), wanted.encode("utf-8"))


class Guard:
    """Lets a request pass only to this server's own names, from its own page, with a body of bounded size."""

    def __init__(self, app: ASGIApp, hosts: frozenset[str]) -> None:
        self.app = app
        self.hosts = hosts
        self.origins = frozenset(f"http://{h}" for h in hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request with 403, 408 or 413, or let it pass with its body already read."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            return  # no sockets here
        wrong = self._wrong(scope)
        if wrong is not None:
            await JSONResponse({"error": wrong}, 403, HEADERS)(scope, receive, send)
            return
        body = await _body(receive)
        if isinstance(body, int):
            words = "the request is larger than 64 kB" if body == 413 else "the request did not arrive whole"
            await JSONResponse({"error": words}, body, HEADERS | {"connection": "close"})(scope, receive, send)
            return
        await self.app(scope, _replayed(body, receive), _with_headers(send))

    def _wrong(self, scope: Scope) -> str | None:
        headers = [(k.decode("latin-1").lower(), v.decode("latin-1")) for k, v in scope["headers"]]
        hosts = [v for k, v in headers if k == "host"]
        if len(hosts) != 1 or hosts[0].lower() not in self.hosts:
            return "this server answers only under its own address"
        origins = [v for k, v in headers if k == "origin"]
        if any(o.lower() not in self.origins for o in origins) or (scope["method"] not in ("GET", "HEAD") and not origins):
            return "this server answers only its own page"
        if any(k == "sec-fetch-site" and v not in ("same-origin", "none") for k, v in headers):
            return "this server answers only its own page"
        return None


async def _body(receive: Receive) -> bytes | int:
    """The whole body, or the status to refuse it with. Bytes are counted as they come; no header is believed."""
    parts: list[bytes] = []
    size = 0
    try:
        async with asyncio.timeout(MOST_SECONDS):
            while True:
                message = await receive()
                if message["type"] != "http.request":
                    return 400
                part = message.get("body", b"")
                size += len(part)
                if size > MOST_BYTES:
                    return 413
                parts.append(part)
                if not message.get("more_body", False):
                    return b"".join(parts)
    except TimeoutError:
        return 408


def _replayed(body: bytes, receive: Receive) -> Receive:
    """The body in one piece, then whatever the connection tells (that the other side left, say)."""
    waiting: list[Message] = [{"type": "http.request", "body": body, "more_body": False}]

    async def receiving() -> Message:
        return waiting.pop() if waiting else await receive()

    return receiving


def _with_headers(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            given = {k.lower() for k, _ in message["headers"]}
            extra = HEADERS | {"content-security-policy": POLICY}
            added = [(k.encode("latin-1"), v.encode("latin-1")) for k, v in extra.items() if k.encode("latin-1") not in given]
            message = {**message, "headers": [*message["headers"], *added]}
        await send(message)

    return sending
