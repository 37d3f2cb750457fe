"""How long the lines of a session take, in which order they are worked, and at what time.

Order: set up, blend (what goes into other mixes first), fill beds, then plants place by place in
the order of the plan, at each place heavy and dormant first and seedlings last, water in, wash,
clean up.
Times are a guide: people share every line but blending, which one person does at the one vessel,
while the others begin as soon as the first batch of their mix is there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, time, timedelta
from functools import cache
from typing import TYPE_CHECKING

from attrs import evolve

from rootroom.catalogue.minutes import minutes
from rootroom.counts import ceil_count
from rootroom.ordering import least_first
from rootroom.plan.model import Move, Plan
from rootroom.sessions.session import Line
from rootroom.sessions.work_lines import Draft
from rootroom.tolerances import AS_WRITTEN

if TYPE_CHECKING:
    from rootroom.containers.container import Container

MIXING = ("lay out", "mix in", "blend")
_EARLY = {"set up": 0, "lay out": 1, "mix in": 1, "blend": 2, "fill bed": 3}
_LATE = {"water in": 5, "wash": 6, "clean up": 7}


TOP_SHARE = 0.15
"""A refresh of less than this share of the fill is a topping-up; roots stay untouched."""


ROUNDED_UP = 0.01
"""No piece of work is made longer than by this share to come to whole ticks."""


def order_steps(
    steps: Sequence[Draft],
    before: Iterable[tuple[int, int]],
    holds: Mapping[str, Sequence[str]],
    places: Sequence[str] = (),
) -> list[int]:
    """Return the numbers of the steps in the order of work.

    All lines of a step are the same kind of work with the same mix, on plants of one place.
    `before` pairs steps of which the first comes first; `holds` names the mixes inside a mix.
    Plants without one of the `places` come last.
    """
    pairs = list(before)
    lines = [step.lines[0] for step in steps]
    makes = {line.name: n for n, line in enumerate(lines) if line.kind in MIXING}
    for number, line in enumerate(lines):
        if line.kind == "blend":
            pairs += [(makes[name], number) for name in holds.get(line.name, ()) if name in makes]
        elif line.mix in makes:
            pairs.append((makes[line.mix], number))

    turn = {place: number for number, place in enumerate(places)}

    def rank(number: int) -> tuple[int, int, float, int]:
        line, step = lines[number], steps[number]
        stage = _EARLY.get(line.kind, _LATE.get(line.kind, 4))
        resting = line.kind == "refresh"
        place = turn.get(step.place, len(turn))
        return (stage, place, -step.size_l * (1000 if resting else 1), number)

    return least_first(range(len(steps)), pairs, rank)


def set_times(lines: Iterable[tuple[str, Line]], start: time, people: int) -> tuple[Line, ...]:
    """Return named lines, in their order, with the time at which each starts and how long it takes.

    All minutes are person-minutes of `people` [persons], at least one.
    """
    people = max(people, 1)
    others = max(people - 1, 1)
    now = vessel = 0.0
    ready: dict[str, float] = {}
    timed = []
    for name, line in lines:
        if line.kind == "blend":
            begin = max(now, vessel)
            vessel = begin + line.minutes
            ready[name] = begin + line.minutes / max(line.count, 1)
            if people == 1:
                now = vessel
            timed.append(_timed(line, name, start, begin, line.minutes))
            continue
        begin = max(now, ready.get(line.mix or "", 0.0))
        if line.kind in _LATE:
            begin = max(begin, vessel)
        alone = min(max(vessel - begin, 0.0), line.minutes / others) if people > 1 else 0.0
        took = alone + (line.minutes - alone * others) / people
        timed.append(_timed(line, name, start, begin, took))
        now = begin + took
    return tuple(timed)


def _timed(line: Line, name: str, start: time, begin: float, took: float) -> Line:
    return evolve(line, name=name, start=_clock(start, round(begin)), clock_min=took)


@cache
def _clock(start: time, minutes: int) -> time:
    return (datetime.combine(date.min, start) + timedelta(minutes=minutes)).time()


# All are person-minutes [min] at likely values.
# A plan may give minutes for a container's text (moving a plant into it), for a kind of work of the
# catalogue ("up-pot", "refresh", "plant out", "wash"; "blend" for one batch, "fill bed" for a whole
# bed), and for a kind of work with a container ("refresh half barrel"), the last one first.
# Watering in and labelling are part of a move; watering in counts beside it, a pot, once a plan
# gives
# minutes for it ("water in", "water in #5").
# A pot that is filled in stages takes its minutes by the share that each stage fills (common
# practice, no source), so all stages together take those of one move.
# Shipped figures are rounded to tenths, of a nursery to hundredths: nobody knows them better.
class Effort:
    """The minutes of a plan's work."""

    def __init__(self, plan: Plan) -> None:
        self.pace = plan.work.pace
        self.own = {key.casefold(): spread.likely for key, spread in plan.minutes.items()}

    def plant_min(self, move: Move) -> float:
        """Return the minutes of one plant's move: its share of the pot that it goes into."""
        if move.place == "sold":
            return 0.0
        if move.carried:
            return self._carry_min(move)
        if move.place is not None:
            own = self._own("plant out", move.old)
            return self._shipped("plant out", move.old) if own is None else own
        if move.refresh is not None and not move.begun:
            kind = "top up" if move.refresh < TOP_SHARE else "refresh"
            own = self._own(kind, move.old)
            return (self._shipped(kind, move.old) if own is None else own) / move.per_pot
        assert move.new is not None
        own = self.own.get(move.new.text.casefold(), self._own("up-pot", move.new))
        whole = (self._shipped("up-pot", move.new) if own is None else own) / move.per_pot
        return whole * (move.filled - move.begun)

    def _carry_min(self, move: Move) -> float:
        """Return the minutes of carrying one plant: its share of its pot, or of its whole tray."""
        own = self._own("carry", move.old)
        if own is None:
            litres = move.old.fill_l.likely * move.old.cells if move.old.holds else 0.0
            own = round(minutes("carry", litres, self.pace).likely, 2)
        return own / (move.old.cells * move.shared)

    def bed_min(self, litres: float, share: float) -> float:
        """Return the minutes of filling `litres` [L], which are `share` of all that a bed takes."""
        own = self.own.get("fill bed")
        return minutes("fill bed", litres, self.pace).likely if own is None else own * share

    def in_place_min(self, litres: float) -> float:
        """Return the minutes of turning `litres` [L] of mix under in their bed."""
        own = self.own.get("blend in place")
        return minutes("blend in place", litres, self.pace).likely if own is None else own

    def blend_min(self, litres: float, batch_l: float) -> float:
        """Return the minutes of blending `litres` [L] in batches of `batch_l` [L]."""
        own = self.own.get("blend")
        return minutes("blend", litres, self.pace).likely if own is None else own * litres / batch_l

    def wash_min(self, container: Container, count: int) -> float:
        """Return the minutes of washing so many containers."""
        own = self._own("wash", container)
        return count * (self._shipped("wash", container) if own is None else own)

    def water_in_min(self, move: Move) -> float:
        """Return the minutes of watering in one plant's share of its pot, 0 inside the move's."""
        if move.place == "sold" or move.carried:
            return 0.0
        if move.place is not None:
            return self.own.get("water in", 0.0)
        assert move.new is not None
        return (self._own("water in", move.new) or 0.0) / move.per_pot

    @property
    def wash_counts(self) -> bool:
        """Whether the plan gives minutes for washing, which puts it into the session's minutes."""
        return any(key == "wash" or key.startswith("wash ") for key in self.own)

    def _own(self, kind: str, container: Container) -> float | None:
        with_container = self.own.get(f"{kind} {container.text}".casefold())
        return self.own.get(kind) if with_container is None else with_container

    def _shipped(self, kind: str, container: Container) -> float:
        litres = container.fill_l.likely if container.holds else 0.0
        each = minutes(kind, litres, self.pace).likely
        return max(round(each, 1), 0.1) if self.pace == "home" else float(f"{each:.3g}")


def ticks_of(minutes: Sequence[float]) -> int:
    """Return into how many ticks a minute is cut so that all minutes are whole, or nearly.

    A second does for all but the quickest work: a cell is filled in three or four of them, and so
    the rounding up of each piece would be a fifth of the day. At most 1,000.
    """
    distinct = set(minutes)
    for ticks in (1, 2, 4, 5, 10, 12, 20, 30):
        if all(abs(m * ticks - round(m * ticks)) < AS_WRITTEN for m in distinct):
            return ticks
    for ticks in (60, 120, 300):
        if all(ceil_count(m * ticks, 1) <= m * ticks * (1 + ROUNDED_UP) for m in distinct):
            return ticks
    return 1000
