"""The page on one's own machine in a real browser, served by the program itself."""

from __future__ import annotations

import re
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.support.served_page import ANSWER_MS, Program, fill, saved, shipped

PLANTS = [
    ("Fig", "18", "#1", "#3", "tree", "4 weeks before last frost", "last frost"),
    ("Bay", "3", "#2", "#3", "tree", "4 weeks before last frost", "last frost"),
    ("Lemon", "2", "#5", "#7", "tree", "3 weeks before last frost", "last frost"),
    ("Tomato", "24", "50-cell tray", "4 in square pot", "allround",
     "2 weeks before last frost", "last frost"),
    ("Pepper", "16", "72-cell tray", "4 in square pot", "allround",
     "2 weeks before last frost", "1 week after last frost"),
    ("Basil", "30", "72-cell tray", "4 in square pot", "allround",
     "1 week after last frost", "4 weeks after last frost"),
]  # fmt: skip
MIXES = {"tree": ["5 bark", "1 peat", "1 perlite"], "allround": ["4 peat", "2 bark", "2 perlite"]}
SUPPLIES = [
    ("peat", "3.8 cu ft", "15.20", "Mill Road"),
    ("perlite", "4 cu ft", "31.40", "Mill Road"),
    ("bark", "2 cu ft", "6.40", "Mill Road"),
]


def test_a_newcomer_comes_from_nothing_to_a_season(
    program: Callable[..., Program], window: Callable[..., Page]
) -> None:
    """Six plants, two mixes, three goods by keyboard alone, saved; list, days and chart are there.

    Prints how long the program and the page took.
    """
    started = program(None)
    page = window(started.address)
    began = time.perf_counter()
    fill(page, "The garden, last frost", "2027-04-12")
    for mix, parts in MIXES.items():
        fill(page, "new mix, name", mix)
        for part in parts:
            fill(page, f"{mix}, a part more", part)
            expect(page.get_by_label(f"{mix}, {part.split()[1]}, parts", exact=True)).to_have_value(
                part.split()[0]
            )
    for plant in PLANTS:
        page.get_by_label("new plant, name", exact=True).focus()
        for value in plant:
            page.keyboard.type(value)
            page.keyboard.press("Tab")
        expect(page.get_by_label(f"{plant[0]}, by", exact=True)).to_have_value(plant[-1])
    for supply in SUPPLIES:
        page.get_by_label("new supply, of", exact=True).focus()
        for value in supply:
            page.keyboard.type(value)
            page.keyboard.press("Tab")
        expect(page.get_by_label(f"{supply[0]}, from", exact=True)).to_have_value(supply[-1])
    expect(page.locator("#wrong li").filter(has_text="Wrong:")).to_have_count(0)
    expect(page.locator("#demand")).to_contain_text("tree")
    saved(page)
    written = time.perf_counter() - began
    page.wait_for_selector("#chart svg", state="attached", timeout=ANSWER_MS)
    print(
        f"\nwritten in {written:.1f} s, answered {time.perf_counter() - began - written:.1f} s on"
    )

    expect(page.locator("#list")).to_contain_text("Mill Road")
    expect(page.locator("#sessions")).to_contain_text("Sessions")
    done = subprocess.run(
        [sys.executable, "-m", "rootroom", "check", str(started.path)], capture_output=True
    )
    assert 0 == done.returncode, done.stderr.decode()
    assert 'name = "Tomato", count = 24, now = "50-cell tray"' in started.path.read_text("utf-8")


