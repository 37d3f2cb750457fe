"""What commands share: reading plan and record, options, printing problems and answers, noting."""

from __future__ import annotations

import contextlib
import inspect
import os
import re
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn

import typer

from rootroom.cli.streams import working
from rootroom.counts import counted
from rootroom.visible import visible

if TYPE_CHECKING:
    from datetime import date
    from fractions import Fraction

    from rootroom.plan.model import Plan
    from rootroom.problems import Problem
    from rootroom.record.events import Event
    from rootroom.record.file import Record


_REWRITES = re.compile("[\\0-\\x08\\x0b-\\x1f\\x7f-\\x9f\\u2028-\\u202e]")
"""Control characters and marks that turn the direction of writing, but tabs and line ends."""

PlanPath = Annotated[Path, typer.Argument(metavar="PLAN", help="The plan file.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON object instead.")]
ChartOut = Annotated[
    Path | None,
    typer.Option("--out", metavar="DIR", help="Write chart (SVG), table (CSV) and text here."),
]


def limit(seconds: float | None) -> float | None:
    """Return a limit of seconds; `nan` compares with nothing, so it slips through the bounds."""
    if seconds is not None and seconds != seconds:
        raise typer.BadParameter("nan is no number of seconds.")
    return seconds


def seconds_option(what: str) -> Any:
    """Return the option that ends a search by the clock."""
    return typer.Option("--seconds", min=0.1, max=3600, metavar="S", help=what, callback=limit)


Seconds = Annotated[float | None, seconds_option("Search so long at most, for days and list.")]


def load(path: Path, today: date | None = None, *, brief: bool = True) -> Plan:
    """Return what is left of the plan after its record, warnings printed; exit 1 on any error.

    Without a record beside it, and without `today`, that is the plan as it was written.
    A warning is one line unless `brief` is off.
    """
    return left_of(load_as_written(path, brief=brief), path, today)


def left_of(plan: Plan, path: Path, today: date | None, *, quiet: bool = False) -> Plan:
    """Return what is left of a plan after the record beside its file, its problems printed.

    `quiet` where they have been printed before.
    """
    from rootroom.record import record_path

    if today is None and not os.path.lexists(record_path(path)):
        return plan
    record = opened(path, plan, quiet=quiet)
    if not record.events and today is None:
        return plan
    from rootroom.record.apply import plan_from, replay

    with working("reading the record"):
        state = replay(plan, record.events)
        left = plan_from(plan, state, today=today)
    if not quiet:
        for odd in state.odd:
            sys.stderr.write(visible(f"{record.file}: note: {odd}") + "\n")
    return left


def load_as_written(path: Path, *, brief: bool = True) -> Plan:
    """Return the plan without its record, warnings printed; exit 1 with every error printed."""
    from rootroom.plan.reader import read_plan

    with working("reading the plan"):
        plan, problems = read_plan(path)
    report(problems, brief=brief)
    if plan is None:
        raise typer.Exit(1)
    return plan


def source_of(path: Path) -> str:
    """Return a plan file's text; exit 1 with the reason printed where there is none."""
    from rootroom.plan.toml.source import read_source
    from rootroom.problems import Problem

    text = read_source(path)
    if isinstance(text, Problem):
        report([text])
        raise typer.Exit(1)
    return text


def report(problems: Iterable[Problem], *, brief: bool = False) -> None:
    """Print problems on stderr in the order of the file, warnings on one line each if `brief`."""
    from rootroom.sheets.problems import render_problems

    text = render_problems(tuple(problems), brief_warnings=brief)
    if text:
        sys.stderr.write(text)


def say(text: str) -> None:
    """Print an answer on stdout; what could rewrite a terminal is written out, as JSON does."""
    shown = _REWRITES.sub(lambda found: f"\\u{ord(found[0]):04x}", text)
    sys.stdout.write(shown if shown.endswith("\n") else shown + "\n")


def say_written(names: Sequence[str], folder: Path) -> None:
    """Tell which files were written, in lines of at most 80 columns."""
    from rootroom.sheets.layout import wrap

    number = "1 file" if len(names) == 1 else f"{len(names):,} files"
    say(wrap(f"wrote {number} to {folder}: {', '.join(names)}", hanging="  ", whole=True))


