"""A real browser with the network off, and the pages of real plans on disk."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from rootroom.sheets.kinds import write_sheets
from tests.support.seasons import PLANS, hostile_season, shipped_season
from tests.support.served_page import Program

FLAGS = [
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip
PHONE = {"width": 360, "height": 740}


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Return the system's Chromium."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        pytest.fail("chromium is not installed")
    with sync_playwright() as playwright:
        yield playwright.chromium.launch(executable_path=found, args=FLAGS)


@pytest.fixture(scope="session")
def sheets(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Return the page of every shipped plan, and of one with hostile names."""
    folder = tmp_path_factory.mktemp("sheets")
    seasons = {stem: shipped_season(stem) for stem in PLANS} | {"hostile": hostile_season()}
    for name, season in seasons.items():
        write_sheets(season, folder / name, paper=None, only=("page",))
    return {name: folder / name / "season.html" for name in seasons}


@pytest.fixture
def phone(browser: Browser) -> Iterator[Callable[..., BrowserContext]]:
    """Return a maker of phones: contexts of their own, offline; complaints fail the test."""
    contexts: list[BrowserContext] = []
    complaints: list[str] = []
    asked: list[str] = []

    def make(**options: Any) -> BrowserContext:
        context = browser.new_context(
            viewport=PHONE, offline=True, has_touch=True, accept_downloads=True, **options
        )
        context.on(
            "console",
            lambda said: (
                complaints.append(said.text) if said.type in ("error", "warning") else None
            ),
        )
        context.on("weberror", lambda error: complaints.append(str(error.error)))
        context.on("request", lambda request: asked.append(request.url))
        contexts.append(context)
        return context

    yield make
    for context in contexts:
        context.close()
    assert [] == complaints
    assert [] == [url for url in asked if not url.startswith(("file:", "blob:", "data:"))]


@pytest.fixture
def figs(phone: Callable[..., BrowserContext], sheets: dict[str, Path]) -> Page:
    """Return the fig plan's page as opened on a phone."""
    page = phone().new_page()
    page.goto(sheets["spring-figs-and-tomatoes"].as_uri())
    return page


@pytest.fixture
def program(tmp_path: Path) -> Iterator[Callable[[str | None], Program]]:
    """Return a starter of programs, each ended after the test."""
    started: list[Program] = []

    def start(text: str | None = None, name: str = "spring.toml") -> Program:
        path = tmp_path / name
        if text is not None:
            path.write_text(text, "utf-8")
        started.append(Program(path))
        return started[-1]

    yield start
    for one in started:
        one.end()


@pytest.fixture
def window(browser: Browser) -> Iterator[Callable[..., Page]]:
    """Return an opener of windows; what a browser complains of fails the test."""
    contexts: list[Any] = []
    complaints: list[str] = []

    def make(address: str, width: int = 1280, height: int = 900) -> Page:
        context = browser.new_context(viewport={"width": width, "height": height})
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on(
            "console",
            lambda said: (
                complaints.append(said.text)
                if said.type in ("error", "warning") and "ERR_CONNECTION" not in said.text
                else None
            ),
        )
        page.goto(address)
        page.wait_for_selector("body[data-ready]")
        return page

    yield make
    for context in contexts:
        context.close()
    assert [] == complaints
