"""The moves of all plants, worked out by what is equal and told one by one when asked for.

Rows of one kind with one count have the same answer, so the work grows with the number of such
pairs, not with the number of rows; what is kept for a row is the number of its pair.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cached_property
from typing import overload

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from rootroom.demand.draws import LEVELS, Draws, quantiles
from rootroom.demand.estimates import Estimate, MoveDemand
from rootroom.demand.room import Load, Room, room_of
from rootroom.plan.model import Move, PlantKind, Roster

Counts = NDArray[np.int64]

CHUNK = 64
"""Arrays of draws that are sorted at once: small enough to stay in the processor's cache."""


@frozen(eq=False)
class Pairs:
    """The different pairs of kind and count in a roster.

    `counts` holds the counts, kind after kind, those of kind k from `starts[k]` to `starts[k + 1]`;
    `rows` how many rows have each pair, `of_row` the pair of each row.
    """

    counts: Counts
    rows: Counts
    starts: Counts
    of_row: Counts

    @classmethod
    def of(cls, roster: Roster) -> Pairs:
        """Return the pairs of a roster."""
        kinds = np.asarray(roster.kind_of, dtype=np.int64)
        counts = np.asarray(roster.counts, dtype=np.int64)
        span = int(counts.max()) + 1 if len(counts) else 1
        keys, of_row, rows = distinct(kinds * span + counts)
        starts = np.searchsorted(keys, np.arange(len(roster.kinds) + 1) * span)
        return cls(keys % span, rows, starts, of_row)

    def of_kind(self, kind: int) -> slice:
        """Return where the pairs of a kind stand."""
        return slice(int(self.starts[kind]), int(self.starts[kind + 1]))


def distinct(values: Counts) -> tuple[Counts, Counts, Counts]:
    """Return the different values rising, which of them each is, and how often each occurs.

    As numpy's own `unique`, which first loads masked arrays, longer than a small plan's demand.
    """
    order = np.argsort(values, kind="stable")
    ordered = values[order]
    new = np.ones(len(values), dtype=bool)
    new[1:] = ordered[1:] != ordered[:-1]
    which = np.empty(len(values), dtype=np.int64)
    which[order] = np.cumsum(new) - 1
    starts = np.flatnonzero(new)
    return ordered[new], which, np.diff(np.append(starts, len(values)))


def counts_after(kind: PlantKind, counts: Counts) -> list[Counts]:
    """Return the number of plants after each move, for groups that start with `counts`."""
    after = []
    for move in kind.moves:
        fixed = move.count is not None
        counts = np.full_like(counts, move.count) if fixed else counts * move.into
        after.append(counts)
    return after


