"""The local page: who is answered, what is never opened, what is never shown."""

from __future__ import annotations

import asyncio
import re
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from layout.errors import ExportError, JobError
from outputs.page import guard
from outputs.page.desk import Desk
from outputs.page.guard import MOST_BYTES, Guard, Session
from outputs.page.job_text import Start, job_from_page, named_files, start_of
from outputs.page.routes import application
from outputs.page.serve import ADDRESS, hosts_of, listening, serve

JOB = Path(__file__).parents[2] / "jobs" / "larkmoor-front-bay.toml"
GOOD = JOB.read_text(encoding="utf-8")
PORT = 43210
HERE = f"http://127.0.0.1:{PORT}"
FROM_HERE = {"origin": HERE}


class QuietDesk(Desk):
    """A desk whose worker is never started."""

    def warm(self) -> None:
        pass


@pytest.fixture
def session() -> Session:
    return Session()


@pytest.fixture
def desk() -> Iterator[QuietDesk]:
    found = QuietDesk()
    yield found
    found.close()


@pytest.fixture
def client(session: Session, desk: QuietDesk, caller: Any) -> Any:
    return caller(application(Start(GOOD), session, desk, hosts_of(PORT)), f"127.0.0.1:{PORT}")


def key_of(session: Session) -> dict[str, str]:
    return {"authorization": f"Bearer {session.key}", **FROM_HERE}


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:43210", "127.0.0.1", "127.0.0.1:1", "0.0.0.0:43210", "[::1]:43210", ""]
)
def test_other_names_of_this_machine_are_not_answered(client: Any, host: str) -> None:
    answer = client.get("/", headers={"host": host})
    assert answer.status == 403
    assert "textarea" not in answer.text


def test_a_host_given_twice_or_not_at_all_is_not_answered(client: Any) -> None:
    assert client.get("/", headers={"host": None}).status == 403
    assert client.get("/", headers={"Host": f"127.0.0.1:{PORT}"}).status == 403  # a second one beside "host"


@pytest.mark.parametrize("host", ["127.0.0.1:43210", "localhost:43210", "LOCALHOST:43210"])
def test_own_names_are_answered(client: Any, host: str) -> None:
    assert client.get("/", headers={"host": host}).status == 200


@pytest.mark.parametrize(
    "origin",
    ["http://evil.example", "null", "https://127.0.0.1:43210", "http://127.0.0.1:43211", "http://127.0.0.1:43210.evil.example"],
)
@pytest.mark.parametrize("method", ["GET", "POST"])
def test_pages_of_others_are_not_answered(client: Any, session: Session, origin: str, method: str) -> None:
    headers = {**key_of(session), "origin": origin}
    path = "/start" if method == "GET" else "/check"
    assert client.call(method, path, headers).status == 403


def test_what_changes_something_needs_an_origin(client: Any, session: Session) -> None:
    assert client.post("/open", {"link": session.link}).status == 403
    assert not session.used


def test_requests_from_other_sites_are_refused(client: Any) -> None:
    for site, status in (("cross-site", 403), ("same-site", 403), ("same-origin", 200), ("none", 200)):
        assert client.get("/", headers={"sec-fetch-site": site}).status == status


def test_link_opens_once(client: Any, session: Session) -> None:
    assert client.post("/open", {"link": "guess"}, headers=FROM_HERE).status == 403
    answer = client.post("/open", {"link": session.link}, headers=FROM_HERE)
    assert answer.json() == {"key": session.key}
    assert "set-cookie" not in answer.headers
    assert client.post("/open", {"link": session.link}, headers=FROM_HERE).status == 403


ROOMS = [("GET", "/start"), ("POST", "/check"), ("POST", "/build"), ("GET", "/build"), ("POST", "/stop")]


@pytest.mark.parametrize(("method", "path"), ROOMS)
@pytest.mark.parametrize("key", [None, "Bearer ", "Bearer guess", "Basic x", "Bearer é"])
def test_every_room_asks_for_the_key(client: Any, method: str, path: str, key: str | None) -> None:
    headers: dict[str, Any] = dict(FROM_HERE)
    if key is not None:
        headers["authorization"] = key.encode("utf-8")
    answer = client.call(method, path, headers)
    assert answer.status == 401
    assert "drawing_number" not in answer.text


def test_key_opens_the_rooms(client: Any, session: Session) -> None:
    assert client.get("/start", headers=key_of(session)).json()["text"] == GOOD
    assert client.get("/build", headers=key_of(session)).json() == {"state": "none"}


