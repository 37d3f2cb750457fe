"""Who may ask the page's server anything: only the page itself, opened by whoever started it.

The server listens on the loopback address alone, but every site that is open in the same browser
can send requests there, and a name under somebody's control can be pointed at it. So the host must
be the address itself, an origin must be our own, and every answer about the plan needs the key that
stands in the address which the program prints. The key is in the part behind `#`, which no browser
sends or hands on; the page sends it in a header. There is no cookie, since cookies of a machine are
shared by all its ports.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from hmac import compare_digest
from typing import Any

from attrs import frozen

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