def test_what_is_wrong_stands_at_its_cell(
    program: Callable[..., Program], window: Callable[..., Page]
) -> None:
    """A misspelt container is told at the cell, with its hint; mended, all is well."""
    page = window(program(shipped("new-raised-beds")).address)
    fill(page, "Kale, now", "72-cel tray")
    field = page.get_by_label("Kale, now", exact=True)

    expect(field).to_have_attribute("aria-invalid", "true")
    told = page.locator(f"#{field.get_attribute('aria-describedby')}")
    expect(told).to_contain_text("unknown container: 72-cel tray")
    expect(told).to_contain_text("did you mean 72-cell tray?")
    expect(page.locator("#wrong-h")).to_have_text("One thing is wrong")
    expect(page.locator("#demand").locator("..")).to_have_class(re.compile("old"))
    page.get_by_role("button", name="Undo").click()
    expect(field).not_to_have_attribute("aria-invalid", "true")
    expect(page.locator("#demand").locator("..")).not_to_have_class(re.compile("old"))


def many_rows(number: int) -> str:
    """Return the fig plan with so many plants of as many kinds as there are rows."""
    head, _, rest = shipped("spring-figs-and-tomatoes").partition("plants = [\n")
    rest = rest.partition("\n]\n")[2]
    pots = ["#3", "#5", "#7", "10 in pot", "12 in pot"]
    rows = "".join(
        f'  {{ name = "Plant {n}", crop = "fig", count = {n % 29 + 1}, now = "#1", '
        f'to = "{pots[n % 5]}", mix = "{"tree" if n % 2 else "allround"}", big_step = true, '
        f'from = "{n % 5 + 1} weeks before last frost", '
        f'by = "{n % 6 + 1} weeks after last frost" }},\n'
        for n in range(number)
    )
    return f"{head}plants = [\n{rows}]\n{rest}"


TIMED = """async (name) => {
    const field = document.querySelector(`[aria-label="${name}, count"]`);
    const demand = document.getElementById("demand");
    const renewed = new Promise((done) => {
        new MutationObserver(done).observe(demand, { childList: true });
    });
    field.focus();
    field.value = String(Number(field.value) + 7);
    field.dispatchEvent(new Event("input", { bubbles: true }));
    await new Promise((done) => setTimeout(done, 300));
    const began = performance.now();
    field.dispatchEvent(new Event("change", { bubbles: true }));
    await renewed;
    await new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
    return performance.now() - began;
}"""
SCROLLED = """async () => {
    let longest = 0, before = performance.now();
    for (let at = 0; at < 12000; at += 400) {
        scrollTo(0, at);
        await new Promise((done) => requestAnimationFrame(done));
        const now = performance.now();
        longest = Math.max(longest, now - before);
        before = now;
    }
    return longest;
}"""


def slowdown() -> float:
    """Return how much longer than its own time a task takes here, beside all else that runs."""
    wall, own = time.perf_counter(), time.process_time()
    while time.process_time() - own < 0.2:
        sum(range(1000))
    return max(1.0, (time.perf_counter() - wall) / (time.process_time() - own))


def test_300_rows_scroll_and_edit_without_a_wait(
    program: Callable[..., Program], window: Callable[..., Page]
) -> None:
    """The demand is renewed soon after a change, and no frame of scrolling takes long.

    0.2 s is the aim, which is printed; the suite fails at 0.5 s only, since it shares a machine.
    The best of some changes counts, and what other work on the machine takes is allowed for.
    """
    page = window(program(many_rows(300)).address)
    slow = [slowdown()]
    times = []
    for number in (3, 299, 150, 77, 200, 4, 33):
        times.append(page.evaluate(TIMED, f"Plant {number}"))
        slow.append(slowdown())
    longest = page.evaluate(SCROLLED)
    shown = f"{[round(x) for x in times]} ms, longest frame {longest:.0f} ms"
    print(f"\nchanges {shown}, the machine {sum(slow) / len(slow):.1f} times as slow")

    assert 300 == page.locator(".plants tr.row").count()
    assert 500 * max(slow) > min(times)
    assert 500 * max(slow) > longest


