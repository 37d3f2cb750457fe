"""Lists beside the plan, and sessions noted, on the page in a real browser."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from tests.support.served_page import ANSWER_MS, Program, fill, shipped

LISTED = """\
plants = [
  { rows = "plants.csv", mix = "tree" }, # ours
]
[garden]
last_frost = 2027-04-12
[work]
days = ["sat"]
first = 2027-03-06
last = 2027-06-06
[mixes.tree]
parts = { bark = 5, peat = 1 }
"""
ROWS = '\ufeffName;Count;now;to;our notes\r\n"Fig; old";18;#1;#3;from Ada\r\nBay; 2 ;#2;#3;x\r\n'


def test_rows_of_a_list_are_written_by_keyboard(
    program: Callable[..., Program], window: Callable[..., Page], tmp_path: Path
) -> None:
    """Cells of the CSV beside the plan are typed, undone and saved; all else in it stays."""
    file = tmp_path / "plants.csv"
    file.write_bytes(ROWS.encode())
    page = window(program(LISTED).address)
    bay = page.get_by_label("plants.csv, row 3, Bay, count", exact=True)
    bay.focus()
    page.keyboard.press("Control+A")
    page.keyboard.type("7")
    page.keyboard.press("Enter")
    expect(page.locator("#status")).to_have_text("Not saved; kept in the draft.")
    more = page.get_by_placeholder("a plant more in plants.csv")
    more.focus()
    page.keyboard.type("Quince")
    page.keyboard.press("Enter")
    count = page.get_by_label("plants.csv, row 4, Quince, count", exact=True)
    expect(count).to_be_focused()
    page.keyboard.type("5")
    page.keyboard.press("Tab")
    page.keyboard.type("#1")
    page.keyboard.press("Tab")
    page.keyboard.type("#2")
    page.keyboard.press("Control+S")
    expect(page.locator("#status")).to_have_text("Saved.")

    expected = ROWS.replace(" 2 ", " 7 ") + "Quince;5;#1;#2;\r\n"
    assert expected.encode() == file.read_bytes()
    assert (tmp_path / "spring.toml").read_text("utf-8") == LISTED
    expect(page.locator("#demand")).to_contain_text("tree")
    # A column that the list has not is told, with what stands for all rows.
    mix = page.get_by_label("plants.csv, row 3, Bay, mix", exact=True)
    expect(mix).to_have_attribute("placeholder", "tree")
    expect(mix).not_to_be_editable()


def test_a_list_changed_elsewhere_is_told_on_the_page(
    program: Callable[..., Program], window: Callable[..., Page], tmp_path: Path
) -> None:
    """One that was not edited here is read anew; of one that was, both are kept."""
    file = tmp_path / "plants.csv"
    file.write_bytes(ROWS.encode())
    page = window(program(LISTED).address)
    file.write_bytes(ROWS.replace("18", "19").encode())
    fig = page.get_by_label("plants.csv, row 2, Fig; old, count", exact=True)
    expect(fig).to_have_value("19")
    fill(page, "plants.csv, row 2, Fig; old, count", "20")
    expect(page.locator("#status")).to_have_text("Not saved; kept in the draft.")
    other = ROWS.replace("18", "21").encode()
    file.write_bytes(other)
    expect(page.get_by_role("alert")).to_contain_text("plants.csv: changed elsewhere.")
    page.get_by_role("button", name="Save mine, keep both").click()
    expect(page.locator("#status")).to_contain_text("kept as plants.csv.elsewhere-1")

    assert other == (tmp_path / "plants.csv.elsewhere-1").read_bytes()
    assert ROWS.replace("18", "20").encode() == file.read_bytes()


def test_a_session_is_noted_by_keyboard(
    program: Callable[..., Program], window: Callable[..., Page]
) -> None:
    """One button for done as listed; else a figure, what tells nothing told at its field."""
    started = program(shipped("new-raised-beds"))
    record = started.path.with_name("spring.record.jsonl")
    page = window(started.address)
    page.get_by_text("Note what was done").click()
    page.get_by_role("button", name="The next session").press("Enter")
    head = page.get_by_role("heading", name="Session of Sat 3 Apr 2027")
    expect(head).to_be_focused(timeout=ANSWER_MS)
    assert not record.exists()
    page.keyboard.press("Tab")
    expect(page.get_by_role("button", name="Done as listed")).to_be_focused()
    page.keyboard.press("Tab")
    page.keyboard.type("none at all")
    page.keyboard.press("Enter")  # goes on, and notes nothing
    page.get_by_label("Minutes of all together").fill("240")
    page.get_by_role("button", name="Note it with what differs").press("Enter")
    wrong = page.locator("#session-form .wrong:not([hidden])")
    expect(wrong).to_contain_text("belongs here", timeout=ANSWER_MS)
    expect(page.locator("#session-form [aria-invalid]")).to_be_focused()
    assert not record.exists()
    # What is written is not passed over by the other button.
    page.get_by_role("button", name="Done as listed").press("Enter")
    expect(page.locator("#session-status")).to_contain_text("Something is written below")
    page.locator("#session-form [aria-invalid]").fill("")
    page.get_by_role("button", name="Note it with what differs").press("Enter")
    expect(page.locator("#session-status")).to_have_text("Noted.", timeout=ANSWER_MS)
    expect(page.locator("#said")).to_contain_text("Sessions left")
    first = record.read_bytes()
    notes = [json.loads(line) for line in first.splitlines()]
    assert [("worked", 240)] == [(n["kind"], n["minutes"]) for n in notes if n["kind"] == "worked"]
    assert ["done"] == [n["state"] for n in notes if n["kind"] == "session"]

    page.get_by_role("button", name="The next session").press("Enter")
    page.get_by_role("button", name="Done as listed").click(timeout=ANSWER_MS)
    expect(page.locator("#session-status")).to_have_text("Noted.", timeout=ANSWER_MS)
    assert record.read_bytes().startswith(first)
    assert 2 == record.read_bytes().count(b'"kind":"session"')


@pytest.mark.parametrize("width", [360, 1280, 1920])
def test_the_checker_finds_nothing_in_list_and_session(
    program: Callable[..., Program], window: Callable[..., Page], tmp_path: Path, width: int
) -> None:
    """No finding with a list's rows unfolded and a session's form open, nothing wider than it."""
    (tmp_path / "plants.csv").write_bytes(ROWS.encode())
    page = window(program(LISTED).address, width=width)
    page.get_by_role("button", name="More of plants.csv, row 2, Fig; old").click()
    page.get_by_text("Note what was done").click()
    page.get_by_role("button", name="The next session").click()
    page.locator("#session-form h4").wait_for(timeout=ANSWER_MS)
    page.get_by_role("textbox", name="move Bay to #3, done").fill("some")
    page.get_by_role("button", name="Note it with what differs").click()
    expect(page.locator("#session-form .wrong:not([hidden])")).to_be_visible(timeout=ANSWER_MS)
    rules = {"color-contrast-enhanced": {"enabled": True}, "target-size": {"enabled": True}}
    found = Axe().run(page, options={"rules": rules}).response

    assert [] == [
        (one["id"], one["impact"], one["nodes"][0]["html"][:200]) for one in found["violations"]
    ]
    assert page.evaluate("document.documentElement.scrollWidth") <= width
