"""The answers as one JSON object each: base units, keys in a fixed order."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from itertools import islice
from json.encoder import encode_basestring_ascii as quoted
from typing import TYPE_CHECKING, Any

from rootroom.sessions.session import PlantLine
from rootroom.sheets.layout import picked, rounded

if TYPE_CHECKING:
    from rootroom.buying.shopping import Shopping
    from rootroom.catalogue.spread import Spread
    from rootroom.demand.estimates import Estimate
    from rootroom.demand.find import Demand
    from rootroom.demand.moves import KindColumns, MoveColumns
    from rootroom.plan.entries import Care
    from rootroom.pot.report import MovedPot, Pair, PotReport
    from rootroom.pot.verdict import Verdict
    from rootroom.pot.weight import FloorLoad
    from rootroom.sessions.session import Bring, Line, Session
    from rootroom.sessions.timeline import Schedule


ROWS_AT_ONCE = 5000
# Stands where a row's name goes; no JSON text holds it, since it is escaped there.
NAME = "\0"


def demand_json(demand: Demand) -> Iterator[str]:
    """Yield the pieces of the demand's object and a line end, in base units rounded to 1e-6."""
    yield f'{{"plan":{json.dumps(demand.file)},"moves":['
    rows = (row for row in _rows(demand) if row)
    yield from _joined(rows)
    beds = (
        f'{{"bed":{json.dumps(row.bed)},"of":{json.dumps(row.of)},"l":{_spread(row.litres)}}}'
        for row in demand.beds
    )
    yield '],"beds":[' + ",".join(beds) + "]"
    yield f',"mixes":{_by_name(demand.mixes)},"ingredients":{_by_name(demand.ingredients)}'
    additions = (
        f'{json.dumps(name)}:{{"{addition.unit}":{_spread(addition.amount)}}}'
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
    columns = [_move_texts(move) for move in kind.moves]
    return [",".join(parts) for parts in zip(*columns, strict=True)] or [""] * len(kind.rows)


def _move_texts(move: MoveColumns) -> list[str]:
    head = f'{{"plant":{NAME},"move":{move.move.number},"count":'
    middle = (
        f',"from":{json.dumps(move.old)},"to":{json.dumps(move.new)},"mix":{json.dumps(move.move.mix)}'
        f',"fill_l":{_spread(move.fill_l)},"ball_l":{_spread(move.ball_l)},"mix_l":'
    )
    figures = zip(move.plants, move.low_l, move.likely_l, move.high_l, move.median_l, strict=True)
    return [
        f"{head}{plants}{middle}{_figures(low, likely, high, median)}}}"
        for plants, low, likely, high, median in figures
    ]


def _joined(rows: Iterator[str]) -> Iterator[str]:
    """Yield many rows at once with commas between them: a write for each would cost more."""
    comma = ""
    while chunk := list(islice(rows, ROWS_AT_ONCE)):
        yield comma + ",".join(chunk)
        comma = ","


def _by_name(figures: Mapping[str, Estimate]) -> str:
    rows: Iterable[str] = (f"{json.dumps(name)}:{_spread(one)}" for name, one in figures.items())
    return "{" + ",".join(rows) + "}"


def _spread(figure: Estimate) -> str:
    return _figures(figure.low, figure.likely, figure.high, figure.median)


def _figures(low: float, likely: float, high: float, median: float) -> str:
    # Adding zero turns -0.0 into 0.0.
    return (
        f'{{"low":{round(low, 6) + 0.0!r},"likely":{round(likely, 6) + 0.0!r},'
        f'"high":{round(high, 6) + 0.0!r},"median":{round(median, 6) + 0.0!r}}}'
    )


def buying_json(shopping: Shopping) -> str:
    """Return the list as the text of one JSON object; numbers are rounded to a millionth."""
    answer = {
        **picked(shopping, "status cost_cents bound_cents"),
        "lines": [
            picked(line, "supply of pack from=source packs cost_cents by")
            for line in shopping.lines
        ],
        "fees": [picked(fee, "from=source cents") for fee in shopping.fees],
        "made": {
            name: {
                **picked(made, "~blended_l ~ready_l"),
                "parts": {part.of: rounded(part.loose_l) for part in made.parts},
            }
            for name, made in shopping.made.items()
        },
        "left_l": {name: rounded(litres) for name, litres in shopping.left_l.items()},
        "unpriced": {left.of: rounded(left.left) for left in shopping.unpriced},
        "compare": [
            {
                **picked(one, "mix ~own_cents_per_l"),
                "ready": [picked(ready, "pack ~cents_per_l ~saved_share") for ready in one.ready],
            }
            for one in shopping.compare
        ],
    }
    return json.dumps(answer, ensure_ascii=False)


def sessions_json(schedule: Schedule) -> str:
    """Return the object that `rootroom sessions --json` prints."""
    answer = {
        **picked(schedule, "status late_plant_days bound_late_plant_days bound_sessions"),
        "sessions": [_session(session) for session in schedule.sessions],
        "late": [picked(late, "plant move count days") for late in schedule.late],
        "left_out": [picked(left, "plant move count ~minutes") for left in schedule.left_out],
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
        **picked(one, "plant move count"),
        **given,
    }


def _session(session: Session) -> dict[str, Any]:
    return {
        **picked(session, "date ~minutes ~free_minutes"),
        "work": [_line(line) for line in session.work],
        "batches": [
            {"mix": batch.mix, "l": rounded(batch.litres), "scoops": _numbers(batch.scoops)}
            for batch in session.batches
        ],
        "bring": _bring(session.bring),
        "cautions": [caution.line for caution in session.cautions],
    }


def _line(line: Line) -> dict[str, Any]:
    """Return a line of work, of plants with those of sorts, place and tag that the plan gives."""
    if not isinstance(line, PlantLine):
        return {**picked(line, "kind name"), "move": None, **picked(line, "count ~minutes")}
    marks = {"sorts": dict(line.sorts), "place": line.place, "tag": line.tag}
    given = {key: value for key, value in marks.items() if value}
    return {**picked(line, "kind name move count ~minutes"), **given}


def _bring(bring: Bring) -> dict[str, Any]:
    # Ready-made mix, and what goes in by the spoon without a known weight, are litres too.
    litres = {**bring.ingredients_l, **bring.ready_l, **bring.additions_l}
    return {
        "containers": dict(bring.containers),
        "ingredients_l": _numbers(litres),
        "additions_kg": _numbers(bring.additions_kg),
        **picked(bring, "~water_l tools"),
    }


def _numbers(values: Mapping[str, float]) -> dict[str, float | None]:
    return {name: rounded(value) for name, value in values.items()}


def drained_json(report: PotReport) -> str:
    """Return the report as the text of one JSON object; numbers are rounded to a millionth.

    Shares are of the mix's volume, weights [kg] of one container (of a tray: one cell), loads
    [kg/m2] of saturated pots.
    """
    answer = {
        "plan": report.file,
        "mixes": {
            name: {
                **picked(figures, "basis unknown"),
                "dry_kg_per_m3": _range(figures.dry_kg_per_m3),
                "vessel_kg": _range(report.vessels_kg.get(name)),
            }
            for name, figures in report.mixes.items()
        },
        "pots": [_pair(pair) for pair in report.pairs],
        "moves": [_move(move) for move in report.moves],
        "packs": [
            {
                "supply": supply.number,
                "of": supply.of,
                "pack": supply.pack.text if supply.pack is not None else "",
                "kg": _range(weight),
            }
            for supply, weight in report.bags
        ],
        "live_loads": _live_loads(report),
    }
    return json.dumps(answer, ensure_ascii=False)


def _pair(pair: Pair) -> dict[str, Any]:
    found: dict[str, Any] = {
        "mix": pair.mix,
        "container": pair.container.text,
        "fill_height_m": rounded(pair.container.fill_height_m),
    }
    for key, name in (
        ("air_share", "air"),
        ("water_share", "capacity"),
        ("available_share", "available"),
        ("porosity_share", "porosity"),
    ):
        found[key] = None if pair.water is None else _range(getattr(pair.water, name))
    for name in ("pot", "dry", "drained", "saturated"):
        found[f"{name}_kg"] = None if pair.weight is None else _range(getattr(pair.weight, name))
    found["why_not"] = pair.why_not
    return found


def _move(move: MovedPot) -> dict[str, Any]:
    return {
        **picked(move, "plants=names move=number count=plants pots"),
        "mix": move.pair.mix,
        "container": move.pair.container.text,
        "verdict": None if move.verdict is None else _verdict(move.verdict),
        "lift": None
        if move.lift is None
        else picked(move.lift, "kg=~weight_kg ~limit_kg ~index text advice"),
        "floor": None if move.floor is None else _floor(move.floor),
    }


def _verdict(verdict: Verdict) -> dict[str, Any]:
    return {
        "use": verdict.use.name,
        "words": verdict.words,
        "compared": [
            {
                **picked(one.band, "of measured published_low=low published_high=high source"),
                "found": _range(one.found),
                **picked(one, "reading text"),
            }
            for one in verdict.comparisons
        ],
        "changes": [picked(one, "kind ~figure text") for one in verdict.remedies],
    }


def _floor(floor: FloorLoad) -> dict[str, Any]:
    return {
        "under_pot_kg_per_m2": _range(floor.under_pot),
        "over_area_kg_per_m2": _range(floor.over_area),
        "area_m2": rounded(floor.area_m2),
    }


def _live_loads(report: PotReport) -> list[dict[str, Any]]:
    """Return the published loads, where some plant says what it stands on."""
    for move in report.moves:
        if move.floor is not None and move.floor.area_m2 is not None:
            loads = move.floor.published
            return [picked(load, "place ~kg_per_m2 edition source") for load in loads]
    return []


def _range(spread: Spread | None) -> dict[str, float | None] | None:
    return None if spread is None else picked(spread, "~low ~likely ~high")