def test_nothing_typed_is_lost_when_the_program_is_killed(
    program: Callable[..., Program], window: Callable[..., Page]
) -> None:
    """Killed while somebody types, the program offers all of it at the next start."""
    first = program(shipped("new-raised-beds"))
    page = window(first.address)
    context = page.context
    fill(page, "Kale, count", "21")
    field = page.get_by_label("Lettuce, now", exact=True)
    field.fill("")
    field.type("4 in squ", delay=15)
    first.kill()
    # What is typed after that is kept by the browser itself.
    field.type("are p", delay=15)
    expect(page.locator("#banners")).to_contain_text("The program has ended", timeout=10_000)
    assert shipped("new-raised-beds") == first.path.read_text("utf-8")

    page.close()
    second = program(None)
    again = context.new_page()
    again.goto(second.address)
    again.wait_for_selector("body[data-ready]")
    again.get_by_role("button", name="Go on with the draft").click()
    expect(again.get_by_label("Kale, count", exact=True)).to_have_value("21")
    expect(again.get_by_label("Lettuce, now", exact=True)).to_have_value("4 in square p")


def test_nothing_typed_is_lost_when_the_page_is_loaded_anew(
    program: Callable[..., Program], window: Callable[..., Page]
) -> None:
    """A field that was not left yet, and the first letters of a new row, are there again."""
    page = window(program(shipped("new-raised-beds")).address)
    page.get_by_label("Kale, count", exact=True).fill("21")
    page.get_by_label("new plant, name", exact=True).fill("Chard")
    page.get_by_label("new plant, name", exact=True).fill("Chard, r")
    expect(page.locator("#status")).to_contain_text("Not saved")
    time.sleep(0.3)
    page.reload()
    page.wait_for_selector("body[data-ready]")

    expect(page.get_by_label("Kale, count", exact=True)).to_have_value("21")
    expect(page.get_by_label("Chard, r, name", exact=True)).to_have_value("Chard, r")


def test_two_browsers_write_one_after_the_other(
    program: Callable[..., Program], window: Callable[..., Page]
) -> None:
    """The second window shows the plan and says why it cannot write; it can take over."""
    address = program(shipped("new-raised-beds")).address
    first, second = window(address), window(address)
    expect(second.locator("#banners")).to_contain_text("Another window writes this plan")
    assert second.get_by_label("Kale, count", exact=True).get_attribute("readonly") is not None
    second.get_by_role("button", name="Write here").click()
    fill(second, "Kale, count", "22")
    expect(first.locator("#banners")).to_contain_text("Another window writes", timeout=10_000)
    expect(first.get_by_label("Kale, count", exact=True)).to_have_value("22")


FORGED = """async (address) => {
    const told = [];
    const wish = { window: "x", what: "set", path: ["garden", "name"], value: "Taken" };
    const body = JSON.stringify(wish);
    for (const type of ["text/plain", "application/json"]) {
        const given = { method: "POST", body, headers: { "Content-Type": type } };
        try { told.push((await fetch(`${address}/api/do`, given)).status); }
        catch (error) { told.push("refused"); }
    }
    await fetch(`${address}/api/do`, { mode: "no-cors", method: "POST", body }).catch(() => {});
    const form = document.createElement("form");
    const where = { method: "POST", action: `${address}/api/do`, target: "f" };
    Object.assign(form, { ...where, enctype: "text/plain" });
    const field = document.createElement("input");
    [field.name, field.value] = [body.slice(0, -1) + ', "y": "', '"}'];
    form.append(field);
    document.body.append(form);
    form.submit();
    return told;
}"""


def test_error_another_sites_page_gets_nothing(
    program: Callable[..., Program], browser: Browser, window: Callable[..., Page], tmp_path: Path
) -> None:
    """A page of another origin in the same browser can neither read nor change the plan."""
    started = program(shipped("new-raised-beds"))
    page = window(started.address)
    other = browser.new_context().new_page()
    other.route("http://elsewhere.example/", lambda route: route.fulfill(
        content_type="text/html", body="<iframe name=f></iframe>"))  # fmt: skip
    other.goto("http://elsewhere.example/")
    address = started.address.partition("/#")[0]
    told = other.evaluate(FORGED, address)
    time.sleep(0.3)

    assert ["refused", "refused"] == told[:2]
    assert shipped("new-raised-beds") == started.path.read_text("utf-8")
    expect(page.get_by_label("The garden, name", exact=True)).to_have_value("Signal Box Allotment")
    other.context.close()