def write_new(path: Path, content: bytes, *, hint: str = "give another name") -> None:
    """Write a file where none is yet; exit 2 with what to do instead where there is one."""
    from rootroom.sheets.files import write_new_file

    if not write_new_file(path, content):
        fail(f"there is a file already: `{path}`", hint=hint)


def write_beside_answer(out: Path, files: Mapping[str, bytes], *, tell: bool = True) -> None:
    """Write an answer's files into a folder, and tell which, an empty line below the answer."""
    from rootroom.sheets.files import write_files

    names = write_files(out, files)
    if tell:
        say("")
        say_written(names, out)


@contextlib.contextmanager
def refusing(before: str = "", *, coded: bool = True) -> Iterator[None]:
    """Print why a text cannot be read, or what was asked cannot be, and exit 2.

    `before` stands before the message, the problem's code behind it unless `coded` is off.
    """
    from rootroom.problems import TextError

    try:
        yield
    except TextError as error:
        code = f" [{error.code}]" if coded else ""
        fail(f"{before}{error.message}{code}", hint=error.hint)


def meant(text: str, known: Iterable[str], what: str) -> str:
    """Return the known name that an option means; exit 2 with the nearest one if there is none."""
    from rootroom.plan.names import known_name

    with refusing():
        return known_name(text, known, what)


def check_text(name: str, text: str) -> None:
    """Exit 2 where a text of an option is too long for a sheet or holds what cannot be seen."""
    from rootroom.plan.names import check_name

    with refusing(f"{name}: "):
        check_name(text, empty=True)


def warn(message: str) -> None:
    """Print one line on stderr, and go on."""
    sys.stderr.write(f"warning: {visible(message)}\n")


def fail(message: str, *, hint: str = "", code: int = 2) -> NoReturn:
    """Print one error line (and a hint) on stderr, and exit."""
    sys.stderr.write(f"error: {visible(message)}\n")
    if hint:
        from rootroom.sheets.problems import hint_text

        sys.stderr.write(f"\n{hint_text(visible(hint))}\n")
    raise typer.Exit(code)


def read_share(text: str | None, name: str) -> Fraction | None:
    """Return a share given on the command line (`95%`, `0.95`), None if it was not given."""
    if text is None:
        return None
    from fractions import Fraction

    from rootroom import units
    from rootroom.tolerances import NINE_PLACES

    with refusing():
        share = Fraction(units.read_share(text)).limit_denominator(NINE_PLACES)
    if not 0 <= share <= 1:
        fail(f"{name} must lie between 0 % and 100 %: `{text}`")
    return share


def read_sure(text: str | None) -> float | None:
    """Return how often the shopping should be enough, as a plan's own `sure` [share]."""
    share = read_share(text, "--sure")
    if share in (0, 1):
        from rootroom.plan.tables.garden import sure_hint

        fail(f"--sure lies above 0 and below 100 %: `{text}`", hint=sure_hint(float(share)))
    return None if share is None else float(share)


def date_option(name: str, tells: str) -> Any:
    """Return an option that takes a date; `tells` is its line of help."""
    return typer.Option(name, parser=lambda text: _read(text, name), metavar="DATE", help=tells)


Today = Annotated[
    date | None,
    date_option("--today", "Plan from this day on; by default from the record's last day."),
]


def _read(text: str, name: str) -> date:
    from rootroom.plan.dates import read_date

    with refusing(f"{name}: "):  # typer would tell a ValueError in words of its own
        return read_date(text)


def opened(path: Path, plan: Plan, *, quiet: bool = False) -> Record:
    """Return the plan's record, what is wrong with it printed unless `quiet`."""
    from rootroom.record import record_path
    from rootroom.record.file import read_record

    with working("reading the record"):
        found = read_record(record_path(path), plan)
    if not quiet:
        report(found.problems)
    return found


def note(path: Path, events: Sequence[Event]) -> None:
    """Add events to the plan's record and say so once they are on the disk."""
    from rootroom.record import record_path
    from rootroom.record.file import append

    record = record_path(path)
    append(record, events)
    say(f"noted in {record.name}: {counted(len(events), 'line')}")


