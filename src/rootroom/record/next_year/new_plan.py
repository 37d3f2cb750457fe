"""Next year's plan: this one with its dates moved on, its plants, stock and figures as they are.

Dates that are tied to days of work move by 52 weeks, so that a weekend stays one; the frost dates
and the last day of work keep their day of the year.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, timedelta
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any

from rootroom.containers.text import read_container
from rootroom.plan.editing import set_value
from rootroom.plan.names import tidy
from rootroom.plan.toml.splicing import Path
from rootroom.problems import TextError
from rootroom.record.apply import State, replay
from rootroom.record.empty_containers import containers_there
from rootroom.record.learned_figures import figures
from rootroom.record.next_year.draft import Draft
from rootroom.record.next_year.lists import NextLists
from rootroom.record.next_year.plants import carry_plants, groups_at_the_end
from rootroom.tolerances import UNMEASURED
from rootroom.units import System, read_mass_kg, read_volume_l, show_volume
from rootroom.units.showing import three_digits

if TYPE_CHECKING:
    from rootroom.plan.entries import Supply
    from rootroom.plan.model import Plan
    from rootroom.record.events import Event

YEAR = timedelta(weeks=52)
OF_THE_YEAR = ("last_frost", "first_frost", "last")
"""Keys of dates that keep their day of the year."""

AS_THEY_ARE = ("since",)
"""Keys of dates that are past, and stay."""

TOP_UP = {"us": "1 in", "metric": "3 cm"}
"""What a bed that was filled sinks in a year: common practice, no source."""

_ISO = re.compile(r"\d{4}-\d\d-\d\d")


def next_year(
    text: str,
    plan: Plan,
    events: Iterable[Event],
    file: FilePath,
    *,
    as_planned: bool = False,
    folder: FilePath | None = None,
) -> Draft:
    """Return the text of next year's plan, and notes of what it could not take over.

    `text` and `plan` are this year's as written in `file`, `events` its record. With `as_planned`
    what nobody noted counts as done as planned; `folder` is where the new plan will lie.
    """
    told = tuple(events)
    state = replay(plan, told)
    groups = groups_at_the_end(plan, state.groups, as_planned=as_planned)
    draft = Draft(text, file, in_a_year(plan.work.first).year)
    _move_dates(draft)
    lists = NextLists(draft, plan, groups, YEAR)
    _carry_lists(draft, lists, folder or file.parent)
    emptied = carry_plants(draft, plan, groups)
    for text, count in lists.emptied.items():
        emptied[text] = emptied.get(text, 0) + count
    _carry_beds(draft, plan, state, as_planned=as_planned)
    if told:
        _carry_prices(draft, plan, state)
        _carry_figures(draft, plan, told)
        _carry_supplies(draft, plan, state)
        _note_heaps(draft, state, plan.garden.system)
    if groups:
        boxes = containers_there(plan, told, groups, state.goods)
        there = {text: box.on_hand for text, box in boxes.items()}
        _carry_containers(draft, plan, {**plan.stock, **there}, emptied)
    _head(draft, plan, state)
    return draft


def _head(draft: Draft, plan: Plan, state: State) -> None:
    """Write above all what the plan was made from."""
    record = f" and its record up to {state.last}" if state.last else ", nothing having been noted"
    lines = [f"# The season after {plan.file}, made from that{record}.", "#"]
    draft.text = "\n".join(lines) + "\n" + draft.text


def in_a_year(day: date) -> date:
    """Return the same day of the next year; of 29 February the day before."""
    try:
        return day.replace(year=day.year + 1)
    except ValueError:
        return date(day.year + 1, 2, 28)


# Dates


def _move_dates(draft: Draft) -> None:
    """Move every date of the plan on by a year, those in keys of a table too."""
    for path, day in list(_dates(draft.data, ())):
        key = next(step for step in reversed(path) if isinstance(step, str))
        if key in AS_THEY_ARE:
            continue
        moved = in_a_year(day) if key in OF_THE_YEAR else day + YEAR
        text = draft.at(path)
        draft.set(path, moved.isoformat() if isinstance(text, str) else moved)
    for table in ("hours", "people"):
        by_day = draft.at(("work", table))
        if not isinstance(by_day, dict):
            continue
        for key in [key for key in by_day if _ISO.fullmatch(key)]:
            moved_key = (date.fromisoformat(key) + YEAR).isoformat()
            draft.set(("work", table, moved_key), by_day[key])
            draft.drop(("work", table, key))


def _dates(value: Any, path: Path) -> Iterator[tuple[Path, date]]:
    if isinstance(value, dict):
        for key, inside in value.items():
            yield from _dates(inside, (*path, key))
    elif isinstance(value, list):
        for number, inside in enumerate(value):
            yield from _dates(inside, (*path, number))
    elif isinstance(value, date):
        yield path, value
    elif (
        isinstance(value, str)
        and path[-1] in ("from", "by")
        and path[0] != "supplies"
        and _ISO.fullmatch(value)
    ):
        yield path, date.fromisoformat(value)


def _carry_lists(draft: Draft, lists: NextLists, folder: FilePath) -> None:
    """Write the lists of plants anew, each under a name that is free where the plan will lie."""
    for number, entry in enumerate(draft.data.get("plants", [])):
        if "rows" in entry:
            old = FilePath(entry["rows"]).with_suffix(".csv")
            new, again = next_name(old.name, None), 1
            while new in draft.lists or (folder / old.with_name(new)).exists():
                again += 1
                new = next_name(f"{old.stem}-{again}.csv", None)
            lists.write(number, old.with_name(new).as_posix())


def next_name(name: str, year: int | None) -> str:
    """Return a file's name for the year after: with its year one on, else `year` or `next`."""
    found = re.search(r"(?<!\d)(20\d\d)(?!\d)", name)
    if found:
        return f"{name[: found.start()]}{int(found[1]) + 1}{name[found.end() :]}"
    stem, dot, suffix = name.rpartition(".")
    return f"{stem or suffix}-{year or 'next'}{dot and stem and f'.{suffix}'}"


