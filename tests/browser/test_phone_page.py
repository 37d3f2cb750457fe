"""The phone page in a real browser, opened from disk with the network off."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from itertools import combinations, pairwise
from pathlib import Path
from typing import Any

import pypdf
import pytest
from playwright.sync_api import Browser, BrowserContext, Locator, Page, expect

from rootroom.record.noting.hand_back import read_hand_back
from rootroom.sheets.kinds import write_sheets
from tests.bench.pictures import PICTURES, phone_page, readme_season, size, text_of
from tests.support.seasons import season_of

FIGS = "spring-figs-and-tomatoes"
CARED = """
plants = [ { name = "Fig <b>", count = 4, now = "#1", to = "#3", mix = "tree", from = 2027-03-20, then = [ { do = "pinch", after = "10 days" }, { do = "feed", after = "3 weeks", every = "2 weeks", times = 2, of = "tomato feed", amount = "1 tbsp" } ] } ]
supplies = [ { of = "bark", pack = "2 cu ft", price = 6.40 }, { of = "tomato feed", pack = "1 cup", price = 4.00 } ]
[garden]
last_frost = 2027-04-12
[work]
days = ["sat"]
first = 2027-03-20
last = 2027-04-10
[mixes.tree]
parts = { bark = 1 }
"""  # noqa: E501
NAMES = [FIGS, "new-raised-beds", "balcony-in-litres", "hostile"]


def session(page: Page, number: int = 1) -> Locator:
    """Return a session, opened."""
    one = page.locator("details.session").nth(number - 1)
    one.evaluate(
        "one => [one, ...one.querySelectorAll('details')].forEach(d => { d.open = true; })"
    )
    return one


def line(page: Page, name: str) -> Locator:
    """Return the line of work of a plant in the first session."""
    return session(page).locator(".work > li", has=page.locator(f'b:text-is("{name}")'))


def handed_back(page: Page) -> list[dict[str, Any]]:
    """Return what the page hands back as a file, line by line, the first one the head."""
    with page.expect_download() as download:
        page.locator("#save").click()
    text = Path(download.value.path()).read_text("utf-8")
    return [json.loads(one) for one in text.splitlines()]


def test_ticks_notes_and_counts_survive_a_reload(figs: Page) -> None:
    """What was entered is there again after the page was closed and opened."""
    first = session(figs)
    box = first.locator(".ticks input").first
    box.check()
    first.locator("textarea").fill("windy; stopped at 11")
    first.get_by_label("rain", exact=True).check()
    line(figs, "Lemon").get_by_role("button", name="Done by me: more").click()

    figs.reload()

    first = session(figs)
    expect(first.locator(".ticks input").first).to_be_checked()
    expect(first.locator("textarea")).to_have_value("windy; stopped at 11")
    expect(first.get_by_label("rain", exact=True)).to_be_checked()
    expect(line(figs, "Lemon").get_by_label("Done by me", exact=True)).to_have_value("1")


def test_a_later_session_keeps_its_entries_and_tells_its_state_unopened(figs: Page) -> None:
    """A session other than the next is filled when it is opened; closed it says that it is done."""
    second = session(figs, 2)
    line = second.locator(".work > li", has=figs.locator("input[data-line]")).first
    line.locator("input[type=checkbox]").check()
    second.get_by_label("done", exact=True).check()
    count = line.get_by_label("Done by me", exact=True)
    planned = count.input_value()

    figs.reload()

    second = figs.locator("details.session").nth(1)
    expect(second.locator(".state")).to_have_text("done")
    expect(second).not_to_have_attribute("open", "")
    second.locator("summary").first.click()
    expect(count).to_have_value(planned)
    expect(line.locator("input[type=checkbox]")).to_be_checked()
    expect(second.get_by_label("done", exact=True)).to_be_checked()


def test_a_tick_made_before_a_session_was_filled_is_kept(figs: Page) -> None:
    """A thumb may be quicker than the page: the tick counts, and what was kept stays."""
    tick = "details.session:nth-of-type(2) .work input[data-line]"
    figs.evaluate("tick => document.querySelector(tick).click()", tick)
    event = handed_back(figs)[1]

    assert "moved" == event["kind"]
    figs.reload()
    figs.evaluate("document.querySelector('details.session:nth-of-type(2) .ticks input').click()")
    expect(figs.locator(tick).first).to_be_checked()
    assert [event] == handed_back(figs)[1:]


def test_a_line_is_ticked_when_all_its_plants_are_done(figs: Page) -> None:
    """Ticking a line counts all its plants; stepping to the last one ticks it, and back unticks."""
    lemon = line(figs, "Lemon")
    tick, count = (
        lemon.locator("input[type=checkbox]"),
        lemon.get_by_label("Done by me", exact=True),
    )
    tick.check()
    expect(count).to_have_value("2")

    lemon.get_by_role("button", name="Done by me: fewer").click()
    expect(tick).not_to_be_checked()
    lemon.get_by_role("button", name="Done by me: more").click()
    expect(tick).to_be_checked()
    tick.uncheck()
    expect(count).to_have_value("")


def test_a_count_does_not_fall_below_nothing(figs: Page) -> None:
    """Fewer than nothing stays nothing."""
    lemon = line(figs, "Lemon")
    lemon.get_by_role("button", name="Lost: fewer").click()

    expect(lemon.get_by_label("Lost", exact=True)).to_have_value("0")


def test_the_record_is_handed_back_as_events(figs: Page) -> None:
    """The file has a head and one event for each entry, with what the record needs."""
    first = session(figs)
    day = first.get_attribute("data-session")
    line(figs, "Fig, first pots").locator("input[type=checkbox]").check()
    line(figs, "Lemon").get_by_role("button", name="Lost: more").click()
    first.get_by_role("button", name="Scoops used in all: more").click()
    first.get_by_role("button", name="Minutes that I worked: more").click()
    first.get_by_label("done", exact=True).check()
    first.locator("textarea").fill("two bags wet")
    figs.locator("#by-name").fill("Ana")
    figs.locator("#by-name").blur()

    head, *events = handed_back(figs)

    assert ("hand back", 1, "Ana", f"{FIGS}.toml", len(events)) == (
        head["kind"], head["v"], head["name"], head["plan"], head["events"]
    )  # fmt: skip
    assert {(1, head["by"], f"{FIGS}.toml", day)} == {
        (one["v"], one["by"], one["plan"], one["session"]) for one in events
    }
    assert len(events) == len({one["id"] for one in events})
    told = {one["kind"]: {k: v for k, v in one.items() if k not in HEAD} for one in events}
    assert {"plant": "Fig, first pots", "move": 1, "count": 18} == told["moved"]
    assert {"plant": "Lemon", "move": 1, "count": 1} == told["lost"]
    assert "tree" == told["used"]["mix"]
    assert 0.5 == told["used"]["scoops"]
    assert 18.92705892 == pytest.approx(told["used"]["scoop_l"])
    assert {"minutes": 15} == told["worked"]
    assert {"state": "done"} == told["session"]
    assert {"text": "two bags wet"} == told["note"]


HEAD = {"v", "id", "by", "date", "kind", "plan", "session", "replaces"}


def test_the_record_reads_what_is_handed_back(figs: Page, tmp_path: Path) -> None:
    """The reader of the record takes every event of the file, and finds nothing wrong with it."""
    shop = figs.locator("#shopping .ticks li").first
    shop.locator("input[type=checkbox]").check()
    shop.locator(".paid").fill("60.80")
    shop.locator(".paid").blur()
    lemon = line(figs, "Lemon")
    lemon.locator("input[type=checkbox]").check()
    lemon.get_by_role("button", name="Lost: more").click()
    first = session(figs)
    for name in ("Batches blended by me", "Scoops used in all", "Scoops left over"):
        first.get_by_role("button", name=f"{name}: more").first.click()
    first.get_by_role("button", name="Minutes that I worked: more").click()
    first.get_by_label("rain", exact=True).check()
    first.get_by_label("cut short", exact=True).check()
    first.locator("textarea").fill('שלום 🌱 "quoted"\nsecond line')
    with figs.expect_download() as download:
        figs.locator("#save").click()
    path = tmp_path / "back.jsonl"
    download.value.save_as(path)

    read = read_hand_back(path)

    assert () == read.problems
    assert f"{FIGS}.toml" == read.plan
    kinds = ["bought", "moved", "lost", "blended", "used", "left", "worked", "weather", "session"]
    assert sorted([*kinds, "note"]) == sorted(event.kind for event in read.events)
    (note,) = (event.data["text"] for event in read.events if event.kind == "note")
    assert 'שלום 🌱 "quoted"\nsecond line' == note


def test_the_keys_stand_in_the_order_of_the_format(figs: Page) -> None:
    """Every event begins with the keys that the format names, in its order."""
    line(figs, "Lemon").locator("input[type=checkbox]").check()
    _, event = handed_back(figs)

    assert ["v", "id", "by", "date", "kind", "plan", "session"] == list(event)[:7]


def test_handing_back_again_tells_nothing_twice(figs: Page) -> None:
    """A second file holds the same events with the same ids, after a reload too."""
    line(figs, "Lemon").locator("input[type=checkbox]").check()
    first = handed_back(figs)

    assert first == handed_back(figs)
    figs.reload()
    assert first == handed_back(figs)


def test_a_correction_names_what_it_replaces(figs: Page) -> None:
    """Changed after it was handed back, an entry is a new event that names the old one."""
    lemon = line(figs, "Lemon")
    lemon.locator("input[type=checkbox]").check()
    _, first = handed_back(figs)
    lemon.get_by_role("button", name="Done by me: fewer").click()
    _, again, second = handed_back(figs)

    assert first == again
    assert (1, first["id"]) == (second["count"], second["replaces"])
    assert second["id"] != first["id"]

    lemon.locator("input[type=checkbox]").check()
    lemon.locator("input[type=checkbox]").uncheck()
    *_, third = handed_back(figs)
    assert (0, second["id"]) == (third["count"], third["replaces"])


def test_an_entry_taken_back_before_it_was_handed_over_is_not_told(figs: Page) -> None:
    """A slip of the thumb leaves no event."""
    tick = line(figs, "Lemon").locator("input[type=checkbox]")
    tick.check()
    tick.uncheck()

    assert 1 == len(handed_back(figs))


def test_two_helpers_tell_apart(
    phone: Callable[..., BrowserContext], sheets: dict[str, Path]
) -> None:
    """Two phones have ids of their own, so that what they count can be added up."""
    told = []
    for count in (12, 6):
        page = phone().new_page()
        page.goto(sheets[FIGS].as_uri())
        field = line(page, "Fig, first pots").get_by_label("Done by me", exact=True)
        field.fill(str(count))
        field.blur()
        told.append(handed_back(page))

    assert 18 == sum(events[1]["count"] for events in told)
    assert 2 == len({events[0]["by"] for events in told})
    assert 2 == len({events[1]["id"] for events in told})


@pytest.mark.parametrize(
    ("typed", "cents"),
    [("60,80", 6080), ("60.8", 6080), ("1,234.50", 123450), ("1.234,50", 123450), ("61", 6100),
     ("1 234", 123400), ("many", None)],
)  # fmt: skip
def test_what_was_paid_is_read_as_typed(figs: Page, typed: str, cents: int | None) -> None:
    """Comma and point are both understood; what is no amount is handed back as not known."""
    shop = figs.locator("#shopping .ticks li").first
    shop.locator(".paid").fill(typed)
    shop.locator(".paid").blur()
    shop.locator("input[type=checkbox]").check()

    _, event = handed_back(figs)

    assert ("bought", cents) == (event["kind"], event["paid_cents"])
    assert event["session"] is None
    assert str(cents is None).lower() == shop.locator(".paid").get_attribute("aria-invalid")


def test_a_bed_is_ticked_as_a_share(
    phone: Callable[..., BrowserContext], sheets: dict[str, Path]
) -> None:
    """A layer that is in is handed back with the share of it that was planned."""
    page = phone().new_page()
    page.goto(sheets["new-raised-beds"].as_uri())
    tick = session(page).locator(".work input[data-event]").first
    tick.check()

    _, event = handed_back(page)

    assert ("filled", 1) == (event["kind"], event["layer"])
    assert 0 < event["share"] <= 1
    page.reload()
    expect(session(page).locator(".work input[data-event]").first).to_be_checked()


def test_the_text_can_be_copied(figs: Page) -> None:
    """Where no file can be saved the record stands in a field as text."""
    line(figs, "Lemon").locator("input[type=checkbox]").check()
    figs.locator("#copy").click()
    expect(figs.locator("#back-done")).not_to_be_empty()

    lines = figs.locator("#back-text").input_value().splitlines()

    assert ["hand back", "moved"] == [json.loads(one)["kind"] for one in lines]


def test_a_banner_says_where_ticks_are_not_kept(
    phone: Callable[..., BrowserContext], sheets: dict[str, Path]
) -> None:
    """Without storage the page says so, and still counts and hands back."""
    context = phone()
    context.add_init_script(
        "Object.defineProperty(window, 'localStorage', { get() { throw new Error('no'); } });"
    )
    page = context.new_page()
    page.goto(sheets[FIGS].as_uri())

    expect(page.locator("#no-storage")).to_be_visible()
    line(page, "Lemon").locator("input[type=checkbox]").check()
    assert 2 == len(handed_back(page))


def test_with_storage_there_is_no_banner(figs: Page) -> None:
    """The warning is not shown where it is not true."""
    expect(figs.locator("#no-storage")).to_be_hidden()
    expect(figs.locator("#older")).to_be_hidden()


def test_entries_of_an_older_sheet_are_not_lost(
    phone: Callable[..., BrowserContext], sheets: dict[str, Path], tmp_path: Path
) -> None:
    """A page printed anew offers what was entered on the one before it, and does not mix them."""
    context = phone()
    page = context.new_page()
    page.goto(sheets[FIGS].as_uri())
    line(page, "Lemon").locator("input[type=checkbox]").check()
    digest = page.locator("body").get_attribute("data-digest")
    assert digest is not None
    # Files of one folder share what is kept; a new printing takes the place of the old one.
    text = sheets[FIGS].read_text("utf-8").replace(digest, "0" * 12)
    newer = sheets[FIGS].with_name("newer.html")
    newer.write_text(text, "utf-8")

    page.goto(newer.as_uri())

    expect(page.locator("#older")).to_be_visible()
    expect(line(page, "Lemon").locator("input[type=checkbox]")).not_to_be_checked()
    with page.expect_download() as download:
        page.locator("#older-button").click()
    lines = Path(download.value.path()).read_text("utf-8").splitlines()
    head, event = (json.loads(one) for one in lines)
    assert (digest, "Lemon") == (head["digest"], event["plant"])


def two_tabs(phone: Callable[..., BrowserContext], page: Path) -> tuple[Page, Page]:
    """Return the same page in two tabs of one phone."""
    context = phone()
    tabs = context.new_page(), context.new_page()
    for tab in tabs:
        tab.goto(page.as_uri())
    return tabs


def test_two_tabs_lose_nothing_and_count_once(
    phone: Callable[..., BrowserContext], sheets: dict[str, Path]
) -> None:
    """What one tab notes the other shows, and both hand the same events back by the same ids."""
    one, two = two_tabs(phone, sheets[FIGS])
    line(one, "Lemon").locator("input[type=checkbox]").check()
    expect(line(two, "Lemon").locator("input[type=checkbox]")).to_be_checked()
    line(two, "Bay").get_by_role("button", name="Done by me: more").click()
    session(two).locator("textarea").fill("windy")
    expect(session(one).locator("textarea")).to_have_value("windy")

    first, second = handed_back(one), handed_back(two)

    assert first == second
    assert ["moved", "moved", "note"] == sorted(event["kind"] for event in first[1:])
    assert first == handed_back(one)


def test_a_correction_in_another_tab_replaces_what_was_handed_back(
    phone: Callable[..., BrowserContext], sheets: dict[str, Path]
) -> None:
    """A deed told by one tab and corrected in the other is one chain, whoever tells it."""
    one, two = two_tabs(phone, sheets[FIGS])
    line(one, "Lemon").locator("input[type=checkbox]").check()
    _, told = handed_back(one)
    expect(line(two, "Lemon").locator("input[type=checkbox]")).to_be_checked()
    line(two, "Lemon").get_by_role("button", name="Done by me: fewer").click()
    _, again, corrected = handed_back(two)

    assert told == again
    assert (told["id"], 1) == (corrected["replaces"], corrected["count"])
    assert [told, corrected] == handed_back(one)[1:]


def test_an_emptied_entry_stays_empty_in_both_tabs(
    phone: Callable[..., BrowserContext], sheets: dict[str, Path]
) -> None:
    """A tick taken back in one tab is not brought back by the other."""
    one, two = two_tabs(phone, sheets[FIGS])
    tick = "input[type=checkbox]"
    line(one, "Lemon").locator(tick).check()
    expect(line(two, "Lemon").locator(tick)).to_be_checked()
    line(two, "Lemon").locator(tick).uncheck()
    expect(line(one, "Lemon").locator(tick)).not_to_be_checked()
    session(one).get_by_label("rain", exact=True).check()

    assert ["weather"] == [event["kind"] for event in handed_back(one)[1:]]


@pytest.mark.parametrize(
    ("typed", "kept"), [("2.7", 2), ("-3", 0), ("99999999999", 10_000_000), ("3.0", 3)]
)
def test_only_whole_plants_count(figs: Page, typed: str, kept: int) -> None:
    """A part of a plant, fewer than none and more than a record takes are put right at once."""
    count = line(figs, "Lemon").get_by_label("Done by me", exact=True)
    count.fill(typed)
    count.blur()

    expect(count).to_have_value(str(kept) if typed != "3.0" else typed)
    told = [(event["count"], type(event["count"])) for event in handed_back(figs)[1:]]
    assert ([(kept, int)] if kept else []) == told


@pytest.mark.parametrize(
    "kept",
    ["{", "null", "7", '{"version":1}', '{"version":9,"by":"k3","fields":{},"events":[]}',
     '{"version":1,"by":"k3","fields":{"s1-l1-n":7},"events":[{}]}'],
)  # fmt: skip
def test_a_damaged_state_is_put_aside_with_a_notice(figs: Page, kept: str) -> None:
    """What cannot be read is told and kept under another name; the page works on."""
    name = figs.evaluate(
        "document.body.dataset.plan && `rootroom ${document.body.dataset.plan} "
        "${document.body.dataset.digest}`"
    )
    figs.evaluate("([name, kept]) => localStorage.setItem(name, kept)", [name, kept])
    figs.reload()

    expect(figs.locator("#damaged")).to_be_visible()
    aside = "Object.entries(localStorage).filter(([one]) => one.startsWith('rootroom put aside'))"
    assert [kept] == [text for _, text in figs.evaluate(aside)]
    line(figs, "Lemon").locator("input[type=checkbox]").check()
    assert ["moved"] == [event["kind"] for event in handed_back(figs)[1:]]
    figs.reload()
    expect(figs.locator("#damaged")).to_be_hidden()
    expect(line(figs, "Lemon").locator("input[type=checkbox]")).to_be_checked()


def test_what_is_sound_of_a_damaged_state_is_used(figs: Page) -> None:
    """One broken entry costs no other."""
    line(figs, "Lemon").locator("input[type=checkbox]").check()
    figs.evaluate(
        """() => {
          const name = Object.keys(localStorage).find((one) => one.startsWith("rootroom spring"));
          const state = JSON.parse(localStorage.getItem(name));
          state.fields.broken = 7;
          localStorage.setItem(name, JSON.stringify(state));
        }"""
    )
    figs.reload()

    expect(figs.locator("#damaged")).to_be_visible()
    expect(line(figs, "Lemon").locator("input[type=checkbox]")).to_be_checked()


@pytest.mark.parametrize("address", ["#%", "#%E0%A4%A", "#day-2199-01-01", "#<b>", "?x=%&y#top"])
def test_an_odd_address_does_no_harm(
    phone: Callable[..., BrowserContext], sheets: dict[str, Path], address: str
) -> None:
    """The page opens, ticks are kept, and it hands back."""
    page = phone().new_page()
    page.goto(sheets[FIGS].as_uri() + address)
    line(page, "Lemon").locator("input[type=checkbox]").check()

    assert 2 == len(handed_back(page))


def test_an_old_page_says_that_there_is_a_newer_plan(
    phone: Callable[..., BrowserContext], sheets: dict[str, Path]
) -> None:
    """Opened again after a newer one, it says so, and still sends back what was entered on it."""
    page = phone().new_page()
    page.goto(sheets[FIGS].as_uri())
    line(page, "Lemon").locator("input[type=checkbox]").check()
    digest = page.locator("body").get_attribute("data-digest")
    assert digest is not None
    newer = sheets[FIGS].with_name("newer-yet.html")
    newer.write_text(sheets[FIGS].read_text("utf-8").replace(digest, "1" * 12), "utf-8")
    page.goto(newer.as_uri())
    expect(page.locator("#newer")).to_be_hidden()
    page.goto(sheets[FIGS].as_uri())

    expect(page.locator("#newer")).to_be_visible()
    expect(page.locator("#older")).to_be_hidden()
    assert [digest, "Lemon"] == [handed_back(page)[0]["digest"], handed_back(page)[1]["plant"]]


@pytest.mark.parametrize("name", NAMES)
def test_nothing_scrolls_sideways_at_360_pixels(
    phone: Callable[..., BrowserContext], sheets: dict[str, Path], name: str
) -> None:
    """The page is as wide as the phone, with all sessions open."""
    page = phone().new_page()
    page.goto(sheets[name].as_uri())
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")

    assert 360 == page.evaluate("document.documentElement.scrollWidth")


@pytest.mark.parametrize("name", NAMES)
def test_targets_are_large_enough_for_gloves(
    phone: Callable[..., BrowserContext], sheets: dict[str, Path], name: str
) -> None:
    """Every button, field and tick is at least 44 pixels high and wide."""
    page = phone().new_page()
    page.goto(sheets[name].as_uri())
    small = page.evaluate(
        """() => {
          document.querySelectorAll('details').forEach(one => { one.open = true; });
          const targets = 'button, li > label, fieldset > label, summary, nav a, .stepper input';
          return [...document.querySelectorAll(targets)]
            .filter(one => one.offsetParent)
            .map(one => [one.textContent.slice(0, 30), one.getBoundingClientRect()])
            .filter(([, box]) => box.height < 44 || box.width < 44)
            .map(([text, box]) => `${text} ${box.width} x ${box.height}`);
        }"""
    )

    assert [] == small


def test_the_buttons_of_a_count_stand_on_one_line(figs: Page) -> None:
    """On a narrow phone too, minus, number and plus stand side by side, not plus below.

    320 pixels is the width at which WCAG 2.2, 1.4.10, asks for reflow; a scroll bar takes some.
    """
    figs.set_viewport_size({"width": 320, "height": 740})
    tops = figs.evaluate(
        """() => {
          document.querySelectorAll("details").forEach((one) => { one.open = true; });
          return [...document.querySelectorAll(".stepper")]
            .map((one) => [...one.querySelectorAll("[data-by], [data-key]")])
            .filter((parts) => parts.length === 3)
            .map((parts) => parts.map((part) => Math.round(part.getBoundingClientRect().top)));
        }"""
    )

    assert len(tops) > 20
    assert [] == [three for three in tops if max(three) - min(three) > 8]


# Every piece of text with the boxes of its lines, the card that it stands in, and its size.
TEXTS = """() => {
  document.querySelectorAll('details').forEach(one => { one.open = true; });
  const found = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walk.nextNode(); node; node = walk.nextNode()) {
    const within = node.parentElement;
    if (!node.data.trim() || within.closest('script, .skip, button')) continue;
    if (!within.checkVisibility()) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    const card = within.closest('svg, .session, main, header, footer').getBoundingClientRect();
    const drawn = within.closest('svg');
    const scale = drawn ? drawn.getBoundingClientRect().width / drawn.viewBox.baseVal.width : 1;
    const size = scale * parseFloat(getComputedStyle(within).fontSize);
    for (const box of range.getClientRects()) {
      if (box.width < 1) continue;
      found.push({ text: node.data.trim().slice(0, 30), size, left: box.left, right: box.right,
        top: box.top + scrollY, bottom: box.bottom + scrollY, card: [card.left, card.right] });
    }
  }
  document.querySelectorAll('main input, main button, main textarea').forEach(one => {
    if (!one.checkVisibility()) return;
    const box = one.getBoundingClientRect();
    const card = one.closest('.session, main').getBoundingClientRect();
    found.push({ text: one.id || one.ariaLabel, size: 16, left: box.left, right: box.right,
      top: box.top + scrollY, bottom: box.bottom + scrollY, card: [card.left, card.right] });
  });
  return found;
}"""


def overlaps(one: dict[str, Any], other: dict[str, Any]) -> bool:
    """Return whether two pieces lie on each other by more than a line's own looseness [px]."""
    wide = min(one["right"], other["right"]) - max(one["left"], other["left"])
    high = min(one["bottom"], other["bottom"]) - max(one["top"], other["top"])
    return wide > 2 and high > 6


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_cut_or_lies_on_anything_at_360_pixels(
    phone: Callable[..., BrowserContext], sheets: dict[str, Path], name: str
) -> None:
    """Measured by boxes, all opened: texts and fields stay in their card, and off each other.

    Letters of a chart are 11 px at least, which is 8 points.
    """
    page = phone().new_page()
    page.goto(sheets[name].as_uri())
    found = page.evaluate(TEXTS)
    found.sort(key=lambda one: one["top"])

    assert len(found) > 100
    outside = [
        one for one in found
        if one["left"] < one["card"][0] - 0.5 or one["right"] > one["card"][1] + 0.5
    ]  # fmt: skip
    assert [] == outside
    assert min(one["size"] for one in found) >= 11
    on_each_other = []
    for number, one in enumerate(found):
        for other in found[number + 1 :]:
            if other["top"] >= one["bottom"]:
                break
            if overlaps(one, other):
                on_each_other.append((one["text"], other["text"]))
    assert [] == on_each_other