def chunks(size: int) -> Iterator[bytes]:
    for _ in range(size // 1024):
        yield b"x" * 1024


def test_body_is_counted_as_it_comes(client: Any, session: Session) -> None:
    """Sent in pieces, with no length in the header."""
    assert client.post("/check", pieces=chunks(MOST_BYTES + 1024), headers=key_of(session)).status == 413
    assert client.post("/check", pieces=chunks(MOST_BYTES), headers=key_of(session)).status == 400  # whole, but no JSON
    assert client.post("/check", pieces=[b"x" * (MOST_BYTES + 1)], headers=key_of(session)).status == 413


def raw(messages: list[dict[str, Any]], hang: bool) -> list[dict[str, Any]]:
    """Messages the guard sends for a body that comes in these pieces, and then hangs or ends."""
    sent: list[dict[str, Any]] = []
    reached: list[str] = []

    async def app(scope: Any, receive: Any, send: Any) -> None:
        reached.append(scope["path"])

    async def receive() -> dict[str, Any]:
        if messages:
            return messages.pop(0)
        await asyncio.sleep(60.0 if hang else 0.0)
        return {"type": "http.disconnect"}

    async def send(message: Any) -> None:
        sent.append(message)

    headers = [(b"host", f"127.0.0.1:{PORT}".encode()), (b"origin", HERE.encode()), (b"content-length", b"1")]
    scope = {"type": "http", "method": "POST", "path": "/build", "headers": headers}
    asyncio.run(Guard(app, hosts_of(PORT))(scope, receive, send))
    assert reached == []
    return sent


def test_stated_length_is_not_believed() -> None:
    piece = {"type": "http.request", "body": b"x" * 40_000, "more_body": True}
    assert raw([dict(piece), dict(piece)], hang=False)[0]["status"] == 413


def test_body_that_never_ends_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guard, "MOST_SECONDS", 0.05)
    assert raw([{"type": "http.request", "body": b"x", "more_body": True}], hang=True)[0]["status"] == 408
    assert raw([{"type": "http.request", "body": b"x", "more_body": True}], hang=False)[0]["status"] == 400


def test_sockets_are_not_answered() -> None:
    reached: list[str] = []

    async def app(scope: Any, receive: Any, send: Any) -> None:
        reached.append(scope["type"])

    asyncio.run(Guard(app, hosts_of(PORT))({"type": "websocket", "headers": []}, None, None))  # type: ignore[arg-type]
    assert reached == []


STRANGE_PATHS = [
    *(
        f"/made/{rest}"
        for rest in ("../../etc/passwd", "%2e%2e/%2e%2e/etc/passwd", "x/view.html", "/etc/passwd", "x/..%2fjob.toml")
    ),
    *("/../page.js", "/web/page.js", "/job.toml", "/results.json", "/page.html", "/%00", "/etc/passwd", "//etc/passwd"),
]


@pytest.mark.parametrize("path", STRANGE_PATHS)
def test_no_path_leads_to_a_file(client: Any, session: Session, path: str) -> None:
    answer = client.get(path, headers=key_of(session))
    assert answer.status == 404
    assert answer.json() == {"error": "there is no such page here"}


@pytest.mark.parametrize("path", ["/", "/page.js", "/page.css", "/start", "/nowhere", "/made/x/package.zip"])
def test_every_answer_is_fenced(client: Any, path: str) -> None:
    headers = client.get(path).headers
    policy = dict(rule.strip().split(" ", 1) for rule in headers["content-security-policy"].split(";"))
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == policy["connect-src"] == "'self'"
    assert policy["frame-ancestors"] == policy["base-uri"] == policy["form-action"] == "'none'"
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["cache-control"] == "no-store"
    assert headers["referrer-policy"] == "no-referrer"


def test_refusals_are_fenced_too(client: Any) -> None:
    headers = client.get("/", headers={"host": "evil.example"}).headers
    assert headers["x-content-type-options"] == "nosniff"
    assert "access-control-allow-origin" not in headers


