"""Plans side by side: as a table for the screen, for a spreadsheet, and as JSON."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from operator import attrgetter
from typing import TYPE_CHECKING, Any

from attrs import asdict, frozen

from rootroom.counts import counted
from rootroom.sheets.layout import (
    Cell,
    clip,
    csv_text,
    day_short,
    fill,
    fitted_table,
    listed,
    picked,
    rounded,
)
from rootroom.sheets.writing import money
from rootroom.units import show_mass, show_minutes, show_volume
from rootroom.units.showing import BESIDE

if TYPE_CHECKING:
    from rootroom.comparing import Outcome
    from rootroom.units import System

MOST_BESIDE = 4
"""Plans beside each other in one table; more go into further tables below."""

MOST_DIFFERENCES = 12
LONGEST_VALUE = 60
SAME, NONE = "same", "none"
ALWAYS = ("sessions", "late", "left out")
"""Rows that are told even where no plan has any."""


def comparison_text(outcomes: Sequence[Outcome]) -> str:
    """Return the table within 80 columns, then what differs in each plan, then what to know.

    What is as in the first plan is told by one word.
    """
    first, *others = outcomes
    tables = [
        _table(first, others[at : at + MOST_BESIDE - 1])
        for at in range(0, max(len(others), 1), MOST_BESIDE - 1)
    ]
    parts = [*tables, *(_differences(one) for one in others), *_notes(outcomes)]
    return "\n\n".join(part for part in parts if part)


def _table(first: Outcome, others: Sequence[Outcome]) -> str:
    rows = []
    for row in measures((first, *others)):
        texts = [row.say(one) or NONE for one in (first, *others)]
        if row.head in ALWAYS or set(texts) != {NONE}:
            rows.append([row.head, texts[0], *(SAME if x == texts[0] else x for x in texts[1:])])
    heads = ["", *(clip(one.name, 24) for one in (first, *others))]
    return fitted_table(heads, rows, "l" + "r" * (len(others) + 1))


@frozen
class Measure:
    """A row of the table: its head, what it is of a plan, and the same in words, empty for none."""

    head: str
    of: Callable[[Outcome], float]
    say: Callable[[Outcome], str]
    drawn: bool = True


def measures(outcomes: Sequence[Outcome]) -> list[Measure]:
    """Return the rows of the table, the mixes first.

    Amounts are told in the units of the first plan, so that they can be compared.
    """
    system = outcomes[0].system
    names = dict.fromkeys(name for one in outcomes for name in one.mixes)
    one_money = len({one.currency for one in outcomes}) == 1

    def cost(one: Outcome) -> str:
        text = money(one.cost_cents, one.currency)
        text += " (short)" if not one.enough else " (not all)" if one.unpriced else ""
        return text if one_money else f"{text} {clip(one.currency, 8)}"

    def some(head: str, key: str, show: Callable[[Any], str], *, drawn: bool = True) -> Measure:
        of = attrgetter(key)
        return Measure(head, of, lambda one: show(of(one)) if of(one) > 0 else "", drawn)

    def mass(kilograms: float) -> str:
        return show_mass(kilograms, system)

    currency = f" [{clip(outcomes[0].currency, 8)}]" if one_money else ""
    return [
        *(_of_mix(name, system) for name in names),
        Measure(f"cost{currency}", lambda one: one.cost_cents, cost),
        some("pots to buy", "pots_bought", str, drawn=False),
        some("weight of what is bought", "bought_kg", mass, drawn=False),
        some("sessions", "sessions", str),
        Measure("first and last day", lambda _: 0.0, _first_and_last, drawn=False),
        some("work", "minutes", show_minutes),
        some("evenings before", "evening_min", show_minutes, drawn=False),
        some("heaviest to lift", "heaviest_kg", mass),
        some("moved in all", "moved_kg", mass),
        some("late", "late_plant_days", lambda number: counted(number, "plant-day")),
        some("left out", "left_out", lambda number: counted(number, "plant")),
    ]


def _of_mix(name: str, system: System) -> Measure:
    def say(one: Outcome) -> str:
        figure = one.mixes.get(name)
        return "" if figure is None else show_volume(figure.median, system, like=figure.high)

    return Measure(
        f"{clip(name, 24)}, plan on",
        lambda one: one.mixes[name].median if name in one.mixes else 0.0,
        say,
    )


def _first_and_last(one: Outcome) -> str:
    if one.first is None or one.last is None:
        return ""
    return " to ".join(dict.fromkeys((day_short(one.first), day_short(one.last))))


def _differences(one: Outcome) -> str:
    name = clip(one.name, 40)
    if not one.differs:
        return f"{name} differs in nothing."
    lines = [
        fill(f"{clip(each.at, 60)}: {_value(each.here)} -> {_value(each.there)}",
             indent="  ", hanging="      ")
        for each in one.differs[:MOST_DIFFERENCES]
    ]  # fmt: skip
    if rest := len(one.differs) - MOST_DIFFERENCES:
        lines += [f"  and {counted(rest, 'more value')} (--json has them all)"] if rest > 0 else []
    return listed(f"{name} differs in:", lines)


def _value(text: str) -> str:
    return clip(text, LONGEST_VALUE) if text else "not given"


def _notes(outcomes: Sequence[Outcome]) -> list[str]:
    """Return what keeps figures from being compared: unproved days, prices that are missing."""
    notes = []
    names = [clip(one.name, 24) for one in outcomes if one.complete and not one.proved]
    if names:
        notes.append(
            f"Whether fewer sessions would do is not proved for {', '.join(names)}; "
            "a difference of one session may be chance."
        )
    if any(one.clock for one in outcomes):
        notes.append("The time limit ended a search, so another run may differ.")
    for one in outcomes:
        if one.unpriced:
            goods = ", ".join(clip(name, 20) for name in one.unpriced[:6])
            notes.append(f"No price in {clip(one.name, 24)}: {goods}.")
    return ["\n".join(fill(note, hanging="  ") for note in notes)] if notes else []


def comparison_csv(outcomes: Sequence[Outcome]) -> str:
    """Return the figures as one table, a column a plan; amounts in base units and in US units."""
    heads = ("figure", "unit", *(one.name for one in outcomes))
    names = dict.fromkeys(name for one in outcomes for name in one.mixes)
    rows: list[tuple[Cell, ...]] = [
        (f"mix {name}, {which}", "L", *(
            f"{getattr(one.mixes[name], of):.3f}" if name in one.mixes else "0"
            for one in outcomes
        ))
        for name in names
        for which, of in (("plan on", "median"), ("up to", "high"))
    ]  # fmt: skip
    for key, unit in FIGURES:
        values = [getattr(one, key) for one in outcomes]
        rows.append((
            key, unit, *(f"{x:.3f}" if isinstance(x, float) else str(x or 0) for x in values),
        ))  # fmt: skip
    return csv_text(heads, [each for row in rows for each in _in_both_units(row)])


def _in_both_units(row: tuple[Cell, ...]) -> Iterator[tuple[Cell, ...]]:
    yield row
    us = BESIDE.get(str(row[1]))
    if us is not None:
        yield (row[0], us.name, *(f"{us.of(float(one or 0)):.3f}" for one in row[2:]))


FIGURES = (
    ("cost_cents", "cents"),
    ("pots_bought", ""),
    ("bought_kg", "kg"),
    ("sessions", ""),
    ("minutes", "min"),
    ("evening_min", "min"),
    ("heaviest_kg", "kg"),
    ("moved_kg", "kg"),
    ("late_plant_days", ""),
    ("left_out", ""),
)


def comparison_json(outcomes: Sequence[Outcome]) -> str:
    """Return the text of one JSON object: base units, numbers rounded to a millionth."""
    return json.dumps({"plans": [_object(one) for one in outcomes]}, ensure_ascii=False)


def _object(one: Outcome) -> dict[str, Any]:
    return {
        "name": one.name,
        "plan": one.file,
        "mixes": {
            name: {key: rounded(x) for key, x in asdict(figure).items()}
            for name, figure in one.mixes.items()
        },
        **picked(
            one,
            "cost_cents enough unpriced containers=pots_bought ~bought_kg status sessions first "
            "last ~minutes evening_minutes=~evening_min ~heaviest_kg ~moved_kg late_plant_days "
            "left_out",
        ),
        "differs": [asdict(each) for each in one.differs],
    }