def test_an_overlap_is_seen(figs: Page) -> None:
    """The measure can fail: a text pulled over another, and one pushed out of its card."""
    figs.evaluate(
        """() => {
          const { style } = document.querySelector('.when');
          Object.assign(style, { position: 'relative', top: '-3rem', left: '12rem' });
        }"""
    )
    found = figs.evaluate(TEXTS)

    assert any(one["right"] > one["card"][1] for one in found)
    assert any(overlaps(one, other) for one, other in combinations(found, 2))


@pytest.mark.parametrize(
    ("moment", "number", "place"),
    [("2027-01-05T09:00", 1, "details.session"), ("2027-03-27T08:00", 1, "details.session"),
     ("2027-03-26T18:00", 1, ".evening"), ("2027-04-01T08:00", 2, "details.session")],
)  # fmt: skip
def test_it_opens_at_the_next_session(
    phone: Callable[..., BrowserContext], sheets: dict[str, Path], moment: str, number: int,
    place: str,
) -> None:  # fmt: skip
    """On the day at that session, on the evening before at what is to be done then."""
    page = phone().new_page()
    page.clock.set_fixed_time(moment)
    page.goto(sheets[FIGS].as_uri())
    opened = page.locator("details.session[open]")

    assert 1 == opened.count()
    assert f"Session {number} of" in opened.locator(".when").inner_text()
    at = opened if place == "details.session" else opened.locator(place)
    assert 0 <= at.evaluate("one => one.getBoundingClientRect().top") < 40