# Beds and containers


def _carry_beds(draft: Draft, plan: Plan, state: State, *, as_planned: bool) -> None:
    """Let a bed that was filled be topped up, and tell what is in one that was partly filled."""
    numbers = {tidy(bed["name"]): n for n, bed in enumerate(draft.data.get("beds", []))}
    for bed in plan.beds:
        path: Path = ("beds", numbers[bed.name])
        shares = [state.filled.get((bed.name, n), 0.0) for n in range(1, len(bed.layers) + 1)]
        if as_planned and not any(shares):
            shares = [1.0] * len(shares)
        if min(shares) > 0.999 and not draft.at((*path, "top_up")):
            top = next(
                (layer.of for layer in bed.layers if layer.depth_m is None), bed.layers[-1].of
            )
            top_up = TOP_UP[plan.garden.system]
            draft.drop(*((*path, key) for key in ("depth", "already", "layers", "mix")))
            draft.set((*path, "top_up"), top_up)
            if top in plan.mixes:
                draft.set((*path, "mix"), top)
            else:
                draft.set((*path, "layers"), [{"of": top}])
            line = f"filled; {top_up} more each year is common practice, no source: measure it"
            draft.comment(path, [line])
        elif any(shares) and min(shares) <= 0.999:
            parts = ", ".join(
                f"{share:.0%} of the {layer.of}"
                for share, layer in zip(shares, bed.layers, strict=True)
                if share
            )
            draft.comment(path, [f"partly filled ({parts}): set `already` to what is in"])


def _carry_containers(
    draft: Draft, plan: Plan, empty: Mapping[str, int], emptied: Mapping[str, int]
) -> None:
    """Set how many empty containers there are, in one place; supplies of them have none then."""
    there = dict(empty)
    for text, count in emptied.items():
        there[text] = there.get(text, 0) + count
    changed = [text for text, count in there.items() if count != plan.stock.get(text, 0)]
    for text in changed:
        for number in reversed(range(len(draft.data.get("supplies", [])))):
            path: Path = ("supplies", number)
            if _container_text(draft.at(path).get("of", "")) != text:
                continue
            if "pack" not in draft.at(path):
                draft.drop(path)
            else:
                draft.drop((*path, "on_hand"), (*path, "have"))
        known = draft.data.get("containers", {})
        key = next((name for name in known if _container_text(name) == text), text)
        draft.set(("containers", key, "on_hand"), there[text])


