"""A caller that speaks ASGI itself, so that a test decides every byte of a request."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from urllib.parse import unquote

import pytest


@dataclass
class Answer:
    """What came back. headers: names in small letters."""

    status: int
    headers: dict[str, str]
    content: bytes

    @property
    def text(self) -> str:
        return self.content.decode("utf-8")

    def json(self) -> Any:
        return json.loads(self.content)


class Caller:
    """Calls an application under one host name. A header given as None is not sent."""

    def __init__(self, app: Any, host: str) -> None:
        self.app, self.host = app, host

    def get(self, path: str, headers: dict[str, Any] | None = None) -> Answer:
        return self.call("GET", path, headers)

    def post(self, path: str, data: Any = None, headers: dict[str, Any] | None = None, pieces: Iterable[bytes] = ()) -> Answer:
        return self.call("POST", path, headers, [json.dumps(data).encode()] if data is not None else list(pieces))

    def call(self, method: str, path: str, headers: dict[str, Any] | None = None, pieces: list[bytes] | None = None) -> Answer:
        given = {"host": self.host} | (headers or {})
        bare, _, query = path.partition("?")
        raw = [(k.encode(), v if isinstance(v, bytes) else v.encode("latin-1")) for k, v in given.items() if v is not None]
        scope = {
            "type": "http",
            "asgi": {"version": "3.0"},
            "http_version": "1.1",
            "method": method,
            "scheme": "http",
            "path": unquote(bare),
            "raw_path": bare.encode(),
            "query_string": query.encode(),
            "root_path": "",
            "headers": raw,
            "client": ("127.0.0.1", 50000),
            "server": ("127.0.0.1", 80),
        }
        return asyncio.run(self._call(scope, pieces or [b""]))

    async def _call(self, scope: dict[str, Any], pieces: list[bytes]) -> Answer:
        waiting = [{"type": "http.request", "body": p, "more_body": i < len(pieces) - 1} for i, p in enumerate(pieces)]
        sent: list[Any] = []

        async def receive() -> dict[str, Any]:
            if waiting:
                return waiting.pop(0)
            await asyncio.sleep(3600.0)  # the other side stays until it has the whole answer
            return {"type": "http.disconnect"}

        async def send(message: Any) -> None:
            sent.append(message)

        try:
            await self.app(scope, receive, send)
        except Exception:  # noqa: BLE001 - the server logs it after it has answered
            assert sent, "no answer at all"
        headers = {k.decode("latin-1"): v.decode("latin-1") for k, v in sent[0]["headers"]}
        return Answer(sent[0]["status"], headers, b"".join(m.get("body", b"") for m in sent[1:]))


@pytest.fixture(scope="session")
def caller() -> type[Caller]:
    return Caller