def test_page_loads_only_its_own_files_and_sets_text_as_text() -> None:
    web = files("outputs.page").joinpath("web")
    page, script, style = (web.joinpath(n).read_text(encoding="utf-8") for n in ("page.html", "page.js", "page.css"))
    assert set(re.findall(r'(?:src|href)="([^"]*)"', page)) == {"/page.css", "/page.js"}
    assert not re.search(r"<style|\sstyle=|\son\w+=|<script>", page)
    assert not re.search(r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|eval\(|https?:", script)
    assert not re.search(r"url\(|@import", style)


WRONG_BODIES: list[Any] = [
    b"", b"{", b"[]", b"3", b"[" * 30_000, b'{"text": 3}', b'{"text": null}', b'{"text": "\\ud800"}', b"\xff\xfe",
]  # fmt: skip


@pytest.mark.parametrize("body", WRONG_BODIES)
@pytest.mark.parametrize("path", ["/check", "/build"])
def test_nonsense_is_refused_in_words(client: Any, session: Session, path: str, body: bytes) -> None:
    answer = client.post(path, pieces=[body], headers=key_of(session))
    assert answer.status == 400
    assert answer.json()["error"]
    assert "Traceback" not in answer.text


WRONG_NUMBERS: list[dict[str, Any]] = [
    *({"seconds": v} for v in (0, 1e9, "5", True, None)),
    *({"seed": v} for v in (-1, 1e99)),
    *({"arrangement": v} for v in (0, "1")),
]


@pytest.mark.parametrize("numbers", WRONG_NUMBERS)
def test_numbers_out_of_range_are_refused(client: Any, session: Session, desk: QuietDesk, numbers: dict[str, Any]) -> None:
    assert client.post("/build", {"text": GOOD, **numbers}, headers=key_of(session)).status == 400
    assert desk.latest() is None


def test_own_fault_is_said_without_its_inside(
    client: Any, session: Session, desk: QuietDesk, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken() -> None:
        raise RuntimeError("inside of the program")

    monkeypatch.setattr(desk, "latest", broken)
    answer = client.get("/build", headers=key_of(session))
    assert answer.status == 500
    assert "inside" not in answer.text
    assert "inside of the program" in capsys.readouterr().err


def test_problems_come_with_their_lines(client: Any, session: Session) -> None:
    text = GOOD.replace('mass = "118 kg"', "mass = -118").replace('wheelbase = "2390 mm"', 'wheelbase = "2390 kg"')
    found = client.post("/check", {"text": text}, headers=key_of(session)).json()
    lines = text.splitlines()
    assert [("wheelbase" in lines[p["line"] - 1], "-118" in lines[p["line"] - 1]) for p in found["problems"]] == [
        (True, False),
        (False, True),
    ]
    assert all(p["want"] and p["remedy"] for p in found["problems"])


def test_good_job_has_cautions_and_no_problem(client: Any, session: Session) -> None:
    found = client.post("/check", {"text": GOOD}, headers=key_of(session)).json()
    assert found["problems"] == []
    assert any("High voltage" in c for c in found["cautions"])


SCAN = '\n[bay.scan]\nfile = "{name}"\nunit = "mm"\n'


def with_scan(name: str) -> str:
    return GOOD.replace("[[bay.space]]", SCAN.format(name=name).lstrip() + "[[bay.space]]", 1)


@pytest.mark.parametrize("name", ["/etc/passwd", "../secret.stl", "other.stl", "scan.stl/../other.stl", "SCAN.STL"])
def test_file_named_only_by_the_page_is_not_even_looked_for(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    looked: list[str] = []

    def noted(self: Path, *_: Any, **__: Any) -> Any:
        looked.append(str(self))
        raise AssertionError(self)

    for method in ("open", "is_file", "exists", "stat", "read_bytes", "read_text"):
        monkeypatch.setattr(Path, method, noted)
    with pytest.raises(JobError) as told:
        job_from_page(with_scan(name), Start(GOOD, tmp_path, frozenset({"scan.stl"})))
    assert looked == []
    problem = next(p for p in told.value.problems if "serve" in p.remedy)
    assert problem.path == "bay.scan.file"
    assert name in with_scan(name).splitlines()[(problem.line or 0) - 1]


def test_files_of_the_job_given_at_the_start_are_allowed(tmp_path: Path) -> None:
    job = tmp_path / "mine.toml"
    job.write_text(with_scan("scan.stl"), encoding="utf-8")
    start = start_of(job)
    assert start.files == {"scan.stl"}
    assert start.folder == tmp_path.resolve()
    with pytest.raises(JobError, match="no such file beside the job file"):
        job_from_page(with_scan("scan.stl"), start)


def test_start_without_a_job_allows_no_file() -> None:
    start = start_of(None)
    assert (start.folder, start.files) == (None, frozenset())
    assert job_from_page(start.text, start)


def test_files_are_found_wherever_they_stand() -> None:
    data = {"a": [{"file": "x"}, {"b": {"file": "y"}}], "file": "z", "files": "no"}
    assert set(named_files(data)) == {("a[1].file", "x"), ("a[2].b.file", "y"), ("file", "z")}


def test_only_this_machine_is_listened_on_and_a_taken_port_is_said() -> None:
    with listening(0) as first:
        host, port = first.getsockname()
        assert host == ADDRESS == "127.0.0.1"
        first.listen()
        with pytest.raises(ExportError, match="--port"):
            listening(port)


def test_job_too_large_for_the_page_is_said(tmp_path: Path) -> None:
    job = tmp_path / "large.toml"
    job.write_text(GOOD + "# " + "x" * MOST_BYTES, encoding="utf-8")
    with pytest.raises(JobError, match="boxwright build"):
        serve(job, 0, lambda _: None)
