"""Every table of the season as CSV, in base units and plain numbers, one file a table."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from rootroom.sheets.buying import buying_csv
from rootroom.sheets.csv_text import csv_text

if TYPE_CHECKING:
    from rootroom.demand.estimates import Demand
    from rootroom.season import Season
    from rootroom.sessions.session import Schedule, Session

__all__ = ["tables"]

Row = tuple[str | int | None, ...]


def tables(season: Season) -> Mapping[str, str]:
    """Return the text of each table by its file name."""
    schedule = season.schedule
    return {
        "demand.csv": csv_text(
            ("plant or bed", "move", "count", "from", "to", "mix or ingredient", "plan on [L]",
             "low [L]", "high [L]"),
            _demand_rows(season.demand),
        ),
        "totals.csv": csv_text(
            ("kind", "name", "unit", "plan on", "low", "high"), _total_rows(season.demand)
        ),
        "shopping.csv": buying_csv(season.shopping),
        "work.csv": csv_text(
            ("date", "start", "kind", "name", "move", "count", "from", "to", "pots", "mix",
             "mix [L]", "mix a pot [L]", "minutes", "people", "weight [kg]", "can wait until"),
            _work_rows(schedule),
        ),
        "batches.csv": csv_text(
            ("date", "mix", "batches", "litres [L]", "part or addition", "scoops", "scoop [L]",
             "amount", "unit"),
            _batch_rows(schedule),
        ),
        "materials.csv": csv_text(
            ("date", "what", "from", "amount", "unit"), _material_rows(schedule)
        ),
        "left.csv": csv_text(
            ("what", "unit", "left if much is needed", "left most likely"),
            (
                (left.of, left.unit, _n(left.left), _n(left.likely))
                for left in season.shopping.left
            ),
        ),
    }  # fmt: skip


def _n(number: float | None) -> str | None:
    """Return a number with at most three decimals, none where it is whole."""
    return None if number is None else f"{number + 0.0:.3f}".rstrip("0").rstrip(".")


def _demand_rows(demand: Demand) -> Iterator[Row]:
    for move in demand.moves:
        mix = move.mix_l
        figures = (_n(mix.median), _n(mix.low), _n(mix.high)) if move.mix else (None, None, None)
        yield (move.plant, move.move, move.count, move.old, move.new, move.mix, *figures)
    for bed in demand.beds:
        litres = bed.litres
        figures = (_n(litres.median), _n(litres.low), _n(litres.high))
        yield (bed.bed, None, None, None, bed.bed, bed.of, *figures)


def _total_rows(demand: Demand) -> Iterator[Row]:
    for kind, figures in (("mix", demand.mixes), ("ingredient", demand.ingredients)):
        for name, one in figures.items():
            yield (kind, name, "L", _n(one.median), _n(one.low), _n(one.high))
    for name, addition in demand.additions.items():
        unit, one = {"kg": "kg", "l": "L"}[addition.unit], addition.amount
        yield ("addition", name, unit, _n(one.median), _n(one.low), _n(one.high))


def _work_rows(schedule: Schedule) -> Iterator[Row]:
    for session in schedule.sessions:
        for line in session.work:
            mix = line.mix or line.of  # what is mixed into bags is not used yet
            yield (
                session.date.isoformat(), line.start.isoformat("minutes"), line.kind, line.name,
                line.move, line.count, line.old, line.new or line.of, line.pots or None,
                mix, _n(line.mix_l) if mix and line.mix_l else None,
                _n(line.pot_l) if line.pot_l else None, _n(line.minutes), line.people,
                _n(line.weight_kg), None if line.until is None else line.until.isoformat(),
            )  # fmt: skip


def _batch_rows(schedule: Schedule) -> Iterator[Row]:
    for session in schedule.sessions:
        day = session.date.isoformat()
        for batch in session.batches:
            head = (day, batch.mix, _n(batch.batches), _n(batch.litres))
            for part, scoops in batch.scoops.items():
                litres = scoops * batch.scoop_l
                yield (*head, part, _n(scoops), _n(batch.scoop_l), _n(litres), "L")
            for name, kg in batch.add_kg.items():
                yield (*head, name, None, None, _n(kg), "kg")
            for name, litres in batch.add_l.items():
                yield (*head, name, None, None, _n(litres), "L")


def _material_rows(schedule: Schedule) -> Iterator[Row]:
    for session in schedule.sessions:
        yield from _materials(session)


def _materials(session: Session) -> Iterator[Row]:
    day, bring = session.date.isoformat(), session.bring
    pieces = (("stock", bring.from_stock), ("washed", bring.from_freed), ("bought", bring.bought))
    for source, counts in pieces:
        for name, count in counts.items():
            yield (day, name, source, count, "pieces")
    litres = (
        ("", bring.ingredients_l), ("ready-made", bring.ready_l), ("stored", bring.stored_l),
        ("", bring.additions_l),
    )  # fmt: skip
    for source, volumes in litres:
        for name, volume in volumes.items():
            yield (day, name, source or None, _n(volume), "L")
    for name, kg in bring.additions_kg.items():
        yield (day, name, None, _n(kg), "kg")
