"""Demand, shopping list and sessions as one JSON object each: base units, keys in a fixed order."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from itertools import islice
from json import dumps
from json.encoder import encode_basestring_ascii as quoted
from typing import TYPE_CHECKING, Any, TextIO

from rootroom.sessions.session import PlantLine
from rootroom.sheets.layout import rounded

if TYPE_CHECKING:
    from rootroom.buying.shopping import Comparison, Made, Shopping
    from rootroom.demand.estimates import Estimate
    from rootroom.demand.moves import KindColumns, MoveColumns
    from rootroom.demand.season_demand import Demand
    from rootroom.plan.entries import Care
    from rootroom.sessions.session import Bring, Session
    from rootroom.sessions.timeline import Schedule

ROWS_AT_ONCE = 5000
# Stands where a row's name goes; no JSON text holds it, since it is escaped there.
NAME = "\0"


def write_demand_json(demand: Demand, file: TextIO) -> None:
    """Write the demand to `file` as one object and a line end, in base units rounded to 1e-6."""
    for piece in demand_json(demand):
        file.write(piece)


def demand_json(demand: Demand) -> Iterator[str]:
    """Yield the pieces of the object that describes the demand."""
    yield f'{{"plan":{dumps(demand.file)},"moves":['
    rows = (row for row in _rows(demand) if row)
    yield from _joined(rows)
    beds = (
        f'{{"bed":{dumps(row.bed)},"of":{dumps(row.of)},"l":{_spread(row.litres)}}}'
        for row in demand.beds
    )
    yield '],"beds":[' + ",".join(beds) + "]"
    yield f',"mixes":{_by_name(demand.mixes)},"ingredients":{_by_name(demand.ingredients)}'
    additions = (
        f'{dumps(name)}:{{"{addition.unit}":{_spread(addition.amount)}}}'
        for name, addition in demand.additions.items()
    )
    yield ',"additions":{' + ",".join(additions) + "}}\n"


def _rows(demand: Demand) -> Iterator[str]:
    """Yield the moves of each row as text, an empty one for a plant that stays as it is."""
    moves = demand.moves
    fragments = [_fragments(kind) for kind in moves.kinds]
    rows = zip(moves.names, moves.kind_of.tolist(), moves.place_of.tolist(), strict=True)
    for name, kind, place in rows:
        yield fragments[kind][place].replace(NAME, quoted(name))


def _fragments(kind: KindColumns) -> list[str]:
    """Return the moves of each pair of a kind, with `NAME` where the plant's name goes."""
    columns = [_move(move) for move in kind.moves]
    return [",".join(parts) for parts in zip(*columns, strict=True)] or [""] * len(kind.rows)


def _move(move: MoveColumns) -> list[str]:
    head = f'{{"plant":{NAME},"move":{move.move.number},"count":'
    middle = (
        f',"from":{dumps(move.old)},"to":{dumps(move.new)},"mix":{dumps(move.move.mix)}'
        f',"fill_l":{_spread(move.fill_l)},"ball_l":{_spread(move.ball_l)},"mix_l":'
    )
    figures = zip(move.plants, move.low_l, move.likely_l, move.high_l, move.median_l, strict=True)
    return [
        f"{head}{plants}{middle}{_range(low, likely, high, median)}}}"
        for plants, low, likely, high, median in figures
    ]


def _joined(rows: Iterator[str]) -> Iterator[str]:
    """Yield many rows at once with commas between them: a write for each would cost more."""
    comma = ""
    while chunk := list(islice(rows, ROWS_AT_ONCE)):
        yield comma + ",".join(chunk)
        comma = ","


def _by_name(figures: Mapping[str, Estimate]) -> str:
    rows: Iterable[str] = (f"{dumps(name)}:{_spread(one)}" for name, one in figures.items())
    return "{" + ",".join(rows) + "}"


def _spread(figure: Estimate) -> str:
    return _range(figure.low, figure.likely, figure.high, figure.median)


def _range(low: float, likely: float, high: float, median: float) -> str:
    # Adding zero turns -0.0 into 0.0.
    return (
        f'{{"low":{round(low, 6) + 0.0!r},"likely":{round(likely, 6) + 0.0!r},'
        f'"high":{round(high, 6) + 0.0!r},"median":{round(median, 6) + 0.0!r}}}'
    )


def buying_json(shopping: Shopping) -> str:
    """Return the list as the text of one JSON object; numbers are rounded to a millionth."""
    return json.dumps(buying_object(shopping), ensure_ascii=False)


