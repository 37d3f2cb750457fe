"""The commands that look back, as a grower uses them: note, put off, learn, review."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result  # noqa: TID251 - the program itself is tried here

from rootroom.cli.app import app
from rootroom.record import record_path
from rootroom.record.file import append, read_record
from tests.support.recording import DAY, event

PLAN = """
plants = [
  { name = "Fig", count = 10, now = "C2", to = "C5", from = 2027-03-20, by = 2027-04-03 },
  { name = "Bay", count = 4, now = "C2", to = "C5", from = 2027-03-20, by = 2027-04-03 },
]
supplies = [ { of = "peat", pack = "100 L", price = 10.00, from = "Mill Road" } ]
[garden]
last_frost = 2027-04-12
units = "metric"
[work]
days = ["sat"]
first = 2027-03-20
last = 2027-04-10
hours = 2
[mixes.tree]
parts = { bark = 1, peat = 1 }
"""


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    """Return an invented plan's file: one session holds all its work."""
    path = tmp_path / "spring.toml"
    path.write_text(PLAN, "utf-8")
    return path


def run(*arguments: object, typed: str | None = None) -> Result:
    """Run a command; `typed` is what the user types."""
    return CliRunner().invoke(app, [str(one) for one in arguments], input=typed)


def kinds(plan: Path) -> list[str]:
    """Return the kinds of the events that the record holds, in their order."""
    return [event.kind for event in read_record(record_path(plan)).events]


def sessions(plan: Path, *more: str) -> dict[str, dict[str, int]]:
    """Return plants by name for each day that is planned."""
    done = run("sessions", plan, "--json", *more)
    assert 0 == done.exit_code, done.output
    return {
        one["date"]: {w["name"]: w["count"] for w in one["work"] if w["kind"] == "move"}
        for one in json.loads(done.stdout)["sessions"]
    }


def left(plan: Path) -> dict[str, int]:
    """Return how many plants wait for their move, by name."""
    done = run("demand", plan, "--json")
    assert 0 == done.exit_code, done.output
    return {move["plant"]: move["count"] for move in json.loads(done.stdout)["moves"]}


def test_a_session_done_as_planned_is_done(plan: Path) -> None:
    """After `--done` nothing is left to plan or to need."""
    assert {"2027-03-20": {"Fig": 10, "Bay": 4}} == sessions(plan)

    done = run("record", plan, "--session", "2027-03-20", "--done", "--worked", "90 min")

    assert 0 == done.exit_code, done.output
    assert "Nothing is left to do." in done.stdout
    assert {} == sessions(plan) == left(plan)


@pytest.mark.parametrize("state", ["--done", "--cut-short"])
def test_error_session_noted_twice(plan: Path, state: str) -> None:
    """The same command once more counts no work twice, and says how to add or mend something."""
    first = ("record", plan, "--session", "2027-03-20", state, "--moved", "Fig=6", "--quick")
    assert 0 == run(*first).exit_code
    held = record_path(plan).read_bytes()
    again = [run(*first), run("record", plan, "--session", "2027-03-20", "--quick", typed="\n")]
    word = {"--done": "done", "--cut-short": "cut short"}[state]

    for done in again:
        assert (2, "") == (done.exit_code, done.stdout)
        assert (
            f"error: this session was noted before, as {word}: 2027-03-20\n\n"
            'hint: add what is missing, as --session 2027-03-20 --moved "Fig=2"; --list shows\n'
            "      what was noted, --instead corrects a line\n"
        ) == done.stderr
    assert held == record_path(plan).read_bytes()


def test_warnings_are_told_once(plan: Path) -> None:
    """However often a command reads plan and record, it tells what is odd about them once."""
    plan.write_text(PLAN.replace(", from = 2027-03-20, by = 2027-04-03 }", " }", 1), "utf-8")
    run("record", plan, "--on", "2027-03-20", "--moved", "Bay=1", "--quick")
    record_path(plan).write_bytes(b"?\n" + record_path(plan).read_bytes())
    done = run("record", plan, "--session", "2027-03-20", "--done")
    later = run("postpone", plan, "--days", "7")

    for one in (done, later):
        assert (1, 1) == (one.stderr.count("[no-window]"), one.stderr.count("[damaged-line]"))


