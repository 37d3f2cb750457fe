"""The server on the loopback address, from its first port to its end, and who may ask it.

Only the page itself may, opened by whoever started it.
The server listens on the loopback address alone, but every site that is open in the same browser
can send requests there, and a name under somebody's control can be pointed at it. So the host must
be the address itself, an origin must be our own, and every answer about the plan needs the key that
stands in the address which the program prints. The key is in the part behind `#`, which no browser
sends or hands on; the page sends it in a header. There is no cookie, since cookies of a machine are
shared by all its ports.
"""

from __future__ import annotations

import hashlib
import http.client
import secrets
import webbrowser
from collections.abc import Callable, Iterable
from hmac import compare_digest
from pathlib import Path
from threading import Thread
from typing import Any

import waitress
from attrs import frozen

from rootroom.page.desk import Desk
from rootroom.page.routes import Page, application
from rootroom.problems import TextError

KEY_BYTES = 32
THREADS = 6
PATIENCE_S = 20
"""How long a connection may say nothing [s]."""
MOST_CONNECTIONS = 60
"""Open at once, far more than a few windows of one browser hold."""
MOST_HEADER_BYTES = 32_768
"""Far more than a browser sends by itself."""
FIRST_PORT, LAST_PORT = 49_152, 65_535
"""Ports that no service has for its own (RFC 6335)."""


class Serving:
    """One plan's page, served until it is closed."""

    def __init__(self, path: Path, *, port: int = 0, patience_s: int = PATIENCE_S) -> None:
        """Open the plan and the port; TextError for a plan that no page can show, else OSError.

        `patience_s` is how long a connection may say nothing [s].
        """
        port = port or usual_port(path)
        if already_open(port):
            message = f"{path.name} is open already, in another `rootroom open`"
            raise TextError(
                message, code="open-already", hint="go on there, end it, or give a --port"
            )
        self.page = Page(Desk.open(path))
        self.key = secrets.token_urlsafe(KEY_BYTES)
        guard = Guard(application(self.page), self.key, lambda: self.port)
        self.closed = False
        self.server = _server(guard, port, patience_s)
        self.port = int(self.server.effective_port)

    @property
    def address(self) -> str:
        """What to open: the key stands behind `#`, so that it is sent to nobody."""
        return f"http://{ADDRESS}:{self.port}/#{self.key}"

    def run(self, *, browser: bool, tell: Callable[[str], None]) -> None:
        """Serve until interrupted."""
        self.page.background.prepare()
        tell(self.address)
        if browser:
            Thread(target=webbrowser.open, args=(self.address,), daemon=True).start()
        try:
            self.serve()
        finally:
            self.close()

    def serve(self) -> None:
        """Answer until the server is closed, by another thread perhaps."""
        try:
            self.server.run()
        except (OSError, ValueError, KeyError, RuntimeError):
            # Its loop stumbles over a socket that was closed beneath it.
            if not self.closed:
                raise

    def close(self) -> None:
        """End the server and what works for it."""
        self.closed = True
        self.page.background.close()
        self.server.close()


def usual_port(path: Path) -> int:
    """Return the port of a plan: the same at each start, so that a second one finds the first."""
    digest = hashlib.sha256(str(path.resolve()).encode()).digest()
    return FIRST_PORT + int.from_bytes(digest[:4], "big") % (LAST_PORT - FIRST_PORT)


def already_open(port: int) -> bool:
    """Whether a page of ours answers at a port; it refuses who has no key in words of its own."""
    connection = http.client.HTTPConnection(ADDRESS, port, timeout=2)
    try:
        headers = {"Origin": f"http://{ADDRESS}:{port}", "Content-Type": "application/json"}
        connection.request("POST", "/api/state", body="{}", headers=headers)
        return WRONG_KEY.words in connection.getresponse().read(1000).decode("utf-8", "replace")
    except (OSError, http.client.HTTPException):
        return False
    finally:
        connection.close()


