"""Done means done as listed: what a session's list had to be fetched counts as bought."""

from __future__ import annotations

import json
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
    before, cost = to_buy(plan), goods_cents(plan)
    done = run("record", plan, "--session", FIRST, "--done")

    assert 0 == done.exit_code, done.output
    assert "The sheet on the wall still holds." in done.stdout
    after = to_buy(plan)
    assert {} == {of: packs for of, packs in after.items() if of in before and of in paid(plan)}
    assert cost == sum(cents for _, cents in paid(plan).values()) + goods_cents(plan)


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
    listed = to_buy(plan)
    for _ in range(2):
        done = run("record", plan, file, "--quick")
        assert 0 == done.exit_code, done.output

    assert {of: packs for of, packs in listed.items() if of != "#3"} == {
        of: packs for of, (packs, _) in paid(plan).items() if of != "#3"
    }
