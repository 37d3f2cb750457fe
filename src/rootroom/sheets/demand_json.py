"""The demand as one JSON object, written piece by piece.

A nursery's list has a hundred thousand rows of few kinds.
What rows of one kind and count share is put into words once; a row adds its name.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import islice
from json import dumps
from json.encoder import encode_basestring_ascii as quoted
from typing import TYPE_CHECKING, TextIO

if TYPE_CHECKING:
    from rootroom.demand.estimates import Demand, Estimate
    from rootroom.demand.moves import KindColumns, MoveColumns

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