def _server(guard: Guard, port: int, patience_s: int) -> Any:
    """Return the server at a port; at any free one where somebody else has that."""
    for number in (port, 0):
        try:
            return waitress.create_server(
                guard,
                host=ADDRESS,
                port=number,
                threads=THREADS,
                ident=None,
                channel_timeout=patience_s,
                cleanup_interval=max(1, patience_s // 4),
                connection_limit=MOST_CONNECTIONS,
                max_request_header_size=MOST_HEADER_BYTES,
                max_request_body_size=MOST_BYTES,
                clear_untrusted_proxy_headers=True,
            )
        except OSError:
            if number == 0:
                raise
    raise AssertionError


Environ = dict[str, Any]
Start = Callable[..., Any]
App = Callable[[Environ, Start], Iterable[bytes]]

ADDRESS = "127.0.0.1"
KEY_HEADER = "HTTP_X_ROOTROOM_KEY"
MOST_BYTES = 2_500_000
"""The largest request: a whole plan of the largest size that the page shows."""
API = "/api/"

HEADERS = {
    "Cache-Control": "no-store",
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; "
        "connect-src 'self'; img-src 'self'; base-uri 'none'; form-action 'none'; "
        "frame-ancestors 'none'"
    ),
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
}


@frozen
class Refusal:
    """The status line of an answer that tells nothing else."""

    status: str
    words: str


WRONG_HOST = Refusal("403 Forbidden", "this address is not known here")
WRONG_ORIGIN = Refusal("403 Forbidden", "another page may not ask here")
WRONG_KEY = Refusal("403 Forbidden", "open the address that rootroom has printed")
WRONG_METHOD = Refusal("405 Method Not Allowed", "only GET, HEAD and POST are known here")
WRONG_KIND = Refusal("415 Unsupported Media Type", "only JSON is read here")
TOO_LARGE = Refusal("413 Content Too Large", "more than a plan can be")


@frozen
class Guard:
    """Lets through to `app` what the page itself asks, with the key, and refuses all else."""

    app: App
    key: str
    port: Callable[[], int]

    def __call__(self, environ: Environ, start: Start) -> Iterable[bytes]:
        """Answer a request."""
        refusal = self.refusal(environ)
        if refusal is not None:
            body = f"{refusal.words}\n".encode()
            headers = {**HEADERS, "Content-Type": "text/plain; charset=utf-8"}
            headers["Content-Length"] = str(len(body))
            start(refusal.status, list(headers.items()))
            return [body]

        def with_headers(status: str, headers: list[tuple[str, str]], *rest: Any) -> Any:
            given = {name.lower() for name, _ in headers}
            more = [pair for pair in HEADERS.items() if pair[0].lower() not in given]
            return start(status, [*headers, *more], *rest)

        return self.app(environ, with_headers)

    def refusal(self, environ: Environ) -> Refusal | None:
        """Return why a request is refused, None if it is not."""
        here = f"{ADDRESS}:{self.port()}"
        method, path = environ["REQUEST_METHOD"], environ.get("PATH_INFO", "")
        if environ.get("HTTP_HOST") != here:
            return WRONG_HOST
        if method not in ("GET", "HEAD", "POST"):
            return WRONG_METHOD
        origin = environ.get("HTTP_ORIGIN")
        if origin != f"http://{here}" and (origin is not None or method == "POST"):
            return WRONG_ORIGIN
        if environ.get("HTTP_SEC_FETCH_SITE", "none") not in ("none", "same-origin"):
            return WRONG_ORIGIN
        if method == "POST" and not path.startswith(API):
            return WRONG_METHOD
        if path.startswith(API) and not self._has_key(environ):
            return WRONG_KEY
        return _body_refusal(environ) if method == "POST" else None

    def _has_key(self, environ: Environ) -> bool:
        given = str(environ.get(KEY_HEADER, ""))
        return compare_digest(given.encode("latin-1", "replace"), self.key.encode())


def _body_refusal(environ: Environ) -> Refusal | None:
    length = str(environ.get("CONTENT_LENGTH") or "0")
    if not length.isdecimal() or int(length) > MOST_BYTES:
        return TOO_LARGE
    kind = str(environ.get("CONTENT_TYPE", "")).partition(";")[0].strip().lower()
    return None if kind == "application/json" else WRONG_KIND
