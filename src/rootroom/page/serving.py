"""The server on the loopback address, from its first port to its end."""

from __future__ import annotations

import hashlib
import http.client
import secrets
import webbrowser
from collections.abc import Callable
from pathlib import Path
from threading import Thread
from typing import Any

import waitress

from rootroom.page.desk import Desk
from rootroom.page.guard import ADDRESS, MOST_BYTES, WRONG_KEY, Guard
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