def test_error_rain_outside_the_work_dates(plan: Path) -> None:
    """Rain on a day that the plan does not work on is a slip, and nothing is noted."""
    done = run("postpone", plan, "--rain", "2026-03-20")

    assert (2, "") == (done.exit_code, done.stdout)
    assert (
        "error: --rain: 2026-03-20 lies outside the work dates, 2027-03-20 to 2027-04-10\n"
    ) == done.stderr
    assert not record_path(plan).exists()


def test_what_was_told_otherwise_is_not_taken_from_the_sheet(plan: Path) -> None:
    """`--done` takes the rest of the session from the sheet, and says what changes and why."""
    done = run("record", plan, "--session", "2027-03-20", "--done", "--moved", "Fig=6")

    assert 0 == done.exit_code, done.output
    assert "4 on 20 Mar -> 4 on 27 Mar: not done on its day" in done.stdout
    assert {"2027-03-27": {"Fig": 4}} == sessions(plan)


def test_a_correction_names_the_old_line(plan: Path) -> None:
    """A wrong count is corrected by a new line, and withdrawn by another one."""
    run("record", plan, "--on", "2027-03-20", "--moved", "Fig=9", "--quick")
    (old,) = read_record(record_path(plan)).events
    before = record_path(plan).read_bytes()
    run("record", plan, "--instead", old.id, "--moved", "Fig:1=6", "--quick")

    assert record_path(plan).read_bytes().startswith(before)
    assert {"Fig": 4, "Bay": 4} == left(plan)

    run("record", plan, "--take-back", old.id, "--quick")
    new = read_record(record_path(plan)).events[-1]

    assert ("taken back", old.id) == (new.kind, new.replaces)


def test_a_phones_file_counts_once(plan: Path, tmp_path: Path) -> None:
    """A hand-back is read from its file; the second reading of the same lines adds nothing."""
    rows = [
        {"v": 1, "kind": "hand back", "plan": "spring.toml", "digest": "3f", "by": "k3",
         "name": "Ana", "events": 2},
        {"v": 1, "id": "a1", "by": "k3", "date": "2027-03-20", "kind": "moved",
         "plan": "spring.toml", "session": "2027-03-20", "plant": "Fig", "move": 1, "count": 7},
        {"v": 1, "id": "a2", "by": "k3", "date": "2027-03-20", "kind": "used",
         "plan": "spring.toml", "session": "2027-03-20", "mix": "tree", "scoops": 3,
         "scoop_l": 10.0},
    ]  # fmt: skip
    file = tmp_path / "spring.k3.jsonl"
    file.write_text("".join(json.dumps(row) + "\n" for row in rows), "utf-8")
    first = run("record", plan, file, "--quick")
    held = record_path(plan).read_bytes()
    second = run("record", plan, file, "--quick")

    assert (0, 0) == (first.exit_code, second.exit_code)
    assert "noted in spring.record.jsonl: 2 lines" in first.stdout
    assert "spring.k3.jsonl from Ana: 2 of 2 lines were noted before\n" == second.stdout
    assert held == record_path(plan).read_bytes()
    assert {"Fig": 3, "Bay": 4} == left(plan)


def test_error_a_phones_file_of_another_plan(plan: Path, tmp_path: Path) -> None:
    """A hand-back of another plan is refused, and nothing is written."""
    file = tmp_path / "x.jsonl"
    file.write_text('{"v": 1, "kind": "hand back", "plan": "autumn.toml", "events": 0}\n')
    done = run("record", plan, file)

    assert 1 == done.exit_code
    assert f"error: `{file}` tells of another plan: `autumn.toml`" in done.stderr
    assert not record_path(plan).exists()