def _container_text(name: str) -> str:
    try:
        return read_container(name).text
    except TextError:
        return name


# Goods, prices and figures


def _carry_supplies(draft: Draft, plan: Plan, state: State) -> None:
    """Set what is left of packs and heaps; a heap that is used up is taken out."""
    was = {supply.number: supply for supply in plan.supplies}
    for supply in sorted(state.goods.supplies, key=lambda one: -one.number):
        path: Path = ("supplies", supply.number - 1)
        before = was[supply.number]
        if supply.of_kind == "container":
            continue
        if supply.on_hand != before.on_hand:
            packs = round(float(supply.on_hand), 2)
            if packs:
                draft.set((*path, "on_hand"), packs if packs % 1 else int(packs))
            else:
                draft.drop((*path, "on_hand"))
        heap = _heap(supply, plan.garden.system)
        if heap == _heap(before, plan.garden.system):
            continue
        if heap is None:
            raw = draft.at(path)
            draft.drop(path)
            draft.notes.append(f"{raw['of']}: the own heap was used up; write what is there")
        else:
            draft.set((*path, "have"), heap)


def _heap(supply: Supply, system: str) -> str | None:
    """Return what is left of an own heap, as a text with its unit; None for no heap, or nothing."""
    if supply.have_l is not None:
        held = float(supply.have_l)
        one, unit = (read_volume_l("1 cu ft"), "cu ft") if system == "us" else (1.0, "L")
    elif supply.have_kg is not None:
        held = float(supply.have_kg)
        one, unit = (read_mass_kg("1 lb"), "lb") if system == "us" else (1.0, "kg")
    else:
        return None
    return None if held < UNMEASURED else f"{three_digits(held / one)} {unit}"


def _carry_prices(draft: Draft, plan: Plan, state: State) -> None:
    """Set the newest price paid for each supply, unless it has prices by quantity."""
    newest = {
        one.supply: one
        for one in sorted(state.goods.paid, key=lambda one: one.day)
        if one.supply is not None and one.cents_each is not None
    }
    known = {supply.number: supply.price_cents for supply in plan.supplies}
    for number, paid in newest.items():
        path: Path = ("supplies", number - 1)
        cents = round(paid.cents_each or 0.0)
        price = f"{cents // 100}.{cents % 100:02}"
        if cents == known.get(number):
            continue
        if draft.at((*path, "more")):
            line = f"paid {price} each on {paid.day}: look at its prices by quantity"
            draft.comment(path, [line])
        else:
            draft.text = set_value(draft.text, (*path, "price"), price, make=True)


def _carry_figures(draft: Draft, plan: Plan, events: Iterable[Event]) -> None:
    """Set what the record teaches; what the plan cannot take is noted with its line."""
    for figure in figures(plan, events):
        lines = dict(line.split(" = ", 1) for line in figure.line.splitlines())
        if figure.what == "swells":
            for number, supply in enumerate(plan.supplies):
                row = draft.at(("supplies", number))
                if supply.of == figure.of and "pack" in row and "yields" not in row:
                    draft.set_if_right(("supplies", number, "swells"), lines["swells"])
            continue
        table: Path = {
            "shrink": ("mixes", figure.of),
            "fill": ("containers", figure.of),
            "minutes": ("minutes",),
        }.get(figure.what, ("factors",))
        for key, raw in lines.items():
            name = figure.of if figure.what == "minutes" else key
            if not draft.set_if_right((*table, name), raw):
                draft.notes.append(f"learned, to write by hand: {figure.header} {key} = {raw}")


def _note_heaps(draft: Draft, state: State, system: System) -> None:
    for name, book in sorted(state.goods.mixes.items()):
        if book.there > 1:
            amount = show_volume(book.there, system)
            draft.notes.append(f"{name}: {amount} of it lie over; by spring it is `old mix`")
