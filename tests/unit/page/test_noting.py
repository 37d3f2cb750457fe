"""A session noted on the page: the same lines as the command's, or nothing at all."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner  # noqa: TID251 - the page is compared with the program itself

from rootroom.cli.app import app
from rootroom.page.noting import note_session, session_form

# Garden, shop and prices are invented.
PLAN = """\
plants = [
  { name = "Fig", count = 6, now = "#1", to = "#3", mix = "tree", from = 2027-03-06, by = 2027-03-13 },
  { name = "Bay", count = 3, now = "#2", to = "#3", mix = "tree", from = 2027-03-20, by = 2027-04-03 },
]
supplies = [
  { of = "bark", pack = "2 cu ft", price = 6.40, from = "Mill Road" },
  { of = "peat", pack = "3.8 cu ft", price = 15.20, from = "Mill Road" },
]
[garden]
units = "us"
last_frost = 2027-04-12
[work]
days = ["sat"]
first = 2027-03-06
last = 2027-04-10
[mixes.tree]
parts = { bark = 5, peat = 1 }
[suppliers."Mill Road"]
trip = 4.00
tax = "7 %"
"""  # noqa: E501
FIRST = date(2027, 3, 6)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Return the file of a small plan."""
    found = tmp_path / "spring.toml"
    found.write_text(PLAN, "utf-8")
    return found


def record(path: Path) -> Path:
    """Return where the record is."""
    return path.with_name("spring.record.jsonl")


def told(path: Path) -> list[dict[str, Any]]:
    """Return the notes of a record without what differs from line to line: ids and sums."""
    lines = [json.loads(line) for line in record(path).read_bytes().splitlines()]
    return [{k: v for k, v in line.items() if k not in ("id", "sum")} for line in lines]


def keys(form: dict[str, Any]) -> dict[str, str]:
    """Return the key of each line of a form by its kind and what it is of."""
    return {f"{line['kind']} {line['what']}": line["key"] for line in form["lines"]}


def test_looking_writes_nothing(path: Path) -> None:
    """The form has the session's work, what was to be fetched, and what else may be told."""
    form = session_form(path)

    assert ("2027-03-06", "Session of Sat 6 Mar 2027") == (form["day"], form["title"])
    assert {"move Fig to #3", "blend tree", "fetch bark"} <= set(keys(form))
    planned = {f"{line['kind']} {line['what']}": line["planned"] for line in form["lines"]}
    assert "6" == planned["move Fig to #3"]
    assert "cu ft" in planned["blend tree"] or "gal" in planned["blend tree"]
    assert ["worked", "lost", "note"] == [field["key"] for field in form["fields"]][-3:]
    assert not record(path).exists()


def test_done_as_listed_is_what_the_command_notes(path: Path) -> None:
    """No answer at all is `record --session DATE --done`, line by line, and plans the rest."""
    other = path.with_name("other") / path.name
    other.parent.mkdir()
    other.write_text(PLAN, "utf-8")
    done = CliRunner().invoke(app, ["record", str(other), "--session", "2027-03-06", "--done"])
    found = note_session(path, FIRST, {})

    assert (0, True) == (done.exit_code, found["fine"])
    by_kind = [sorted(told(one), key=json.dumps) for one in (other, path)]
    assert by_kind[0] == by_kind[1]
    assert done.stdout.strip() == found["said"].strip()
    assert "2027-03-06" < session_form(path)["day"]


def test_what_differs_is_noted_and_the_record_only_grows(path: Path) -> None:
    """A figure, none, minutes, plants lost line by line: each is a line of the record."""
    form = session_form(path)
    key = keys(form)
    answers = {
        key["move Fig to #3"]: "4", key["fetch bark"]: "2 for 11.00", key["fetch peat"]: "0",
        "worked": "95", "lost": "Fig=1\nBay=1", "note": "aphids\non the figs",
    }  # fmt: skip
    assert note_session(path, FIRST, answers)["fine"]
    notes = [(one["kind"], one) for one in told(path)]
    before = record(path).read_bytes()

    assert [4] == [one["count"] for kind, one in notes if kind == "moved"]
    assert [("Fig", 1), ("Bay", 1)] == [
        (one["plant"], one["count"]) for kind, one in notes if kind == "lost"
    ]
    bought = [one for kind, one in notes if kind == "bought"]
    # 7 % of 11.00 is 0.77.
    assert [("bark", 2, 1100, 77)] == [
        (one["of"], one["packs"], one["paid_cents"], one["tax_cents"]) for one in bought
    ]
    assert [95] == [one["minutes"] for kind, one in notes if kind == "worked"]
    assert ["aphids on the figs"] == [one["text"] for kind, one in notes if kind == "note"]
    assert ["cut short"] == [one["state"] for kind, one in notes if kind == "session"]
    following = session_form(path)
    assert note_session(path, date.fromisoformat(following["day"]), {})["fine"]
    assert record(path).read_bytes().startswith(before)


def test_error_answers_that_tell_nothing_note_nothing(path: Path) -> None:
    """Each is told at its field, with what belongs there; the record is as it was."""
    key = keys(session_form(path))
    answers = {key["move Fig to #3"]: "some", "lost": "Quince=1", key["fetch bark"]: "x"}
    found = note_session(path, FIRST, answers)

    assert set(answers) == set(found["wrong"])
    assert "a number of plants" in found["wrong"][key["move Fig to #3"]]["hint"]
    assert "unknown plant" in found["wrong"]["lost"]["message"]
    assert not found["fine"]
    assert not record(path).exists()


def test_error_a_session_is_noted_once(path: Path) -> None:
    """Noted again, from another window perhaps, it would count twice."""
    assert note_session(path, FIRST, {})["fine"]
    before = record(path).read_bytes()
    again = note_session(path, FIRST, {})

    assert not again["fine"]
    assert "this session was noted before" in again["said"]
    assert before == record(path).read_bytes()


def test_error_no_session_says_so(path: Path) -> None:
    """A plan with errors, a day without a session, a season that is done."""
    assert "no session was planned" in note_session(path, date(2027, 3, 7), {})["said"]
    while "day" in (form := session_form(path)):
        assert note_session(path, date.fromisoformat(form["day"]), {})["fine"]
    assert "no session is left in the posted plan" == form["refused"]
    path.write_text(PLAN.replace('"#3"', '"#33"'), "utf-8")
    assert "errors" in session_form(path)["refused"]
    assert "errors" in note_session(path, FIRST, {})["said"]