def test_enter_keeps_what_was_planned(plan: Path) -> None:
    """One screen a session: Enter keeps a line, a figure changes it, nonsense is asked again."""
    # blend tree, Fig, Bay (nonsense, then 3), fetched, tree left, minutes, lost, note; note this;
    # no more.
    typed = "\n\nmany\n3\n\n\n90\n\nhello\n\n\n"
    done = run("record", plan, "--quick", typed=typed)

    assert 0 == done.exit_code, done.output
    told = {e.kind: e.data for e in read_record(record_path(plan)).events if e.kind != "moved"}
    moved = {
        e.data["plant"]: e.data["count"]
        for e in read_record(record_path(plan)).events
        if e.kind == "moved"
    }
    assert {"Fig": 10, "Bay": 3} == moved
    assert {"minutes": 90.0} == told["worked"]
    assert {"text": "hello"} == told["note"]
    assert {"state": "cut short"} == told["session"]
    assert "left" not in told


def test_who_tells_it_is_kept(plan: Path) -> None:
    """`--by` holds for a screen as for options."""
    run("record", plan, "--quick", "--by", "Ana", typed="\n\n\n\n\n\n\n\n\n")

    told = [event for event in read_record(record_path(plan)).events if event.kind != "planned"]
    assert {"Ana"} == {event.by for event in told}


@pytest.mark.parametrize("typed", ["", "\n\n", "\n\n\n\n\n\n\nn\n"])
def test_a_screen_that_is_left_notes_nothing(plan: Path, typed: str) -> None:
    """When the input ends, or the last answer is no, the session stays unnoted."""
    done = run("record", plan, "--quick", typed=typed)

    assert "nothing noted" in done.stdout
    assert ["planned"] == kinds(plan)


def test_rain_on_the_next_session_moves_it(plan: Path) -> None:
    """A missed day is no work day, and what moves is told with its reason."""
    done = run("postpone", plan, "--rain", "2027-03-20")

    assert 0 == done.exit_code, done.output
    assert "10 on 20 Mar -> 10 on 27 Mar: rain" in done.stdout
    assert {"2027-03-27": {"Fig": 10, "Bay": 4}} == sessions(plan)


def test_days_put_off_name_the_dates_that_are_missed(plan: Path) -> None:
    """Put off beyond `by`, the plants that are late are named with their date."""
    done = run("postpone", plan, "--days", "21", "--because", "no van")

    assert 0 == done.exit_code, done.output
    assert "10 on 20 Mar -> 10 on 10 Apr: no van" in done.stdout
    assert "Fig, move 1: 10 after Sat 3 Apr 2027, done by 10 Apr" in done.stdout


def test_put_off_beyond_the_last_day_fits_no_more(plan: Path) -> None:
    """What no work day is left for is said, with exit code 3."""
    done = run("postpone", plan, "--days", "60")

    assert 3 == done.exit_code
    assert "Not all that is left fits into the work days that are left." in done.stdout
    assert "Fig, move 1: 10, 40 min of work" in done.stdout


def test_today_moves_the_start(plan: Path) -> None:
    """No command reads the clock: `--today` says from which day on is planned."""
    assert ["2027-04-03"] == list(sessions(plan, "--today", "2027-04-01"))


def test_a_damaged_line_is_told_and_the_rest_used(plan: Path) -> None:
    """A line that was changed is named by its number, and the others count."""
    run("record", plan, "--on", "2027-03-20", "--moved", "Fig=6", "--moved", "Bay=4", "--quick")
    path = record_path(plan)
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(lines[0].replace(b'"count":6', b'"count":9') + lines[1])
    done = run("demand", plan, "--json")

    assert 0 == done.exit_code
    assert "spring.record.jsonl:1:1: warning: its checksum does not fit its text" in done.stderr
    assert '"Fig"' in done.stdout
    assert '"Bay"' not in done.stdout


def test_sheets_hang_up_what_they_print_only_where_there_is_a_record(
    plan: Path, tmp_path: Path
) -> None:
    """Printing sheets makes no record; beside one, the plan that they show is posted once."""
    run("sheets", plan, "--out", tmp_path / "one", "--only", "text")
    assert not record_path(plan).exists()

    run("record", plan, "--on", "2027-03-20", "--moved", "Fig=6", "--quick")
    run("sheets", plan, "--out", tmp_path / "two", "--only", "text")
    run("sheets", plan, "--out", tmp_path / "two", "--only", "text")

    assert ["moved", "planned"] == kinds(plan)


