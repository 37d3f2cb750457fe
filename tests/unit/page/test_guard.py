"""Who the page's server answers: asked over a real socket, as any program on the machine could."""

from __future__ import annotations

import http.client
import json
import socket
from collections.abc import Iterator
from pathlib import Path
from threading import Thread
from typing import Any

import pytest

from rootroom.page.serving import Serving

PLAN = 'format = 1\nplants = [ { name = "Fig", count = 2, now = "#1", to = "#3" } ]\n'


@pytest.fixture(scope="module")
def serving(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Serving]:
    """Return the page of a small plan, served."""
    path = tmp_path_factory.mktemp("page") / "small.toml"
    path.write_text(PLAN, "utf-8")
    served = Serving(path)
    Thread(target=served.serve, daemon=True).start()
    yield served
    served.close()


def ask(serving: Serving, method: str, path: str, body: Any = None, **headers: str) -> Any:
    """Return the answer to one request that is right but for the headers given; "" leaves one."""
    host = f"127.0.0.1:{serving.port}"
    usual = {
        "Host": host, "Origin": f"http://{host}", "Content-Type": "application/json",
        "X-Rootroom-Key": serving.key,
    }  # fmt: skip
    given = {name: text for name, text in {**usual, **headers}.items() if text}
    sent = body if isinstance(body, bytes) else json.dumps(body or {"window": "w"}).encode()
    connection = http.client.HTTPConnection("127.0.0.1", serving.port, timeout=10)
    try:
        connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
        for name, text in {**given, "Content-Length": str(len(sent))}.items():
            connection.putheader(name, text)
        connection.endheaders(sent)
        answer = connection.getresponse()
        answer.said = answer.read()  # type: ignore[attr-defined]
        return answer
    finally:
        connection.close()


def test_the_page_itself_is_answered(serving: Serving) -> None:
    """With host, origin and key the state comes, and it names the plan."""
    answer = ask(serving, "POST", "/api/state")

    assert 200 == answer.status
    assert "small.toml" == json.loads(answer.said)["file"]


WRONG = {
    "a name that somebody points here": ({"Host": "rebind.example:80"}, 403),
    "a name that somebody points here, with the port": ({"Host": "rebind.example:{port}"}, 403),
    "another name of this machine": ({"Host": "localhost:{port}"}, 403),
    "no host": ({"Host": ""}, 403),
    "another site": ({"Origin": "https://elsewhere.example"}, 403),
    "another port of this machine": ({"Origin": "http://127.0.0.1:1"}, 403),
    "a page without an origin": ({"Origin": "null"}, 403),
    "no origin": ({"Origin": ""}, 403),
    "a page elsewhere, by what the browser says": ({"Sec-Fetch-Site": "cross-site"}, 403),
    "another server of this machine": ({"Sec-Fetch-Site": "same-site"}, 403),
    "a wrong key": ({"X-Rootroom-Key": "x" * 43}, 403),
    "no key": ({"X-Rootroom-Key": ""}, 403),
    "a form": ({"Content-Type": "application/x-www-form-urlencoded"}, 415),
    "plain text, which needs no leave": ({"Content-Type": "text/plain"}, 415),
}


@pytest.mark.parametrize("case", WRONG)
def test_error_nobody_else_is_answered(serving: Serving, case: str) -> None:
    """Wrong in one thing alone, a request gets a status and nothing of the plan."""
    headers, status = WRONG[case]
    filled = {name: text.format(port=serving.port) for name, text in headers.items()}
    answer = ask(serving, "POST", "/api/state", **filled)

    assert status == answer.status
    assert b"Fig" not in answer.said


@pytest.mark.parametrize("method", ["PUT", "DELETE", "OPTIONS", "TRACE", "PATCH", "PROPFIND"])
def test_error_other_methods_are_refused(serving: Serving, method: str) -> None:
    """Nothing but GET, HEAD and POST is known."""
    assert 405 == ask(serving, method, "/api/state").status


@pytest.mark.parametrize("path", ["/api/state", "/api/do", "/api/hello"])
def test_error_nothing_of_the_plan_by_get(serving: Serving, path: str) -> None:
    """A GET neither tells of the plan nor changes it."""
    assert 405 == ask(serving, "GET", path).status


