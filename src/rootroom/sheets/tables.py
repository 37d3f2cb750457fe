"""Every table of the season as CSV, in plain numbers, one file a table.

Amounts have a column in base units and one in US units, each named.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from rootroom.sessions.session import BedLine, Line, PlantLine
from rootroom.sheets.answers.buying import buying_csv
from rootroom.sheets.layout import csv_text, plain
from rootroom.sheets.views.work_rows import sorts_text
from rootroom.units.showing import BESIDE, OwnUnit

if TYPE_CHECKING:
    from rootroom.demand.estimates import Estimate
    from rootroom.demand.find import Demand
    from rootroom.season import Season
    from rootroom.sessions.session import Session
    from rootroom.sessions.timeline import Schedule

Row = tuple[str | int | None, ...]

US = {**BESIDE, "pieces": OwnUnit("pieces", 1.0)}
"""For each base unit the US one beside it."""

AMOUNT = ("amount", "unit", "US amount", "US unit")


def tables(season: Season) -> Mapping[str, str]:
    """Return the text of each table by its file name."""
    schedule = season.schedule
    found = {
        "demand.csv": csv_text(
            ("plant or bed", "move", "count", "from", "to", "mix or ingredient", "plan on [L]",
             "low [L]", "high [L]", "plan on [gal]", "low [gal]", "high [gal]"),
            _demand_rows(season.demand),
        ),
        "totals.csv": csv_text(
            ("kind", "name", "unit", "plan on", "low", "high", "US unit", "plan on (US)",
             "low (US)", "high (US)"),
            _total_rows(season.demand)
        ),
        "shopping.csv": buying_csv(season.shopping),
        "work.csv": csv_text(
            ("date", "start", "kind", "name", "move", "count", "from", "to", "pots", "mix",
             "mix [L]", "mix [gal]", "mix a pot [L]", "mix a pot [gal]", "minutes", "people",
             "weight [kg]", "weight [lb]", "can wait until", "sorts", "place", "tag"),
            _work_rows(schedule),
        ),
        "batches.csv": csv_text(
            ("date", "mix", "batches", "makes [L]", "makes [gal]", "part or addition", "scoops",
             "scoop [L]", "scoop [gal]", *AMOUNT),
            _batch_rows(schedule),
        ),
        "materials.csv": csv_text(
            ("date", "what", "from", *AMOUNT),
            (row for session in schedule.sessions for row in _materials(session)),
        ),
        "left.csv": csv_text(
            ("what", "unit", "left if much is needed", "left most likely", "US unit",
             "left if much is needed (US)", "left most likely (US)"),
            (
                (left.of, left.unit, plain(left.left), plain(left.likely), US[left.unit].name,
                 _us(left.left, left.unit), _us(left.likely, left.unit))
                for left in season.shopping.left
            ),
        ),
    }  # fmt: skip
    if schedule.aftercare:
        heads = ("date", "what to do", "plant", "move", "count", "of", *AMOUNT)
        found["aftercare.csv"] = csv_text(heads, _care_rows(schedule))
    return found


def _us(number: float | None, unit: str = "L") -> str | None:
    """Return an amount in the US unit for its base unit, with at most three decimals."""
    return None if number is None else plain(US[unit].of(number))


def _both(number: float | None, unit: str = "L") -> tuple[str | None, str | None]:
    """Return an amount in its base unit and in the US unit."""
    return plain(number), _us(number, unit)


def _amount(number: float, unit: str) -> Row:
    return (plain(number), unit, _us(number, unit), US[unit].name)


def _demand_rows(demand: Demand) -> Iterator[Row]:
    for move in demand.moves:
        mix = move.mix_l
        figures = _figures(mix) if move.mix else (None,) * 6
        yield (move.plant, move.move, move.count, move.old, move.new, move.mix, *figures)
    for bed in demand.beds:
        yield (bed.bed, None, None, None, bed.bed, bed.of, *_figures(bed.litres))


def _figures(one: Estimate, unit: str = "L") -> Row:
    values = (one.median, one.low, one.high)
    return (*map(plain, values), *(_us(value, unit) for value in values))


def _total_rows(demand: Demand) -> Iterator[Row]:
    for kind, figures in (("mix", demand.mixes), ("ingredient", demand.ingredients)):
        for name, one in figures.items():
            yield (kind, name, "L", *_figures(one)[:3], "gal", *_figures(one)[3:])
    for name, addition in demand.additions.items():
        unit = {"kg": "kg", "l": "L"}[addition.unit]
        both = _figures(addition.amount, unit)
        yield ("addition", name, unit, *both[:3], US[unit].name, *both[3:])


def _work_rows(schedule: Schedule) -> Iterator[Row]:
    for session in schedule.sessions:
        for line in session.work:
            of = line.of if isinstance(line, BedLine) else None
            mix = line.mix or of  # what is mixed into bags is not used yet
            litres = line.mix_l if mix and line.mix_l else None
            number, old, new, pots, pot_l, weight_kg, *marks = _moved(line)
            yield (
                session.date.isoformat(), line.start.isoformat("minutes"), line.kind, line.name,
                number, line.count, old, line.name if of else new, pots,
                mix, *_both(litres), *_both(pot_l),
                plain(line.minutes), line.people, *_both(weight_kg, "kg"),
                None if line.until is None else line.until.isoformat(), *marks,
            )  # fmt: skip


def _moved(line: Line) -> tuple[Any, ...]:
    """Return what only moves of plants have: move, old, new, pots, litres, weight, marks."""
    if not isinstance(line, PlantLine):
        return (None,) * 9
    return (
        line.move, line.old, line.new, line.pots or None, line.pot_l or None, line.weight_kg,
        sorts_text(line) or None, line.place or None, line.tag or None,
    )  # fmt: skip


def _care_rows(schedule: Schedule) -> Iterator[Row]:
    for one in schedule.aftercare:
        step, amount = one.step, one.step.amount
        given: Row = (None,) * 4
        if amount is not None:
            unit = {"kg": "kg", "l": "L"}[amount.unit]
            given = _amount(amount.size * one.count, unit)
        day = one.date.isoformat()
        yield (day, step.do, one.plant, one.move, one.count, step.of, *given)


def _batch_rows(schedule: Schedule) -> Iterator[Row]:
    for session in schedule.sessions:
        day = session.date.isoformat()
        for batch in session.batches:
            head = (day, batch.mix, plain(batch.batches), plain(batch.litres), _us(batch.litres))
            scoop = (plain(batch.scoop_l), _us(batch.scoop_l))
            for part, scoops in batch.scoops.items():
                yield (*head, part, plain(scoops), *scoop, *_amount(scoops * batch.scoop_l, "L"))
            for name, kg in batch.add_kg.items():
                yield (*head, name, None, None, None, *_amount(kg, "kg"))
            for name, litres in batch.add_l.items():
                yield (*head, name, None, None, None, *_amount(litres, "L"))


def _materials(session: Session) -> Iterator[Row]:
    day, bring = session.date.isoformat(), session.bring
    pieces = (("stock", bring.from_stock), ("washed", bring.from_freed), ("bought", bring.bought))
    for source, counts in pieces:
        for name, count in counts.items():
            yield (day, name, source, *_amount(count, "pieces"))
    litres = (
        ("", bring.ingredients_l), ("ready-made", bring.ready_l), ("stored", bring.stored_l),
        ("", bring.additions_l),
    )  # fmt: skip
    for source, volumes in litres:
        for name, volume in volumes.items():
            yield (day, name, source or None, *_amount(volume, "L"))
    for name, kg in bring.additions_kg.items():
        yield (day, name, None, *_amount(kg, "kg"))