def test_it_opens_at_the_first_undone_line_and_then_at_the_next_session(figs: Page) -> None:
    """What is ticked is passed by; a session that is done is not opened again."""
    first = session(figs)
    first.locator(".batch [data-key]").first.fill("99")
    first.locator(".batch [data-key]").first.blur()
    for box in first.locator(".work > li > label input").all()[:2]:
        box.check()
    third = first.locator(".work > li").nth(2).locator("b").inner_text()

    figs.reload()

    tops = "all => all.map(one => one.getBoundingClientRect().top).findIndex(top => top > -5)"
    place = figs.locator("details.session[open] .work > li").evaluate_all(tops)
    assert 2 == place
    assert (
        third == figs.locator("details.session[open] .work > li").nth(2).locator("b").inner_text()
    )
    session(figs).get_by_label("done", exact=True).check()
    figs.reload()
    assert "Session 2 of" in figs.locator("details.session[open] .when").inner_text()


def test_without_scripts_it_is_a_list_to_print(
    phone: Callable[..., BrowserContext], sheets: dict[str, Path]
) -> None:
    """Scripts off: every session is open, boxes and blanks are there, no dead button is."""
    page = phone(java_script_enabled=False).new_page()
    page.goto(sheets[FIGS].as_uri())

    expect(page.locator(".js:visible")).to_have_count(0)
    expect(page.locator("button:visible")).to_have_count(0)
    sessions = page.locator("details.session")
    assert sessions.count() == page.locator("details.session[open]").count()
    assert page.locator(".pots:visible").count()
    assert page.locator(".paper:visible").count()