def test_error_a_wrong_key_shows_nothing(program: Callable[..., Program], browser: Browser) -> None:
    """Without the key of the address the page stays empty and says what to open."""
    started = program(shipped("new-raised-beds"))
    page = browser.new_context().new_page()
    page.goto(started.address.partition("#")[0] + "#" + "x" * 43)

    expect(page.locator("#status")).to_contain_text("open the address that rootroom has printed")
    assert "Kale" not in page.content()
    page.context.close()


def test_hostile_names_are_text(
    program: Callable[..., Program], window: Callable[..., Page]
) -> None:
    """What a plan says is shown, never run, in cells, lists of names, messages and answers."""
    name = "<img src=x onerror=alert(1)>"
    text = shipped("new-raised-beds").replace('"Kale"', f'"{name}"').replace("bed mix", name)
    page = window(program(text).address)
    page.on("dialog", lambda _: pytest.fail("a script of the plan ran"))
    page.wait_for_selector("#chart svg", state="attached", timeout=ANSWER_MS)

    expect(page.locator("#demand")).to_contain_text(name)
    assert 0 == page.locator("img").count()


def test_a_change_is_tried_beside_what_was(
    program: Callable[..., Program], window: Callable[..., Page]
) -> None:
    """The state is kept under a name, changed, both stand side by side, and change places."""
    page = window(program(shipped("new-raised-beds")).address)
    page.get_by_label("Name of what is kept").fill("few tomatoes")
    page.get_by_role("button", name="Keep it").click()
    fill(page, "Tomato, count", "60")
    expect(page.locator("#compared")).to_contain_text("plants.Tomato.count", timeout=ANSWER_MS)
    page.get_by_role("button", name="Change places with few tomatoes").click()
    expect(page.get_by_label("Tomato, count", exact=True)).to_have_value("6")
    page.get_by_role("button", name="Drop few tomatoes").click()
    expect(page.locator("#variants li")).to_have_count(0)


def test_a_mix_gets_another_name_everywhere(
    program: Callable[..., Program], window: Callable[..., Page]
) -> None:
    """Its name is a field; what names it follows, and a name that is taken stays in the field."""
    page = window(program(shipped("spring-figs-and-tomatoes")).address)
    fill(page, "tree, name", "allround")
    field = page.get_by_label("tree, name", exact=True)
    expect(field).to_have_value("allround")
    expect(page.locator(".mixes")).to_contain_text("there is one of that name")
    fill(page, "tree, name", "wood mix")
    expect(page.get_by_label("Lemon, mix", exact=True)).to_have_value("wood mix")
    expect(page.locator("#to-wrong")).to_be_hidden()


def test_the_sheets_are_written_and_the_phone_page_opens(
    program: Callable[..., Program], window: Callable[..., Page]
) -> None:
    """The sheets lie in a folder beside the plan; the phone page opens from the page."""
    started = program(shipped("new-raised-beds"))
    page = window(started.address)
    page.get_by_role("button", name="Write the sheets").click()
    link = page.get_by_role("link", name="Open the phone page")
    expect(link).to_be_visible(timeout=ANSWER_MS)
    assert (started.path.parent / "spring-sheets" / "season.pdf").is_file()
    with page.expect_download() as fetched:
        page.get_by_role("link", name="get the PDF to print").click()
    assert Path(fetched.value.path()).read_bytes().startswith(b"%PDF")
    with page.expect_popup() as opened:
        link.click()
    phone = opened.value
    expect(phone.locator("h1")).to_have_text("Signal Box Allotment")

    # What the phone hands back goes into the record, from the page.
    phone.locator(".work input[type=checkbox]").first.check()
    phone.get_by_label("done", exact=True).first.check()
    phone.get_by_role("button", name="Copy as text").click()
    expect(phone.get_by_label("The record as text")).not_to_have_value("")
    handed = phone.get_by_label("The record as text").input_value()
    page.get_by_text("Note what was done").click()
    page.get_by_label("What the phone page handed back").fill(handed)
    page.get_by_role("button", name="Note it in the record").click()
    expect(page.locator("#said")).to_contain_text("Sessions left", timeout=ANSWER_MS)
    page.get_by_role("button", name="Planned beside real").click()
    expect(page.locator("#said")).not_to_contain_text("Sessions left", timeout=ANSWER_MS)


