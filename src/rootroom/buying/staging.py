"""Goods fetched in stages, where there is not room for all of them at once.

Where going to a supplier costs nothing, each session's goods are fetched for that session. Where
it does, they are fetched at once as long as they have room, else in as few trips as were found,
each bringing what as many of the next sessions need as there is room for. Deliveries, and loads
that take several trips anyway, stay as they are. The list itself is not made anew: its packages
are parted between the days, and further trips are added to what it costs.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from attrs import evolve

from rootroom.buying.shopping import Line, Shopping, Stage
from rootroom.counts import ceil_count

Good = tuple[bool, str]
"""Whether it is a container, and its name."""

Need = tuple[date, Mapping[Good, float]]
"""The day of a session, and what it brings of each good [L, kg or pieces]."""


def good_of(line: Line) -> Good:
    """Return what a line is of."""
    return line.kind == "container", line.of


def in_stages(shopping: Shopping, needs: Sequence[Need], room_l: float) -> Shopping:
    """Return a list whose packages come when they are needed; `room_l` [L] is what may lie there.

    What cannot be parted so that it fits is told by `over_room_l` [L].
    """
    if not needs or not shopping.lines:
        return shopping
    planner = _Planner(shopping, needs, room_l)
    planner.stage()
    return planner.answer()


class _Planner:
    """Packages by line and session: those needed by then, and those fetched by then."""

    def __init__(self, shopping: Shopping, needs: Sequence[Need], room_l: float) -> None:
        self.shopping, self.needs, self.room_l = shopping, needs, room_l
        self.sessions = range(len(needs))
        self.needed = {line.supply: [0] * len(needs) for line in shopping.lines}
        for good in dict.fromkeys(map(good_of, shopping.lines)):
            self._find_needed(good)
        self.fetched = {supply: list(row) for supply, row in self.needed.items()}
        self.trips: dict[str | None, int] = {}

    def _find_needed(self, good: Good) -> None:
        """Find how many packages of each line of a good must be there for each session."""
        lines = [line for line in self.shopping.lines if good_of(line) == good]
        uses = [found.get(good, 0.0) for _, found in self.needs]
        total = sum(uses)
        stock = sum(use.used for use in self.shopping.stock if use.of == good[1] and not good[0])
        there = 0.0
        for session in self.sessions:
            there += uses[session]
            share = there / total if total > 0 else 1.0
            wanted = max(share * (lines[0].need + stock) - stock, 0.0)
            last = session == len(self.needs) - 1
            for line in lines:
                each = line.contents / line.packs
                packs = line.packs if last else min(ceil_count(wanted, each), line.packs)
                self.needed[line.supply][session] = packs
                wanted = max(wanted - packs * each, 0.0)

    def stage(self) -> None:
        """Part the packages of each supplier, those that take the most room last."""
        sources = list(dict.fromkeys(line.source for line in self.shopping.lines))
        for source in sources:
            if self._ways(source):
                self._fetch_at_once(source)
        able = [source for source in sources if self._one_trip(source)]
        for source in sorted(able, key=self._volume, reverse=True):
            if self._most() > self.room_l:
                self._fetch_in_trips(source)

    def _lines(self, source: str | None) -> list[Line]:
        return [line for line in self.shopping.lines if line.source == source]

    def _ways(self, source: str | None) -> list[int]:
        fees = self.shopping.fees
        return [fee.times for fee in fees if fee.source == source and fee.kind != "tax"]

    def _one_trip(self, source: str | None) -> bool:
        kinds = [fee.kind for fee in self.shopping.fees if fee.source == source]
        return "delivery" not in kinds and self._ways(source) == [1]

    def _volume(self, source: str | None) -> float:
        return sum(line.room_l for line in self._lines(source))

    def _fetch_at_once(self, source: str | None) -> None:
        lines = self._lines(source)
        first = min(self._first(line) for line in lines)
        for line in lines:
            begin = first if 1 in self._ways(source) else self._first(line)
            self.fetched[line.supply] = [
                line.packs if session >= begin else 0 for session in self.sessions
            ]

    def _first(self, line: Line) -> int:
        needed = self.needed[line.supply]
        return next((n for n in self.sessions if needed[n]), len(self.needs) - 1)

    def _fetch_in_trips(self, source: str | None) -> None:
        """Fetch for as many sessions at a time as there is room for beside all else."""
        lines = self._lines(source)
        others = [line for line in self.shopping.lines if line.source != source]
        at, trips = min(self._first(line) for line in lines), 0
        while at < len(self.needs):
            beside = self._lying(others, at)
            last = at
            while last + 1 < len(self.needs) and (
                beside + self._brought(lines, at, last + 1) <= self.room_l
            ):
                last += 1
            for line in lines:
                row = self.needed[line.supply]
                self.fetched[line.supply][at : last + 1] = [row[last]] * (last + 1 - at)
            trips += 1
            before, at = last, last + 1
            while at < len(self.needs) and all(
                self.needed[line.supply][at] == self.needed[line.supply][before] for line in lines
            ):
                for line in lines:
                    self.fetched[line.supply][at] = self.needed[line.supply][at]
                at += 1
        self.trips[source] = trips

    def _brought(self, lines: Iterable[Line], at: int, last: int) -> float:
        """Return what lies there on a session's morning with all needed up to `last` [L]."""
        return sum(
            (self.needed[line.supply][last] - self._used(line, at)) * line.room_l / line.packs
            for line in lines
        )

    def _lying(self, lines: Iterable[Line], at: int) -> float:
        """Return what lies there on the morning of a session [L]."""
        return sum(
            (self.fetched[line.supply][at] - self._used(line, at)) * line.room_l / line.packs
            for line in lines
        )

    def _used(self, line: Line, at: int) -> int:
        return self.needed[line.supply][at - 1] if at else 0

    def _most(self) -> float:
        return max(self._lying(self.shopping.lines, at) for at in self.sessions)

    def answer(self) -> Shopping:
        """Return the list with its stages, and with what further trips cost."""
        stages = tuple(
            Stage(line.supply, self.needs[at][0], row[at] - (row[at - 1] if at else 0))
            for line in self.shopping.lines
            for row in (self.fetched[line.supply],)
            for at in self.sessions
            if row[at] > (row[at - 1] if at else 0)
        )
        fees, extra = [], 0
        for fee in self.shopping.fees:
            more = self.trips.get(fee.source, 1) - 1 if fee.kind == "trip" else 0
            each = fee.cents // max(fee.times, 1)
            extra += more * each
            fees.append(evolve(fee, cents=fee.cents + more * each, times=fee.times + more))
        return evolve(
            self.shopping,
            stages=stages,
            fees=tuple(fees),
            cost_cents=self.shopping.cost_cents + extra,
            bound_cents=self.shopping.bound_cents + extra,
            further_cents=extra,
            room_l=self.room_l,
            over_room_l=max(self._most() - self.room_l, 0.0),
        )