def test_learned_and_review_answer_and_change_no_plan(plan: Path, tmp_path: Path) -> None:
    """Both print from the record, `review` writes its files, and the plan stays as it is."""
    run("record", plan, "--session", "2027-03-20", "--done", "--worked", "90 min", "--quick")
    before = plan.read_bytes()
    taught = run("learned", plan, "--why")
    looked = run("review", plan, "--out", tmp_path / "out")

    assert (0, 0) == (taught.exit_code, looked.exit_code), taught.output + looked.output
    assert "minutes C5" in taught.stdout
    assert "By session, planned and real" in looked.stdout
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert {"review.txt", "review.csv", "review.svg"} <= names
    assert before == plan.read_bytes()


def test_next_years_plan_learns_from_last_years_record(plan: Path, tmp_path: Path) -> None:
    """A plan without a record of its own takes figures, prices and totals from another's."""
    run(
        "record", plan, "--on", "2027-03-20", "--quick", "--measured", "packing=1.3 x 6",
        "--bought", "peat=2 for 21.00", "--moved", "Fig=6",
    )  # fmt: skip
    later = tmp_path / "next.toml"
    later.write_bytes(plan.read_bytes())
    taught = run("learned", later, "--beside", record_path(plan))
    looked = run("review", later, "--beside", record_path(plan))

    assert "packing = { low = " in taught.stdout
    assert "price = 10.50" in taught.stdout
    assert "Season by season" in looked.stdout
    assert not record_path(later).exists()


def test_plans_of_several_years_are_set_side_by_side(plan: Path, tmp_path: Path) -> None:
    """Each plan brings its own record; one of which nothing was noted is named, exit 2."""
    later = tmp_path / "later.toml"
    later.write_bytes(plan.read_bytes())
    refused = run("review", later, plan)
    run("record", plan, "--on", "2027-03-20", "--quick", "--moved", "Fig=6")
    run("record", later, "--on", "2027-03-20", "--quick", "--moved", "Fig=4")
    looked = run("review", later, plan)
    gone = run("review", later, tmp_path / "gone.toml")

    assert (2, "") == (refused.exit_code, refused.stdout)
    assert refused.stderr.startswith("error: nothing was noted of this plan: `")
    assert 0 == looked.exit_code
    rows = [line.split() for line in looked.stdout.partition("Season by season")[2].splitlines()]
    assert {"4", "6"} == {row[3] for row in rows if row and row[0] in ("later", plan.stem)}
    assert gone.stderr.startswith("error: there is no such plan: `")


def test_error_no_such_record(plan: Path) -> None:
    """A record that is not there is named, exit 2."""
    done = run("learned", plan, "--beside", "nowhere.record.jsonl")

    assert (2, "error: there is no such record: `nowhere.record.jsonl`\n") == (
        done.exit_code,
        done.stderr,
    )


