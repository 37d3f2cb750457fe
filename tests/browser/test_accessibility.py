"""The phone page before an accessibility checker library."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import BrowserContext

NAMES = ["spring-figs-and-tomatoes", "new-raised-beds", "balcony-in-litres", "hostile"]
RULES = {"rules": {"color-contrast-enhanced": {"enabled": True}, "target-size": {"enabled": True}}}


@pytest.mark.parametrize("name", NAMES)
def test_the_checker_finds_nothing(
    phone: Callable[..., BrowserContext], sheets: dict[str, Path], name: str
) -> None:
    """No finding of any weight, with the contrast of 7:1 asked for and all sessions open."""
    page = phone().new_page()
    page.goto(sheets[name].as_uri())
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
    found = Axe().run(page, options=RULES).response

    assert [] == [
        (one["id"], one["impact"], one["nodes"][0]["html"][:200]) for one in found["violations"]
    ]
    assert "color-contrast-enhanced" in {one["id"] for one in found["passes"]}


def test_a_finding_is_seen(phone: Callable[..., BrowserContext], sheets: dict[str, Path]) -> None:
    """The check can fail: grey text and a field without a name are reported."""
    page = phone().new_page()
    page.goto(sheets["new-raised-beds"].as_uri())
    page.evaluate(
        "document.querySelector('main').innerHTML += '<p style=color:#666>grey words</p><input>'"
    )
    found = Axe().run(page, options=RULES).response

    assert {"color-contrast-enhanced", "label"} <= {one["id"] for one in found["violations"]}


def test_landmarks_and_heads_tell_the_page(
    phone: Callable[..., BrowserContext], sheets: dict[str, Path]
) -> None:
    """One banner, one main, one navigation, one footer, and named regions."""
    page = phone().new_page()
    page.goto(sheets["spring-figs-and-tomatoes"].as_uri())

    for role in ("banner", "main", "navigation", "contentinfo"):
        assert 1 == page.get_by_role(role).count(), role
    for name in ("Sessions", "The season", "Hand the record back"):
        assert 1 == page.get_by_role("region", name=name, exact=True).count(), name
    assert 1 == page.get_by_role("heading", level=1).count()
