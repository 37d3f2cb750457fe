"""A plan file as a `Plan`, or everything that is wrong with it.

bytes > text > TOML > tables > names and dates > Plan.
Every layer hands on what it could read, so that one run finds every mistake; what follows from a
mistake is left out. Each table has its module; this one only says in which order they are read:
what others refer to comes first.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path as FilePath
from typing import Any

from rootroom.plan.context import Context
from rootroom.plan.diagnostics import Findings, Path, TooManyMistakes
from rootroom.plan.entries import Supply
from rootroom.plan.model import Plan, Roster
from rootroom.plan.names import TOP, note_unknown_key, shown
from rootroom.plan.structure import structure
from rootroom.plan.tables.beds import bed_names, read_beds
from rootroom.plan.tables.containers import read_own_containers
from rootroom.plan.tables.garden import read_factors, read_garden, read_sure
from rootroom.plan.tables.ingredients import check_weights, read_ingredients, used_ingredients
from rootroom.plan.tables.mixes import read_mixes
from rootroom.plan.tables.plant_table import PlantTable, read_places
from rootroom.plan.tables.plants import RosterBuilder, entries_of
from rootroom.plan.tables.supplies import complete_suppliers, read_suppliers, read_supplies
from rootroom.plan.tables.work import minutes_of_runs, read_own_minutes, read_work
from rootroom.plan.toml.source import LONG_LIST, SEVERAL_PLANS, read_source
from rootroom.plan.toml.syntax import parse
from rootroom.plan.values import show
from rootroom.problems import Problem


def read_plan(path: str | os.PathLike[str]) -> tuple[Plan | None, tuple[Problem, ...]]:
    """Return the plan and every problem in the order of the file.

    The plan is None when there is an error; warnings alone leave it. A user's mistake never raises.
    """
    file = FilePath(path)
    source = read_source(file)
    if isinstance(source, Problem):
        return None, (source,)
    return read_plan_text(source, file)


def read_plan_text(
    text: str, path: str | os.PathLike[str], *, lists: Mapping[str, str] | None = None
) -> tuple[Plan | None, tuple[Problem, ...]]:
    """Return the plan that a file would hold with this text (plain line ends), as `read_plan`.

    `lists` are texts of CSV lists beside it, by the names that `rows` gives them, in place of what
    their files say.
    """
    file, source = FilePath(path), text
    data, places, problems = parse(source, str(file))
    findings = Findings(places, problems)
    plan = None
    if data is not None:
        with suppress(TooManyMistakes):
            plan = _read(data, file, findings, lists or {})
    found = tuple(
        sorted(findings.problems, key=lambda problem: (_rank(problem, file), problem.where))
    )
    if any(problem.severity == "error" for problem in found):
        return None, found
    return plan, found


def _rank(problem: Problem, file: FilePath) -> int:
    """The plan's own file first, then the lists beside it."""
    return 0 if problem.where.file == str(file) else 1


def _read(
    data: dict[str, Any], file: FilePath, findings: Findings, lists: Mapping[str, str]
) -> Plan:
    _check_size(data, findings)
    _check_top(data, findings)
    context = _named(data, file, findings, lists)
    ingredients, mixes = context.ingredients, context.mixes
    sure = read_sure(data, findings)
    minutes = read_own_minutes(data, context)
    beds = read_beds(data, context)
    roster = _plants(data, file, context)
    places = read_places(data, _places_named(data, roster), findings)
    suppliers = read_suppliers(data, context.garden.currency, findings)
    supplies = read_supplies(data, ingredients, suppliers, context)
    check_weights(mixes, roster, supplies, ingredients, findings)
    return Plan(
        file=file.name,
        garden=context.garden,
        work=context.work,
        factors=context.factors,
        sure_share=sure,
        plants=roster,
        beds=beds,
        mixes=mixes,
        ingredients=used_ingredients(ingredients, mixes, roster, beds, supplies),
        containers=context.containers.known,
        stock=_stock(context.containers.stock, supplies),
        supplies=supplies,
        suppliers=complete_suppliers(suppliers, supplies),
        minutes=minutes_of_runs(minutes, roster),
        places=places,
    )


