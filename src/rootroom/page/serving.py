"""The server on the loopback address, from its first port to its end."""

from __future__ import annotations

import secrets
import webbrowser
from collections.abc import Callable
from pathlib import Path
from threading import Thread
from typing import Any

import waitress

from rootroom.page.desk import Desk
from rootroom.page.guard import ADDRESS, MOST_BYTES, Guard
from rootroom.page.routes import Page, application

KEY_BYTES = 32
THREADS = 6
PATIENCE_S = 20
"""How long a connection may say nothing [s]."""
MOST_CONNECTIONS = 60
MOST_HEADER_BYTES = 32_768


class Serving:
    """One plan's page, served until it is closed."""

    def __init__(self, path: Path, *, port: int = 0) -> None:
        """Open the plan and the port; TextError for a plan that no page can show, else OSError."""
        self.page = Page(Desk.open(path))
        self.key = secrets.token_urlsafe(KEY_BYTES)
        guard = Guard(application(self.page), self.key, lambda: self.port)
        self.server: Any = waitress.create_server(
            guard,
            host=ADDRESS,
            port=port,
            threads=THREADS,
            ident=None,
            channel_timeout=PATIENCE_S,
            cleanup_interval=5,
            connection_limit=MOST_CONNECTIONS,
            max_request_header_size=MOST_HEADER_BYTES,
            max_request_body_size=MOST_BYTES,
            clear_untrusted_proxy_headers=True,
        )
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
            self.server.run()
        finally:
            self.close()

    def close(self) -> None:
        """End the server and what works for it."""
        self.page.background.close()
        self.server.close()
