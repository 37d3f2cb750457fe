"""Done means done as listed: what a session's list had to be fetched counts as bought."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result  # noqa: TID251 - the program itself is tried here

from rootroom.cli.app import app

PLAN = """
format = 1
plants = [
  { name = "Fig", count = 10, now = "#1", to = "#3", mix = "tree", from = 2027-03-06, by = 2027-03-06 },
  { name = "Bay", count = 10, now = "#1", to = "#3", mix = "tree", from = 2027-03-20, by = 2027-03-20 },
]
supplies = [
  { of = "peat", pack = "3.8 cu ft", swells = 1.7, price = 15.20, from = "Mill Road" },
  { of = "bark", pack = "2 cu ft", price = 6.40, from = "Mill Road" },
  { of = "tree", pack = "2 cu ft", price = 19.90, from = "Mill Road" },
]
[garden]
last_frost = 2027-04-12
[work]
days = ["sat"]
first = 2027-03-06
last = 2027-04-24
[mixes.tree]
parts = { bark = 2, peat = 1 }
[suppliers."Mill Road"]
trip = 6.00
tax = "7 %"
"""  # noqa: E501 - Invented names and prices.

FIRST = "2027-03-06"


def run(*words: str | Path, answers: str | None = None) -> Result:
    """Run the program."""
    return CliRunner().invoke(app, [str(word) for word in words], input=answers)


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    """Return a plan whose first session fetches everything."""
    path = tmp_path / "spring.toml"
    path.write_text(PLAN, encoding="utf-8")
    return path


def to_buy(plan: Path) -> dict[str, int]:
    """Return the packs still on the list by good."""
    lines = json.loads(run("buy", plan, "--json").stdout)["lines"]
    return {line["of"]: line["packs"] for line in lines}


def goods_cents(plan: Path) -> int:
    """Return what the packs still on the list cost."""
    lines = json.loads(run("buy", plan, "--json").stdout)["lines"]
    return sum(line["cost_cents"] for line in lines)


def to_pay_cents(plan: Path) -> int:
    """Return what is still to pay, with tax and fees."""
    return int(json.loads(run("buy", plan, "--json").stdout)["cost_cents"])


def paid_in_all(plan: Path) -> int:
    """Return what the record says was paid, with tax and fees."""
    lines = plan.with_name("spring.record.jsonl").read_text("utf-8").splitlines()
    bought = [row for row in map(json.loads, lines) if row["kind"] == "bought"]
    keys = ("paid_cents", "tax_cents", "fee_cents")
    return sum(row.get(key) or 0 for row in bought for key in keys)


def paid(plan: Path) -> dict[str, tuple[float, int]]:
    """Return packs and cents noted as bought, by good."""
    found: dict[str, tuple[float, int]] = {}
    for line in plan.with_name("spring.record.jsonl").read_text("utf-8").splitlines():
        event = json.loads(line)
        if event["kind"] == "bought":
            packs, cents = found.get(event["of"], (0.0, 0))
            found[event["of"]] = (packs + event["packs"], cents + event["paid_cents"])
    return found


def test_a_done_session_has_bought_what_it_fetched(plan: Path) -> None:
    """Nothing that the first session fetched is on the list again; the season costs the same."""
    before, goods, cost = to_buy(plan), goods_cents(plan), to_pay_cents(plan)
    done = run("record", plan, "--session", FIRST, "--done")

    assert 0 == done.exit_code, done.output
    assert "The posted plan still holds." in done.stdout
    after = to_buy(plan)
    assert {} == {of: packs for of, packs in after.items() if of in before and of in paid(plan)}
    assert goods == sum(cents for _, cents in paid(plan).values()) + goods_cents(plan)
    assert cost == paid_in_all(plan) + to_pay_cents(plan)
    told = f"Cost of the season: {cost / 100:.2f}, of which {paid_in_all(plan) / 100:.2f} is paid."
    assert told in done.stdout
    assert paid_in_all(plan) > sum(cents for _, cents in paid(plan).values()) + 600


def test_what_is_told_otherwise_is_as_told(plan: Path) -> None:
    """A bale dearer than listed is noted as told, all else as listed, and nothing twice."""
    listed = to_buy(plan)
    run("record", plan, "--on", "2027-03-05", "--bought", "bark=1 for 7.00 at Mill Road")
    run("record", plan, "--session", FIRST, "--done", "--bought", "peat=1 for 17.00 at Mill Road")

    assert (1, 1700) == paid(plan)["peat"]
    assert listed["bark"] == paid(plan)["bark"][0]
    assert 700 + 640 * (listed["bark"] - 1) == paid(plan)["bark"][1]


def test_the_screen_asks_in_one_line(plan: Path) -> None:
    """Enter takes the list; a figure takes what was paid; 0 says that nothing was fetched."""
    listed = to_buy(plan)
    session = "\n" * 2  # the line of figs, and what was blended
    answers = f"{session}peat=1 for 17.00\n\n\n\n\n\ny\nn\n"
    told = run("record", plan, "--session", FIRST, "--quick", answers=answers)

    assert 0 == told.exit_code, told.output
    assert "fetched" in told.stdout
    assert (1, 1700) == paid(plan)["peat"]
    assert listed["bark"] == paid(plan)["bark"][0]


def test_nothing_fetched_is_noted_as_nothing(plan: Path) -> None:
    """After 0 no purchase is noted."""
    told = run("record", plan, "--session", FIRST, "--quick", answers="\n\n0\n\n\n\n\ny\nn\n")

    assert 0 == told.exit_code, told.output
    assert {} == paid(plan)


def test_a_phone_that_calls_a_session_done_has_fetched_too(plan: Path, tmp_path: Path) -> None:
    """What the phone does not tell of the list is as listed, however often its file is read."""
    run("record", plan, "--on", "2027-03-01", "--note", "begun", "--quick")
    run("sheets", plan, "--out", tmp_path / "out", "--only", "page")
    event = {
        "v": 1, "id": "a1b2c3d4e5f60718", "by": "k3f9a2c1", "date": FIRST, "kind": "session",
        "plan": "spring.toml", "session": FIRST, "state": "done",
    }  # fmt: skip
    head = {
        "v": 1, "kind": "hand back", "plan": "spring.toml", "digest": "0", "by": "k3f9a2c1",
        "name": "Ana", "events": 1,
    }  # fmt: skip
    file = tmp_path / "spring.k3f9a2c1.jsonl"
    file.write_text(f"{json.dumps(head)}\n{json.dumps(event)}\n", encoding="utf-8")
    listed, cost = to_buy(plan), to_pay_cents(plan)
    for _ in range(2):
        done = run("record", plan, file, "--quick")
        assert 0 == done.exit_code, done.output

    assert cost == paid_in_all(plan) + to_pay_cents(plan)
    assert {of: packs for of, packs in listed.items() if of != "#3"} == {
        of: packs for of, (packs, _) in paid(plan).items() if of != "#3"
    }


def test_the_season_costs_the_same_by_the_screen(plan: Path) -> None:
    """Enter throughout: paid with tax and trip, and still to pay, come to the list."""
    cost = to_pay_cents(plan)
    told = run("record", plan, "--session", FIRST, answers="\n" * 9 + "n\n")

    assert 0 == told.exit_code, told.output
    assert cost == paid_in_all(plan) + to_pay_cents(plan)
    assert "The posted plan still holds." in told.stdout


def test_tax_and_trip_come_with_what_is_told(plan: Path) -> None:
    """A price told is before tax, as on the list; the trip is paid once, whoever is told first."""
    run("sessions", plan)
    told = (
        "--bought",
        "peat=1 for 17.00 at Mill Road",
        "--bought",
        "bark=2 for 10.00 at Mill Road",
    )
    run("record", plan, "--session", FIRST, "--done", "--quick", *told)
    lines = plan.with_name("spring.record.jsonl").read_text("utf-8").splitlines()
    bought = {row["of"]: row for row in map(json.loads, lines) if row["kind"] == "bought"}

    assert 119 == bought["peat"]["tax_cents"]  # 7 % of 17.00
    assert 70 == bought["bark"]["tax_cents"]
    assert 600 == sum(row.get("fee_cents", 0) for row in bought.values())


SPRING = """
format = 1
plants = [
  { name = "Fig", count = 10, now = "#1", to = "#3", mix = "tree", from = 2027-03-06, by = 2027-03-06 },
  { name = "Bay", count = 10, now = "#1", to = "#3", mix = "tree", from = 2027-03-20, by = 2027-03-20 },
  { name = "Mint", count = 12, now = "#1", to = "#5", mix = "light", from = 2027-04-03, by = 2027-04-03 },
]
supplies = [
  { of = "peat", pack = "3.8 cu ft", swells = 1.7, price = 15.20, from = "Mill Road" },
  { of = "bark", pack = "2 cu ft", price = 6.40, from = "Mill Road" },
  { of = "perlite", pack = "1 cu ft", price = 9.10, from = "Pot barn" },
  { of = "tree", pack = "2 cu ft", price = 3.90, from = "Mill Road", at_most = 2 },
  { of = "#5", pack = 1, price = 2.10, from = "Pot barn" },
]
[garden]
last_frost = 2027-04-12
[work]
days = ["sat"]
first = 2027-03-06
last = 2027-04-24
[mixes.tree]
parts = { bark = 2, peat = 1 }
[mixes.light]
parts = { peat = 2, perlite = 1 }
[suppliers."Mill Road"]
trip = 6.00
tax = "7 %"
[suppliers."Pot barn"]
trip = 4.00
tax = "7 %"
"""  # noqa: E501 - Invented names and prices; a mix part blended and part bagged, and a later trip.


def by_command(plan: Path, session: str) -> Result:
    """Note a session as done by command."""
    return run("record", plan, "--session", session, "--done")


def by_screen(plan: Path, session: str) -> Result:
    """Note a session as done by the screen, with Enter throughout."""
    return run("record", plan, "--session", session, answers="\n" * 20)


def by_phone(plan: Path, session: str) -> Result:
    """Note a session with all of its lines ticked on the page, done, and handed back twice."""
    page = plan.with_name(f"out-{session}") / "season.html"
    run("sheets", plan, "--out", page.parent, "--only", "page")
    text = page.read_text("utf-8").split('id="shopping"')[0]
    day = text.split(f'data-session="{session}"')[1].split('<details class="session"')[0]
    events = [{"kind": "session", "state": "done"}]
    for shown, text in re.findall(r"data-hint=\"([0-9.]+)\" data-event='([^']*)'", day):
        event = json.loads(html.unescape(text))
        event.pop("planned", None)
        counted = {"moved": "count", "blended": "batches", "used": "scoops"}[event["kind"]]
        events.append({**event, counted: float(shown) if counted != "count" else int(shown)})
    head = {"v": 1, "kind": "hand back", "plan": plan.name, "by": "k3f9", "events": len(events)}
    lines = [
        {"v": 1, "id": f"{session}-{n}", "by": "k3f9", "date": session, "session": session, **event}
        for n, event in enumerate(events)
    ]
    file = plan.with_name("back.jsonl")
    file.write_text("".join(json.dumps(line) + "\n" for line in (head, *lines)), encoding="utf-8")
    assert 0 == run("record", plan, file, "--quick").exit_code
    return run("record", plan, file)


@pytest.mark.parametrize("note", [by_command, by_screen, by_phone])
def test_a_season_done_as_listed_buys_the_posted_list(
    note: Callable[[Path, str], Result], plan: Path
) -> None:
    """The issue's transcript: list, a done session, list again, until all is done.

    The list never grows, nothing that was fetched is on it again, and paid and to pay stay as
    posted: all by the rule that done means done as listed (the project's own, no source).
    """
    plan.write_text(SPRING, encoding="utf-8")
    left, cost = to_buy(plan), to_pay_cents(plan)
    assert {"tree", "bark", "perlite"} <= set(left)
    for session in (FIRST, "2027-03-20", "2027-04-03"):
        done = note(plan, session)
        assert 0 == done.exit_code, done.output
        after = to_buy(plan)
        grown = {of: packs for of, packs in after.items() if packs > left.get(of, 0)}
        assert ({}, cost) == (grown, paid_in_all(plan) + to_pay_cents(plan)), (session, done.output)
        assert "The posted plan still holds." in done.stdout, session
        assert "blended otherwise" not in done.stdout, session
        left = after
    assert {} == left
    assert "Nothing is left to do." in done.stdout


def test_what_was_counted_over_the_winter_is_not_bought(plan: Path) -> None:
    """Of goods and of mix: five bags of bark and 40 L of tree come off the list, with their day."""
    before = to_buy(plan)
    count = ("--counted", "bark=5", "--counted", "peat=0", "--counted", "tree=40 L")
    told = run("record", plan, "--on", "2027-03-01", *count)
    after = to_buy(plan)

    assert 0 == told.exit_code, told.output
    assert 0 < before["bark"] <= 5
    assert "bark" not in after
    assert before["peat"] == after["peat"]
    listed = run("record", plan, "--list").stdout
    assert "in stock   5 of bark" in listed
    assert "left       tree: " in listed


def test_notes_before_the_plan_was_posted_count_against_it(plan: Path) -> None:
    """A bag bought before anybody asked for the list is not bought again, nor told as less."""
    before, cost = to_buy(plan), to_pay_cents(plan)
    run("record", plan, "--on", "2027-03-01", "--bought", "bark=1 for 6.40", "--quick")
    told = run("record", plan, "--session", FIRST, "--done")

    assert "The posted plan still holds." in told.stdout
    assert before["bark"] == sum(packs for packs, _ in [paid(plan)["bark"]])
    assert cost == paid_in_all(plan) + to_pay_cents(plan)


def test_a_new_plan_keeps_its_list(tmp_path: Path) -> None:
    """`new`, a done session, `buy`: the bale of that session's own list counts as bought."""
    plan = tmp_path / "spring.toml"
    run("new", plan)
    left, cost = to_buy(plan), to_pay_cents(plan)
    done = run("record", plan, "--done")

    assert "The posted plan still holds." in done.stdout
    assert all(packs <= left[of] for of, packs in to_buy(plan).items())
    assert cost == paid_in_all(plan) + to_pay_cents(plan)


DEARER = PLAN.replace("price = 19.90", "price = 9.90")


def mixed(plan: Path) -> str:
    """Return how the mix is come by on the list that is left."""
    lines = {line["of"] for line in json.loads(run("buy", plan, "--json").stdout)["lines"]}
    return "ready-made" if "tree" in lines else "blended"


def test_no_silent_change_of_mind(plan: Path) -> None:
    """After ready-made mix got cheap the posted plan still blends, says the sum, and asks."""
    run("record", plan, "--session", FIRST, "--cut-short", "--quick", "--moved", "Fig=1")
    run("postpone", plan, "--days", "7", "--quick")
    plan.write_text(DEARER.replace("price = 6.40", "price = 16.40"), encoding="utf-8")
    assert "blended" == mixed(plan)
    kept = run("record", plan, "--on", "2027-03-07", "--note", "prices went")

    assert "made anew it would cost about" in " ".join(kept.stdout.split())
    assert "`--anew` does that" in " ".join(kept.stdout.split())
    assert "blended" == mixed(plan)

    anew = run("record", plan, "--on", "2027-03-07", "--note", "so be it", "--anew")
    assert "blended -> ready-made: planned anew" in anew.stdout
    assert "still holds" not in anew.stdout
    assert "ready-made" == mixed(plan)


def test_what_cannot_be_had_any_more_is_had_otherwise(plan: Path) -> None:
    """Where the posted recipe has no price any more, the other way is taken, and said why."""
    run("record", plan, "--session", FIRST, "--cut-short", "--quick", "--moved", "Fig=1")
    run("postpone", plan, "--days", "7", "--quick")
    plan.write_text(PLAN.replace("price = 6.40", "at_most = 1, price = 6.40"), encoding="utf-8")
    told = run("record", plan, "--on", "2027-03-07", "--note", "no bark to be had")

    assert "blended -> ready-made: as posted it cannot be had any more" in told.stdout
