"""The command that reads a list of plants as people have it, and writes a plan or a tidy CSV."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from rootroom.cli.common import (
    date_option,
    fail,
    meant,
    refusing,
    report,
    say,
    text_option,
    with_options,
    write_new,
)
from rootroom.cli.streams import working

if TYPE_CHECKING:
    from rootroom.plan.drafts import Draft
    from rootroom.plan.lists.model import Choices, ListRead
    from rootroom.problems import Problem


ListPath = Annotated[Path, typer.Argument(metavar="FILE", help="CSV, .xlsx, .ods or .xls.")]
ListOut = Annotated[
    Path | None,
    typer.Option("--out", metavar="FILE", help="A plan (.toml) or its rows (.csv) to write."),
]
Headings = Annotated[
    list[str] | None,
    typer.Option(
        "--heading",
        metavar="'WORDS=COLUMN'",
        help="What a heading means, as 'Many=count', 'Pot=now (in pot)', 'Later=to 2' (second "
        "move), 'Repot?=only yes' (rows with yes), 'Notes=-' (not read); a column may go by "
        "its letter (repeatable).",
    ),
]
Meanings = Annotated[
    list[str] | None,
    typer.Option(
        "--means", metavar="'TEXT=TEXT'", help="What a cell means, as '4\"=4 in square pot'."
    ),
]
Year = Annotated[
    int | None, typer.Option("--year", min=1900, max=2200, help="Of dates without one.")
]
Down = Annotated[bool, typer.Option("--down", help="An empty name takes the one above it.")]
Hidden = Annotated[
    str | None, typer.Option("--hidden", metavar="WAY", help="Hidden rows: `leave` or `read`.")
]
LastFrost = Annotated[date | None, date_option("--last-frost", "The late date, for the plan.")]

Sheet = Annotated[
    str | None,
    typer.Option("--sheet", metavar="NAME", help="Of several; else the first with a list."),
]
Gallons = Annotated[
    str | None, typer.Option("--gallons", metavar="WAY", help="`class`: 7 gal is #7; or `true`.")
]
Dates = Annotated[
    str | None, typer.Option("--dates", metavar="ORDER", help="`day-first` or `month-first`.")
]
Decimal = Annotated[
    str | None, typer.Option("--decimal", metavar="MARK", help="`point` or `comma`.")
]

INSTEAD = {
    "name": text_option("--name", "TEXT", "Where none is given."),
    "count": text_option("--count", "N", "Where none is given."),
    "now": text_option("--now", "POT", "Where none is given."),
    "to": text_option("--to", "POT", "Where none is given."),
    "from": text_option("--from", "DATE", "Where none is given."),
    "by": text_option("--by", "DATE", "Where none is given."),
    "mix": text_option("--mix", "NAME", "Where none is given."),
}
"""What counts where a row says nothing, by column."""


@with_options("instead", INSTEAD)
def import_list(
    file: ListPath,
    out: ListOut = None,
    sheet: Sheet = None,
    heading: Headings = None,
    means: Meanings = None,
    gallons: Gallons = None,
    dates: Dates = None,
    year: Year = None,
    decimal: Decimal = None,
    down: Down = False,
    hidden: Hidden = None,
    *,
    instead: dict[str, str],
    last_frost: LastFrost = None,
) -> None:
    """Read plants from a list as you have it, and write a plan of it."""
    from rootroom.plan.lists.grid import Readings
    from rootroom.plan.lists.model import Choices
    from rootroom.plan.lists.reading import read_list
    from rootroom.plan.lists.values import means_of

    if out is not None and out.suffix.casefold() not in (".toml", ".csv"):
        fail(f"--out ends in .toml (a plan) or .csv (its rows): `{out}`")
    readings = Readings(
        dates=_one_of("--dates", dates, "day-first", "month-first"),
        year=year or (last_frost.year if last_frost else None),
        gallons=_one_of("--gallons", gallons, "class", "true"),
        decimal=_one_of("--decimal", decimal, "point", "comma"),
        means=means_of(_pairs("--means", means)),
    )
    choices = Choices(
        sheet=sheet,
        headings=_pairs("--heading", heading),
        readings=readings,
        instead=_instead(instead, readings),
        down=down,
        hidden=_one_of("--hidden", hidden, "leave", "read"),
    )
    found = _asked(file, choices)
    if found is None:
        with working("reading the list"):
            found = read_list(file, choices)
    _answer(found, out, last_frost)


def _one_of(option: str, text: str | None, *known: str) -> Any:
    return None if text is None else meant(text, known, f"word for {option}")


def _pairs(option: str, given: list[str] | None) -> dict[str, str]:
    pairs = {}
    for text in given or ():
        name, equals, value = text.partition("=") if text[:1] != "=" else ("=", "=", text[2:])
        if not equals or not name.strip() or not value.strip():
            fail(f"{option} is written as WORDS=MEANING: `{text}`")
        pairs[name.strip()] = value.strip()
    return pairs


def _instead(given: dict[str, str], readings: Any) -> dict[str, str]:
    from rootroom.plan.lists.values import read_cell

    found = {}
    for key, text in given.items():
        with refusing(f"--{key}: "):
            value = read_cell(key, text, "", readings)
        if value is None or value == 0:
            fail(f"--{key} says nothing: `{text}`")
        found[key] = str(value)
    return found


def _answer(read: "ListRead | Problem", out: Path | None, last_frost: date | None) -> None:
    """Show what was understood, and write it where it is whole; exit 1 where it is not."""
    from rootroom.problems import Problem
    from rootroom.sheets.answers.check import imported_text
    from rootroom.sheets.layout import item

    if isinstance(read, Problem):
        report([read])
        raise typer.Exit(1)
    if read.rows or not read.problems:
        say(imported_text(read))
    else:
        say("\n".join(map(item, read.told)))
    if read.problems:
        say("")
        report(read.problems)
        raise typer.Exit(1)
    if not read.rows:
        fail("no row of this list is a plant", code=1)
    say("")
    if out is None:
        say("fine; `--out plan.toml` writes a plan of it, `--out rows.csv` the rows alone")
    elif out.suffix.casefold() == ".csv":
        _write_rows(read, out)
    else:
        _write_plan(read, out, last_frost)


def _write_rows(read: "ListRead", out: Path) -> None:
    from rootroom.plan.lists.as_rows import tidy_rows
    from rootroom.sheets.layout import csv_text

    head, rows = tidy_rows(read)
    write_new(out, csv_text(head, rows).encode())
    say(f'wrote {out}: in a plan beside it, write `plants = [ {{ rows = "{out.name}" }} ]`')


def _write_plan(read: "ListRead", out: Path, last_frost: date | None) -> None:
    from rootroom.plan.lists.outcome import beds_named, draft_of
    from rootroom.plan.reader import MOST_THINGS

    if len(read.rows) > MOST_THINGS:
        words = f"a plan file holds at most {MOST_THINGS:,} plants, these are {len(read.rows):,}"
        fail(words, hint="write the rows alone, `--out rows.csv`, for a plan to read")
    made = f"made from {Path(read.grid.file).name}"
    draft = draft_of(read, made + (f", sheet {read.grid.sheet}" if read.grid.sheet else ""))
    if last_frost is not None:
        draft.garden["last_frost"] = last_frost
    write_draft(draft, out)
    for bed in beds_named(read):
        say(f"`{bed}` is taken for a bed: describe it under `beds`")


def write_draft(draft: "Draft", out: Path) -> None:
    """Write a plan in the making to a new file, and tell what it still needs."""
    from rootroom.plan.drafts import draft_text
    from rootroom.plan.reader import read_plan_text
    from rootroom.sheets.layout import item

    text = draft_text(draft)
    plan, problems = read_plan_text(text, out)
    write_new(out, text.encode())
    if plan is not None:
        say(f"wrote {out}; next: `rootroom season {out} --out season/`")
        return
    say(f"wrote {out}; it still needs:")
    errors = {problem.message: problem for problem in problems if problem.severity == "error"}
    for problem in list(errors.values())[:8]:
        hint = f": {problem.hint}" if problem.hint else ""
        say(item(f"line {problem.where.line}: {problem.message}{hint}"))
    if any(problem.code in ("missing-mix", "unknown-mix") for problem in errors.values()):
        say(f"`rootroom add {out} mix` adds a mix")
    say(f"then run `rootroom check {out}`")


def _asked(file: Path, choices: "Choices") -> "ListRead | Problem | None":
    """Ask on a terminal about what is unclear, until nothing is; None where nobody can be asked."""
    from rootroom.cli.questions.asking import on_terminal

    if not on_terminal():
        return None
    from rootroom.cli.questions.plant_list import settle

    return settle(file, choices)