def test_only_the_next_session_stands_open(figs: Page) -> None:
    """The rest is one touch away, and a link to a day opens it."""
    assert 1 == figs.locator("details.session[open]").count()
    last = figs.locator("details.session").last
    figs.evaluate("day => { location.hash = day; }", last.get_attribute("id"))
    expect(last).to_have_attribute("open", "")
    figs.locator("#open-all").click()
    sessions = figs.locator("details.session")
    assert sessions.count() == figs.locator("details.session[open]").count()
    assert 0 == figs.locator("details.fold[open]").count()


def test_the_keyboard_goes_from_the_top_down(figs: Page) -> None:
    """First the link past the head, then the sections, in the order of the page."""
    figs.keyboard.press("Tab")
    assert "#sessions" == figs.evaluate("document.activeElement.getAttribute('href')")
    seen = []
    for _ in range(40):
        figs.keyboard.press("Tab")
        seen.append(figs.evaluate("document.activeElement.getBoundingClientRect().top + scrollY"))

    # Stops of one row stand side by side: a little up is not out of order.
    assert all(later >= earlier - 40 for earlier, later in pairwise(seen))


def test_hostile_names_run_nothing(
    phone: Callable[..., BrowserContext], sheets: dict[str, Path]
) -> None:
    """No dialog opens, and a hostile plant can be ticked and handed back by its name."""
    page = phone().new_page()
    page.on("dialog", lambda dialog: pytest.fail(f"a dialog opened: {dialog.message}"))
    page.goto(sheets["hostile"].as_uri())
    session(page).locator(".work input[data-line]").first.check()

    _, event = handed_back(page)

    assert "<script>alert(1)</script>" == event["plant"]