def posted(path: Path, written: Plan, seconds: float | None) -> Sequence[Event]:
    """Return the record of a plan, which is posted as it was written if it never was."""
    from rootroom.replanning.posting import make_posted

    with working("finding the days that were planned"):
        return make_posted(path, written, seconds)


def tell_changes(path: Path, written: Plan, *, seconds: float | None, anew: bool = False) -> None:
    """Plan again from the record, list what changes with its reason, and post the new plan."""
    from rootroom.replanning.posting import plan_again
    from rootroom.sheets.answers.record_text import changes_text

    with working("planning the rest again"):
        found = plan_again(path, written, seconds=seconds, anew=anew)
    for odd in found.state.odd:
        sys.stderr.write(visible(f"note: {odd}") + "\n")
    say(changes_text(found))
    if not found.season.schedule.complete:
        raise typer.Exit(3)


NOTES = {
    "moved": "Fig=12",
    "lost": "Fig=2",
    "not yet": "Fig=4 until 2027-04-20",
    "counted": "Fig:2=11",
    "filled": "South bed=50 %",
    "blended": "tree=70 L",
    "used": "tree=9 scoops",
    "left": "tree=1 scoop",
    "spilled": "tree=5 L",
    "taken out": "30 L of half barrel",
    "bought": "peat=3 for 45.60 at Mill Road",
    "freed": "#3=4",
    "broken": "#3=1",
    "worked": "90 min",
    "measured": "fill #7=22 L",
    "timed": "#3=18 in 95 min",
    "weather": "rain",
    "note": "aphids on the figs",
}
"""Every kind of note with an example of it."""

MORE = {
    "moved": ", `Fig/Old gold=4` of one sort",
    "lost": ", `Fig/Old gold=1`",
    "blended": ", `tree=18 gal`",
    "spilled": ", `tree=1 gal`",
    "counted": ", `peat=1.5` packs, `tree=30 L` or `#3=4`",
}
"""Other ways to write a note."""

Command = Callable[..., None]


def with_options(name: str, options: Mapping[str, Any]) -> Callable[[Command], Command]:
    """Give a command options by the table: a key, and the annotated type of its option.

    They stand where the command has the parameter `name`, which takes those that were given, by
    key and in the order of the table.
    """

    def give(command: Command) -> Command:
        def taking(**given: Any) -> None:
            found = {key: given.pop(_parameter(key)) for key in options}
            given[name] = {key: value for key, value in found.items() if value is not None}
            command(**given)

        own = inspect.signature(command, eval_str=True)
        added = [
            inspect.Parameter(
                _parameter(key), inspect.Parameter.KEYWORD_ONLY, default=None, annotation=option
            )
            for key, option in options.items()
        ]
        each_in_place = (
            added if each.name == name else [each.replace(kind=inspect.Parameter.KEYWORD_ONLY)]
            for each in own.parameters.values()
        )
        whole = own.replace(parameters=[each for some in each_in_place for each in some])
        taking.__name__, taking.__doc__ = command.__name__, command.__doc__
        taking.__signature__ = whole  # type: ignore[attr-defined] # typer reads both of these
        taking.__annotations__ = {each.name: each.annotation for each in whole.parameters.values()}
        return taking

    return give


def text_option(name: str, metavar: str, tells: str) -> Any:
    """Return the type of an option that takes a text; `tells` is its line of help."""
    return Annotated[str | None, typer.Option(name, metavar=metavar, help=tells)]


def _parameter(key: str) -> str:
    return f"told_{key.replace(' ', '_')}"


def _note_option(kind: str, example: str) -> Any:
    told = f"As `{example}`{MORE.get(kind, '')} (repeatable)."
    name = f"--{kind.replace(' ', '-')}"
    return Annotated[list[str] | None, typer.Option(name, metavar="TEXT", help=told)]


with_notes = with_options(
    "notes", {kind: _note_option(kind, example) for kind, example in NOTES.items()}
)
"""Gives a command an option for each kind of note: `notes` are the texts by kind."""