def buying_object(shopping: Shopping) -> dict[str, Any]:
    """Return the list as plain lists and dictionaries."""
    return {
        "status": shopping.status,
        "cost_cents": shopping.cost_cents,
        "bound_cents": shopping.bound_cents,
        "lines": [
            {
                "supply": line.supply,
                "of": line.of,
                "pack": line.pack,
                "from": line.source,
                "packs": line.packs,
                "cost_cents": line.cost_cents,
                "by": None if line.by is None else line.by.isoformat(),
            }
            for line in shopping.lines
        ],
        "fees": [{"from": fee.source, "cents": fee.cents} for fee in shopping.fees],
        "made": {name: _made(made) for name, made in shopping.made.items()},
        "left_l": {name: rounded(litres) for name, litres in shopping.left_l.items()},
        "unpriced": {left.of: rounded(left.left) for left in shopping.unpriced},
        "compare": [_comparison(comparison) for comparison in shopping.compare],
    }


def _made(made: Made) -> dict[str, Any]:
    return {
        "blended_l": rounded(made.blended_l),
        "ready_l": rounded(made.ready_l),
        "parts": {part.of: rounded(part.loose_l) for part in made.parts},
    }


def _comparison(comparison: Comparison) -> dict[str, Any]:
    return {
        "mix": comparison.mix,
        "own_cents_per_l": rounded(comparison.own_cents_per_l),
        "ready": [
            {
                "pack": ready.pack,
                "cents_per_l": rounded(ready.cents_per_l),
                "saved_share": rounded(ready.saved_share),
            }
            for ready in comparison.ready
        ],
    }


def sessions_json(schedule: Schedule) -> str:
    """Return the object that `rootroom sessions --json` prints."""
    answer = {
        "status": schedule.status,
        "late_plant_days": schedule.late_plant_days,
        "bound_late_plant_days": schedule.bound_late_plant_days,
        "bound_sessions": schedule.bound_sessions,
        "sessions": [_session(session) for session in schedule.sessions],
        "late": [
            {"plant": late.plant, "move": late.move, "count": late.count, "days": late.days}
            for late in schedule.late
        ],
        "left_out": [
            {
                "plant": left.plant,
                "move": left.move,
                "count": left.count,
                "minutes": rounded(left.minutes),
            }
            for left in schedule.left_out
        ],
    }
    if schedule.aftercare:
        answer["aftercare"] = [_care(one) for one in schedule.aftercare]
    return json.dumps(answer, ensure_ascii=False)


def _care(one: Care) -> dict[str, Any]:
    given: dict[str, Any] = {} if one.step.of is None else {"of": one.step.of}
    if one.step.amount is not None:
        given[one.step.amount.unit] = rounded(one.step.amount.size * one.count)
    return {
        "date": one.date.isoformat(),
        "do": one.step.do,
        "plant": one.plant,
        "move": one.move,
        "count": one.count,
        **given,
    }


def _session(session: Session) -> dict[str, Any]:
    return {
        "date": session.date.isoformat(),
        "minutes": rounded(session.minutes),
        "free_minutes": rounded(session.free_minutes),
        "work": [
            {
                "kind": line.kind,
                "name": line.name,
                "move": line.move if isinstance(line, PlantLine) else None,
                "count": line.count,
                "minutes": rounded(line.minutes),
                **(_marks(line) if isinstance(line, PlantLine) else {}),
            }
            for line in session.work
        ],
        "batches": [
            {"mix": batch.mix, "l": rounded(batch.litres), "scoops": _numbers(batch.scoops)}
            for batch in session.batches
        ],
        "bring": _bring(session.bring),
        "cautions": [caution.line for caution in session.cautions],
    }


def _marks(line: PlantLine) -> dict[str, Any]:
    """Return sorts, place and tag of a line, those that the plan gives."""
    marks = {"sorts": dict(line.sorts), "place": line.place, "tag": line.tag}
    return {key: value for key, value in marks.items() if value}


def _bring(bring: Bring) -> dict[str, Any]:
    # Ready-made mix, and what goes in by the spoon without a known weight, are litres too.
    litres = {**bring.ingredients_l, **bring.ready_l, **bring.additions_l}
    return {
        "containers": dict(bring.containers),
        "ingredients_l": _numbers(litres),
        "additions_kg": _numbers(bring.additions_kg),
        "water_l": rounded(bring.water_l),
        "tools": list(bring.tools),
    }


def _numbers(values: Mapping[str, float]) -> dict[str, float | None]:
    return {name: rounded(value) for name, value in values.items()}