def pots_of(move: Move, plants: Counts) -> Counts:
    """Return how many pots or cells are filled for each number of plants, as `Move.pots` does."""
    pots = -(-plants // move.per_pot)
    return -(-pots // move.cells) * move.cells


def loads_of(room: Room, plants: Counts, pots: Counts) -> list[tuple[int | Counts, Counts]]:
    """Return pairs of balls in a pot and number of such pots, for each number of plants."""
    if room.renewed is not None:
        return [(1, pots)]
    if room.old is None:
        return [(0, pots)]
    full, rest = np.divmod(plants, room.per_pot)
    shared = (rest > 0).astype(np.int64)
    return [(room.per_pot, full), (rest, shared), (0, pots - full - shared)]


def add_to(load: Load, balls: int | Counts, number: Counts, rows: Counts) -> None:
    """Add pots to a load: `number` for each of `rows` rows, of one or of many numbers of balls."""
    if isinstance(balls, int):
        total = int(number @ rows)
        if total:
            load[balls] = load.get(balls, 0) + total
        return
    for rest in sorted(set(balls.tolist())):
        here = balls == rest
        add_to(load, rest, number[here], rows[here])


@frozen(eq=False)
class MoveLoad:
    """One move of one kind: plants and pots of each of its pairs, and the mix a pot takes.

    `total` adds up the pots of all rows.
    """

    move: Move
    room: Room | None
    plants: Counts
    pots: Counts
    rows: Counts
    total: Load


def move_loads(roster: Roster, pairs: Pairs) -> list[list[MoveLoad]]:
    """Return the loads of every move of every kind."""
    loads = []
    for number, kind in enumerate(roster.kinds):
        here = pairs.of_kind(number)
        rows = pairs.rows[here]
        after = counts_after(kind, pairs.counts[here])
        loads.append([_load(m, n, rows) for m, n in zip(kind.moves, after, strict=True)])
    return loads


def _load(move: Move, plants: Counts, rows: Counts) -> MoveLoad:
    room = room_of(move)
    pots = pots_of(move, plants)
    total: Load = {}
    if room is not None:
        for balls, number in loads_of(room, plants, pots):
            add_to(total, balls, number, rows)
    return MoveLoad(move, room, plants, pots, rows, total)


@frozen(eq=False)
class MoveColumns:
    """One move of one kind, worked out: `fill_l` and `ball_l` of one container [L].

    The other columns have one entry for each pair of the kind: plants, pots, and the mix for all
    pots [L] at its likely value, its 10th and 90th percentile and its median.
    """

    move: Move
    old: str
    new: str
    fill_l: Estimate
    ball_l: Estimate
    plants: Sequence[int]
    pots: Sequence[int]
    low_l: Sequence[float]
    likely_l: Sequence[float]
    high_l: Sequence[float]
    median_l: Sequence[float]

    def of(self, plant: str, place: int) -> MoveDemand:
        """Return the answer for a plant whose pair stands at `place` of its kind."""
        return MoveDemand(
            plant=plant,
            move=self.move.number,
            count=self.plants[place],
            old=self.old,
            new=self.new,
            mix=self.move.mix,
            fill_l=self.fill_l,
            ball_l=self.ball_l,
            mix_l=Estimate(
                self.low_l[place], self.likely_l[place], self.high_l[place], self.median_l[place]
            ),
            fills_up=self.move.begun > 0,
        )


@frozen(eq=False)
class KindColumns:
    """All moves of one kind; `rows` says how many rows of the roster have each pair."""

    kind: PlantKind
    rows: Sequence[int]
    moves: tuple[MoveColumns, ...]


class MoveTable(Sequence[MoveDemand]):
    """Every move of every row in the order of the file, made when asked for.

    `kinds` are the columns that rows share, `names` the plants' names, `kind_of` the kind of each
    row and `place_of` its place in the columns of its kind.
    The columns take as long as all the rest of a demand, and sums do without them.
    """

    def __init__(
        self, roster: Roster, pairs: Pairs, columns: Callable[[], tuple[KindColumns, ...]]
    ) -> None:
        self._columns = columns
        self.names = roster.names
        self.kind_of = np.asarray(roster.kind_of, dtype=np.int64)
        self.place_of = pairs.of_row - pairs.starts[self.kind_of]
        self._ends: Counts | None = None

    @cached_property
    def kinds(self) -> tuple[KindColumns, ...]:
        """The columns that rows share."""
        return self._columns()

    def __len__(self) -> int:
        return int(self._row_ends()[-1]) if len(self.names) else 0

    @overload
    def __getitem__(self, index: int) -> MoveDemand: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[MoveDemand]: ...
    def __getitem__(self, index: int | slice) -> MoveDemand | Sequence[MoveDemand]:
        if isinstance(index, slice):
            return [self[i] for i in range(*index.indices(len(self)))]
        size = len(self)
        if not -size <= index < size:
            raise IndexError(f"index must be below {size}, got {index!r}")
        ends = self._row_ends()
        index %= size
        row = int(np.searchsorted(ends, index, side="right"))
        columns = self.kinds[int(self.kind_of[row])].moves
        move = columns[index - int(ends[row]) + len(columns)]
        return move.of(self.names[row], int(self.place_of[row]))

    def __iter__(self) -> Iterator[MoveDemand]:
        for row in range(len(self.names)):
            yield from self.of_row(row)

    def of_row(self, row: int) -> list[MoveDemand]:
        """Return the moves of one row of the plants, in order."""
        columns = self.kinds[int(self.kind_of[row])].moves
        place = int(self.place_of[row])
        return [move.of(self.names[row], place) for move in columns]

    def _row_ends(self) -> Counts:
        if self._ends is None:
            moves = np.array([len(kind.moves) for kind in self.kinds], dtype=np.int64)
            self._ends = np.cumsum(moves[self.kind_of])
        return self._ends


def mix_columns(
    load: MoveLoad, a_pot_l: Mapping[int, Draws], likely_l: Mapping[int, float]
) -> tuple[list[float], list[float], list[float], list[float]]:
    """Return low, likely, high and median [L] of the mix for all pots, for each pair of a move.

    `a_pot_l` are the draws and `likely_l` the likely mix [L] of a pot by the balls that it takes.
    Percentiles grow in line with the pots where all pots of a pair are alike; the others are drawn.
    """
    if load.room is None:
        nothing = [0.0] * len(load.plants)
        return nothing, nothing, nothing, nothing
    parts = loads_of(load.room, load.plants, load.pots)
    likely = np.zeros(len(load.plants))
    alike = np.zeros(len(load.plants), dtype=bool)
    low, median, high = (np.zeros(len(load.plants)) for _ in LEVELS)
    for balls, number in parts:
        kinds = np.full(len(number), balls) if isinstance(balls, int) else balls
        for ball_count in sorted(set(kinds[number > 0].tolist())):
            here = (kinds == ball_count) & (number > 0)
            likely[here] += number[here] * likely_l[ball_count]
            whole = here & (number == load.pots)
            for column, end in zip(
                (low, median, high), quantiles(a_pot_l[ball_count], LEVELS), strict=True
            ):
                column[whole] = number[whole] * float(end)
            alike |= whole
    unlike = np.flatnonzero(~alike & (load.pots > 0))
    for start in range(0, len(unlike), CHUNK):
        chunk = unlike[start : start + CHUNK]
        draws = _drawn(parts, chunk, a_pot_l)
        low[chunk], median[chunk], high[chunk] = quantiles(draws, LEVELS)
    low, high = np.minimum(low, likely), np.maximum(high, likely)
    return low.tolist(), likely.tolist(), high.tolist(), median.tolist()


def _drawn(
    parts: list[tuple[int | Counts, Counts]], chunk: Counts, a_pot_l: Mapping[int, Draws]
) -> Draws:
    """Return the draws of the mix [L] for the pairs in `chunk`, one row each."""
    size = len(next(iter(a_pot_l.values())))
    draws = np.zeros((len(chunk), size))
    for balls, number in parts:
        for line, pair in enumerate(chunk.tolist()):
            if number[pair]:
                taken = balls if isinstance(balls, int) else int(balls[pair])
                draws[line] += int(number[pair]) * a_pot_l[taken]
    return draws