@pytest.mark.parametrize("name", NAMES)
def test_it_prints_every_session(
    phone: Callable[..., BrowserContext], sheets: dict[str, Path], name: str
) -> None:
    """Printed from the browser, all days are there, and no button is."""
    page = phone().new_page()
    page.goto(sheets[name].as_uri())
    days = page.locator(".when strong").all_text_contents()
    printed = pypdf.PdfReader(io.BytesIO(page.pdf(format="A4")))
    text = " ".join(" ".join(one.extract_text() for one in printed.pages).split())

    assert [] == [day for day in days if day not in text]
    assert "Save as a file" not in text


def test_ticks_of_aftercare_are_handed_back(
    phone: Callable[..., BrowserContext], tmp_path: Path
) -> None:
    """What was given goes to the record with its day and plants; a tick taken back goes as well."""
    season = season_of(CARED, name="cared.toml")
    write_sheets(season, tmp_path / "out", paper=None, only=("page",))
    page = phone().new_page()
    page.clock.set_fixed_time("2027-03-31T08:00")
    page.goto((tmp_path / "out" / "season.html").as_uri())
    boxes = page.locator("#aftercare input")
    expect(boxes).to_have_count(3)
    boxes.nth(0).check()
    boxes.nth(1).check()
    _, first, second = handed_back(page)

    assert {"cared"} == {first["kind"], second["kind"]}
    assert ("2027-03-30", "pinch", ["Fig <b>"], 4, "2027-03-31", None) == tuple(
        first[key] for key in ("due", "do", "plants", "count", "date", "session")
    )
    page.reload()
    expect(boxes.nth(0)).to_be_checked()
    boxes.nth(0).uncheck()
    with page.expect_download() as download:
        page.locator("#save").click()
    read = read_hand_back(Path(download.value.path()), season.plan)
    assert () == read.problems
    assert ["cared", "cared", "taken back"] == [one.kind for one in read.events]
    assert first["id"] == read.events[-1].replaces


def test_the_readmes_picture_is_made_by_its_command(browser: Browser) -> None:
    """What is kept beside the picture in plans/ is what the page shows when made anew."""
    made, text = phone_page(readme_season(), browser)

    assert text_of("phone-page").read_text("utf-8") == text
    assert size(made) == size(PICTURES["phone-page"].read_bytes())