def test_a_plan_that_is_no_toml_is_mended_as_text(
    program: Callable[..., Program], window: Callable[..., Page]
) -> None:
    """It opens as text with what is wrong; mended, the tables are there."""
    text = shipped("new-raised-beds")
    page = window(program(text.replace('name = "Kale"', "name = Kale")).address)
    expect(page.locator("#wrong")).to_contain_text("a text needs quotes")
    page.get_by_label("Text of the plan").fill(text)
    page.get_by_label("Text of the plan").press("Tab")
    expect(page.get_by_label("Kale, count", exact=True)).to_have_value("18")


def test_a_file_changed_elsewhere_is_told(
    program: Callable[..., Program], window: Callable[..., Page]
) -> None:
    """The page notices, and takes what the file says now."""
    started = program(shipped("new-raised-beds"))
    page = window(started.address)
    started.path.write_text(shipped("new-raised-beds").replace("count = 18", "count = 19"), "utf-8")
    expect(page.locator("#banners")).to_contain_text("changed elsewhere", timeout=10_000)
    page.get_by_role("button", name="Take what it says now").click()
    expect(page.get_by_label("Kale, count", exact=True)).to_have_value("19")


@pytest.mark.parametrize("width", [360, 1024, 1920])
def test_the_checker_finds_nothing(
    program: Callable[..., Program], window: Callable[..., Page], width: int
) -> None:
    """No finding of any weight at any width, with mistakes, folds and answers shown."""
    from axe_playwright_python.sync_playwright import Axe

    page = window(program(shipped("spring-figs-and-tomatoes")).address, width=width)
    fill(page, "Lemon, now", "#55")
    page.locator("tr.row button").first.click()
    page.wait_for_selector("#wrong li")
    page.evaluate(
        "() => document.querySelectorAll('details').forEach((one) => { one.open = true; })"
    )
    rules = {
        "rules": {"color-contrast-enhanced": {"enabled": True}, "target-size": {"enabled": True}}
    }
    found = Axe().run(page, options=rules).response

    assert [] == [
        (one["id"], one["impact"], one["nodes"][0]["html"][:200]) for one in found["violations"]
    ]
    assert width >= page.evaluate("() => document.documentElement.scrollWidth")


@pytest.mark.parametrize("width", [360, 1024, 1280, 1920])
def test_no_text_of_a_cell_is_cut_off(
    program: Callable[..., Program], window: Callable[..., Page], width: int
) -> None:
    """What a field cuts off stands whole below it; with room enough there is nothing below."""
    page = window(program(shipped("spring-figs-and-tomatoes")).address, width=width)
    page.wait_for_timeout(300)
    cut, below = page.evaluate(
        """() => {
          const fields = [...document.querySelectorAll(".plants input")].filter((one) => one.value);
          const whole = (one) => one.parentElement.querySelector(".whole:not([hidden])");
          const cut = fields.filter((one) => one.scrollWidth > one.clientWidth);
          const lost = cut.filter((one) => whole(one)?.textContent !== one.value);
          return [lost.map((one) => one.value), fields.filter(whole).length];
        }"""
    )

    assert [] == cut
    assert below > 10 if width < 1280 else below < 3
    assert page.evaluate("document.documentElement.scrollWidth") <= width
