"""In which order the lines of a session are worked, and at what time on the clock.

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

from attrs import evolve

from rootroom.sessions.session import Line
from rootroom.sessions.work_lines import Draft

STAGES = (
    "set up", "lay out", "mix in", "blend", "fill bed", "refresh", "move", "plant out", "sell",
    "water in", "wash", "clean up",
)  # fmt: skip
MIXING = ("lay out", "mix in", "blend")
_EARLY = {"set up": 0, "lay out": 1, "mix in": 1, "blend": 2, "fill bed": 3}
_LATE = {"water in": 5, "wash": 6, "clean up": 7}


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
    import networkx

    graph = networkx.DiGraph()
    graph.add_nodes_from(range(len(steps)))
    graph.add_edges_from(before)
    lines = [step.lines[0] for step in steps]
    makes = {line.name: n for n, line in enumerate(lines) if line.kind in MIXING}
    for number, line in enumerate(lines):
        if line.kind == "blend":
            inner = (makes[name] for name in holds.get(line.name, ()) if name in makes)
            graph.add_edges_from((made, number) for made in inner)
        elif line.mix in makes:
            graph.add_edge(makes[line.mix], number)

    turn = {place: number for number, place in enumerate(places)}

    def rank(number: int) -> tuple[int, int, float, int]:
        line, step = lines[number], steps[number]
        stage = _EARLY.get(line.kind, _LATE.get(line.kind, 4))
        resting = line.kind == "refresh"
        place = turn.get(step.place, len(turn))
        return (stage, place, -step.size_l * (1000 if resting else 1), number)

    return list(networkx.lexicographical_topological_sort(graph, key=rank))


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