def _named(
    data: dict[str, Any], file: FilePath, findings: Findings, lists: Mapping[str, str]
) -> Context:
    """Return what the other tables refer to by name, and what counts for all of them."""
    garden = read_garden(data, file.name, findings)
    work = read_work(data, garden, findings)
    factors = read_factors(data, findings)
    ingredients = read_ingredients(data, findings)
    mixes = read_mixes(data, ingredients, findings)
    containers = read_own_containers(data, findings)
    return Context(
        findings=findings,
        garden=garden,
        work=work,
        factors=factors,
        containers=containers,
        ingredients=ingredients,
        mixes=mixes,
        bed_names=bed_names(data),
        lists=lists,
    )


def _stock(stated: dict[str, int], supplies: tuple[Supply, ...]) -> dict[str, int]:
    """Return the whole empty containers that are there: under [containers] and under supplies."""
    stock = dict(stated)
    for supply in supplies:
        if supply.of_kind == "container":
            each = 0 if supply.pack is None else supply.pack.pieces or 0
            there = (supply.have_pieces or 0) + int(supply.on_hand * each)
            if there:
                stock[supply.of] = stock.get(supply.of, 0) + there
    return stock


MOST_THINGS = 10_000
"""Things in any one table or list; of mixes, beds and all kinds but plants a tenth of that."""


def _check_top(data: dict[str, Any], findings: Findings) -> None:
    for key in data:
        if key.removesuffix("+") not in TOP:
            note_unknown_key(findings, (key,), TOP, data)
    number = data.get("format", 1)
    if number != 1 or isinstance(number, bool):
        findings.error(
            ("format",),
            "unknown-format",
            f"this version reads plans of format 1: {show(number)}",
            hint="write `format = 1`",
        )
    for key in ("plants", "supplies", "beds"):
        if key in data and not isinstance(data[key], list):
            findings.error(
                (key,),
                "wrong-kind",
                f"`{key}` is a list: {show(data[key])}",
                hint=f"write `[[{key}]]`, in double brackets, or `{key} = [ {{ ... }}, ]`",
                key=True,
            )


def _places_named(data: dict[str, Any], roster: Roster) -> set[str]:
    """Return the places that plants stand in, those of plants that could not be read too."""
    rows = data.get("plants", [])
    raw = (
        [row.get("place") for row in rows if isinstance(row, dict)]
        if isinstance(rows, list)
        else []
    )
    named = {place for place in raw if isinstance(place, str)}
    return named | {one.place for one in roster.marks if one.place}


def _check_size(data: dict[str, Any], findings: Findings) -> None:
    """Note the first table or list of more things than a garden has; then nothing is read."""
    waiting: list[tuple[Path, Any]] = [((), data)]
    for path, things in waiting:
        plants = path[:1] in (("plants",), ("plants+",))
        most = MOST_THINGS if plants or len(path) != 1 else MOST_THINGS // 10
        if len(things) > most:
            name = f"`{shown(str(path[-1]))}`" if path else "the whole plan"
            findings.error(
                path,
                "too-many-things",
                f"at most {most:,} things go into {name}: {len(things):,}",
                hint=LONG_LIST if plants else SEVERAL_PLANS,
                key=True,
            )
            raise TooManyMistakes
        inside = things.items() if isinstance(things, dict) else enumerate(things)
        waiting.extend(((*path, k), v) for k, v in inside if isinstance(v, dict | list))


def _plants(data: dict[str, Any], file: FilePath, context: Context) -> Roster:
    builder = RosterBuilder(context)
    for path, raw in entries_of(data, "plants"):
        table = structure(PlantTable, raw, path, context.findings)
        if table.rows is not None:
            from rootroom.plan.tables.rows import read_rows

            read_rows(table, raw, path, file.parent, builder)
        elif not context.findings.seen((*path, "rows")):
            builder.add_entry(table, path)
    builder.warn()
    return builder.roster()