@pytest.mark.parametrize(
    "path",
    [
        "/static/../routes.py", "/static/%2e%2e/routes.py", "/static/..%2froutes.py",
        "/static//etc/passwd", "/../../etc/passwd", "/static/page.css%00.py", "/phone/..",
        "/phone/%2e%2e%2fsmall.toml", "/phone/x", "/api/../static/page.css", "/static/",
    ],
)  # fmt: skip
def test_error_no_path_leads_elsewhere(serving: Serving, path: str) -> None:
    """Only names that are listed are handed out."""
    answer = ask(serving, "GET", path, **{"Origin": ""})

    assert answer.status in (400, 404, 405)
    assert b"root:" not in answer.said
    assert b"import" not in answer.said


def test_error_ten_megabytes_are_not_read(serving: Serving) -> None:
    """A body of 10 MB is refused by its length, and the server goes on."""
    host = f"127.0.0.1:{serving.port}"
    with socket.create_connection(("127.0.0.1", serving.port), timeout=10) as raw:
        raw.sendall(
            f"POST /api/do HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\n"
            f"X-Rootroom-Key: {serving.key}\r\nContent-Type: application/json\r\n"
            "Content-Length: 10000000\r\n\r\n".encode()
            + b"x" * 65536
        )
        assert b" 413 " in raw.recv(200)

    assert 200 == ask(serving, "POST", "/api/state").status


def test_error_a_request_that_never_ends_is_ended(tmp_path: Path) -> None:
    """A connection that stops in the middle of a request is closed, and others are answered."""
    path = tmp_path / "small.toml"
    path.write_text(PLAN, "utf-8")
    served = Serving(path, patience_s=1)
    Thread(target=served.serve, daemon=True).start()
    try:
        with socket.create_connection(("127.0.0.1", served.port), timeout=30) as raw:
            raw.sendall(b"POST /api/state HTTP/1.1\r\nHost: ")
            assert 200 == ask(served, "POST", "/api/state").status
            assert raw.recv(100) == b""
    finally:
        served.close()


@pytest.mark.parametrize("body", [b"", b"[1]", b"{", b'{"window": 3}', b"[" * 100_000, b"\xff\xfe"])
def test_error_what_is_no_question_is_refused(serving: Serving, body: bytes) -> None:
    """A body that is no object of JSON with a window is refused, never an error of the server."""
    assert 400 == ask(serving, "POST", "/api/do", body).status


@pytest.mark.parametrize(
    "given",
    [
        {"what": "set", "path": [], "value": "1"},
        {"what": "set", "path": ["plants", -1, "to"], "value": "1"},
        {"what": "set", "path": ["plants", 9, "to"], "value": "1"},
        {"what": "set", "path": ["plants", 0, "to", "x", "y"], "value": "1"},
        {"what": "set", "path": ["plants", 0, "to"], "value": 3},
        {"what": "set", "path": [None], "value": "1"},
        {"what": "move", "path": ["plants", 0], "to": "x"},
        {"what": "remove", "path": ["nothing"]},
        {"what": "further", "path": ["format"]},
        {"what": "__class__"},
        {"what": "whole"},
    ],
)
def test_error_odd_wishes_change_nothing(serving: Serving, given: dict[str, Any]) -> None:
    """What cannot be done is told in words, and the text stays."""
    answer = ask(serving, "POST", "/api/do", {"window": "w", **given})

    assert 200 == answer.status
    assert PLAN == serving.page.desk.text


def test_every_answer_forbids_what_the_page_does_not_need(serving: Serving) -> None:
    """No script but the page's own, no frame around it, nothing kept, no name of the server."""
    for path in ("/", "/static/main.js", "/nothing"):
        answer = ask(serving, "GET", path, **{"Origin": ""})
        policy = answer.headers["Content-Security-Policy"]
        assert "default-src 'none'" in policy
        assert "script-src 'self'" in policy
        assert "unsafe" not in policy
        assert "no-store" == answer.headers["Cache-Control"]
        assert "nosniff" == answer.headers["X-Content-Type-Options"]
        assert "DENY" == answer.headers["X-Frame-Options"]
        assert answer.headers["Server"] is None
        assert answer.headers["Access-Control-Allow-Origin"] is None


def test_the_key_is_long_and_never_sent_in_a_path(serving: Serving) -> None:
    """The address keeps the key behind `#`; it has 256 bits."""
    before, _, key = serving.address.partition("#")

    assert key == serving.key
    assert key not in before
    assert len(key) >= 43


def test_only_this_machine_is_listened_to(serving: Serving) -> None:
    """The socket is bound to the loopback address."""
    assert "127.0.0.1" == serving.server.socket.getsockname()[0]