def test_error_record_that_is_no_file(plan: Path, tmp_path: Path) -> None:
    """A folder in place of another season's record is named as one."""
    done = run("review", plan, "--beside", tmp_path)

    assert (2, f"error: this is a folder, not a file: `{tmp_path}`\n") == (
        done.exit_code,
        done.stderr,
    )


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["--moved", "Fig=2"], "which day was it?"),
        (["--on", "2027-03-20", "--moved", "Fog=2"], "unknown plant: `Fog` [unknown-name]"),
        (["--take-back", "nothing"], "no line of the record has this id: `nothing`"),
        (
            ["--on", "2072-03-20", "--moved", "Fig=1"],
            "2072-03-20 lies far outside the plan's work dates, 2027-03-20 to 2027-04-10\n\n"
            "hint: is it the right year, and the right plan?\n",
        ),
        (
            ["--on", "2027-03-20", "--moved", "Fig=1", "--by", "A\x1b[31m"],
            "--by: a character that cannot be printed: `A\\u001b[31m` [hidden-character]",
        ),
        (["--instead", "nothing"], "--instead corrects one line: give just one note beside it"),
        (
            ["--instead", "x", "--moved", "Fig=1", "--done"],
            "--instead corrects one line: give just one note beside it",
        ),
        (
            ["--session", "2027-03-20", "--done", "--cut-short"],
            "a session is done as planned or cut short: give --done or --cut-short",
        ),
        (
            ["--on", "2027-03-20"],
            'what was done on 2027-03-20?\n\nhint: add a note, as --moved "Fig=12"',
        ),
        (
            ["x.jsonl", "--moved", "Fig=1"],
            "a phone's file stands alone: give it without other notes",
        ),
        (
            ["--session", "2027-03-21", "--done"],
            "no session was planned on this day: 2027-03-21\n\n"
            "hint: the posted plan has 2027-03-20; of another day, say with --on what was\n"
            "      done\n",
        ),
    ],
)
def test_error_wrong_use(plan: Path, arguments: list[str], message: str) -> None:
    """Wrong use is said in a line, exit 2, and nothing of it is noted."""
    done = run("record", plan, *arguments)

    assert 2 == done.exit_code
    assert f"error: {message}" in done.stderr
    assert "moved" not in kinds(plan)


def test_nothing_from_a_record_rewrites_the_terminal(plan: Path) -> None:
    """A note with control characters, and names that the plan does not know, are written out."""
    append(
        record_path(plan),
        [
            event("note", DAY, text="hoses \x1b[2J out \x9b\u202e"),
            event("session", DAY, state="done"),
        ],
    )
    for command in (("record", "--list"), ("review",), ("demand",), ("sessions",)):
        done = run(command[0], plan, *command[1:])
        assert 0 == done.exit_code
        assert not {"\x1b", "\x9b", "\u202e"} & set(done.output)


def test_a_line_that_cannot_be_used_is_taken_back(plan: Path) -> None:
    """By its number, on the plan's first day; its notice ends and the record stays as it was."""
    record_path(plan).write_bytes(b"?\n")
    told = run("demand", plan)
    back = run("record", plan, "--take-back", "line 1", "--quick")

    assert "[damaged-line]" in told.stderr
    assert (0, "") == (back.exit_code, run("demand", plan).stderr), back.output


def test_a_phone_with_a_wrong_clock(plan: Path, tmp_path: Path) -> None:
    """Its lines are told with their date and set aside; with --on they count on that day."""
    row = {"v": 1, "id": "a1", "by": "k3", "date": "1970-01-01", "kind": "moved",
           "plan": "spring.toml", "session": "2027-03-20", "plant": "Fig", "move": 1,
           "count": 7}  # fmt: skip
    file = tmp_path / "spring.k3.jsonl"
    file.write_text(json.dumps(row) + "\n", "utf-8")
    first = run("record", plan, file, "--quick")
    before = kinds(plan)
    second = run("record", plan, file, "--on", "2027-03-20", "--quick")

    assert (0, []) == (first.exit_code, before)
    assert ":1:1: warning: the phone's clock was wrong: 1970-01-01, `moved`" in first.stderr
    assert (0, {"Fig": 3, "Bay": 4}) == (second.exit_code, left(plan))


def test_rain_as_a_note_tells_how_to_call_the_day_off(plan: Path) -> None:
    """A note of rain alone leaves the session as it is posted."""
    done = run("record", plan, "--session", "2027-03-20", "--weather", "rain")

    assert 0 == done.exit_code, done.stderr
    assert f"`rootroom postpone {plan} --rain 2027-03-20` calls the day off" in done.stdout


def test_screen_goes_back_over_a_slip(plan: Path) -> None:
    """`<` asks the line before again; what was corrected alone is noted."""
    typed = "\n6\n<\n7\n\n\n\n\n\n\n\n\n\nn\n"
    done = run("record", plan, "--quick", typed=typed)
    moved = {
        event.data["plant"]: event.data["count"]
        for event in read_record(record_path(plan)).events
        if event.kind == "moved"
    }

    assert 0 == done.exit_code, done.stderr
    assert {"Fig": 7, "Bay": 4} == moved
