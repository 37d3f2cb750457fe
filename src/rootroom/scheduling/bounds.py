"""Bounds without a solver: what must happen between two days needs so many sessions.

The work of tasks whose windows lie inside an interval of days must be done there, so the interval
needs at least as many sessions as its largest days take to hold that work with its set-ups.
The needs of disjoint intervals add up; the strongest chain of intervals is the bound.
(Energy reasoning: Baptiste, Le Pape, Nuijten, "Constraint-Based Scheduling", 2001.)
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction

from attrs import frozen

from rootroom.scheduling.problem import Problem
from rootroom.scheduling.windows import Windows, is_last_chance, latest_days


@frozen
class Need:
    """At least `sessions` of the days `start` to `end` (positions, inclusive) are worked on."""

    start: int
    end: int
    sessions: int

    @property
    def impossible(self) -> bool:
        """Whether the interval has fewer days than it needs."""
        return self.sessions > self.end - self.start + 1


def ends_for_lateness(problem: Problem, lateness: int) -> list[int]:
    """Return the last day position of each task in any answer with at most this lateness.

    A unit alone may be late by all that is allowed, no more.
    """
    limits = [
        min(task.last, task.due_date + lateness // task.plants) if task.plants else task.last
        for task in problem.tasks
    ]
    return list(latest_days(problem, limits))


def needs(problem: Problem, windows: Windows, ends: list[int]) -> list[Need]:
    """Return the sessions needed in each interval that starts and ends with some window."""
    found = []
    for start, end, load in _intervals(problem, windows, ends):
        found.append(Need(start, end, load.sessions))
    return found


def mix_needs(problem: Problem, windows: Windows, ends: list[int]) -> dict[int, list[Need]]:
    """Return by mix the days on which it must be set up, interval by interval."""
    result: dict[int, list[Need]] = {mix: [] for mix in range(len(problem.mixes))}
    for start, end, load in _intervals(problem, windows, ends):
        for mix in load.fresh:
            result[mix].append(Need(start, end, load.setups[mix]))
    return result


def _intervals(
    problem: Problem, windows: Windows, ends: list[int]
) -> Iterator[tuple[int, int, _Load]]:
    """Yield each interval of days, its end rising, with what the tasks inside it need."""
    order = sorted(range(len(problem.tasks)), key=lambda t: (ends[t], t))
    for start in sorted(set(windows.first), reverse=True):
        load = _Load(problem)
        at = 0
        inside = [t for t in order if windows.first[t] >= start]
        while at < len(inside):
            end = ends[inside[at]]
            while at < len(inside) and ends[inside[at]] == end:
                load.add(inside[at])
                at += 1
            load.count(start, end)
            yield start, end, load


def tightest(found: Iterable[Need]) -> list[Need]:
    """Return the needs that no other one implies: none inside them asks for as much."""
    kept = []
    least_end: dict[int, int] = {}  # by sessions, of the needs that start no earlier
    for need in sorted(found, key=lambda need: (-need.start, need.end, -need.sessions)):
        if not any(k >= need.sessions and end <= need.end for k, end in least_end.items()):
            kept.append(need)
            least_end[need.sessions] = need.end
    return kept


class _Load:
    """The work that one interval must hold, and the sessions and set-ups that it takes.

    `fresh` are the mixes of which the last end has brought more.
    """

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.minutes = 0
        self.by_mix: dict[int, tuple[int, int]] = {}  # minutes of tasks, ml
        self.sessions = 1
        self.setups: dict[int, int] = {}
        self.fresh: set[int] = set()
        self._more: set[int] = set()
        rates = {
            mix: Fraction(kind.unit_minutes, kind.unit_ml)
            for mix, kind in enumerate(problem.mixes)
            if kind.unit_minutes
        }
        self._dearest = sorted(rates, key=lambda mix: -rates[mix])

    def add(self, number: int) -> None:
        task = self.problem.tasks[number]
        minutes = task.count * task.minutes
        self.minutes += minutes
        if task.mix is not None:
            work, ml = self.by_mix.get(task.mix, (0, 0))
            self.by_mix[task.mix] = (work + minutes, ml + task.count * task.mix_ml)
            self._more.add(task.mix)

    def count(self, start: int, end: int) -> None:
        """Count sessions and set-ups for an interval, no fewer than for a shorter one.

        More days are needed than there are where none do.
        """
        problem = self.problem
        days = problem.days[start : end + 1]
        room = sorted((max(0, day.minutes - problem.session_setup) for day in days), reverse=True)
        self.fresh, self._more = self._more, set()
        for mix in self.fresh:
            work, ml = self.by_mix[mix]
            work += problem.mixes[mix].blending(max(0, ml - self._carried(mix)))
            least = _covering([max(0, minutes - problem.mix_setup) for minutes in room], work)
            self.setups[mix] = max(self.setups.get(mix, 1), least)
        turning = self._turning()
        minutes = self.minutes + turning + problem.mix_setup * sum(self.setups.values())
        turns = sorted((day.vessel_minutes for day in days), reverse=True)
        least = max(_covering(room, minutes), _covering(turns, turning))
        self.sessions = max(self.sessions, least)

    def _carried(self, mix: int) -> int:
        """Return how much of a mix may have been blended before the interval [ml]."""
        return self.problem.store_ml if self.problem.mixes[mix].keep_days else 0

    def _turning(self) -> int:
        """Return the least minutes of blending, the store full of what takes the longest."""
        total, store = 0, self.problem.store_ml
        for mix in self._dearest:
            kind, ml = self.problem.mixes[mix], self.by_mix.get(mix, (0, 0))[1]
            if not self._carried(mix):
                total += kind.blending(ml)
                continue
            brought = min(store, ml)
            store -= brought
            # Less than whole units: the store may take just what saves the most of them.
            total += (ml - brought) * kind.unit_minutes // kind.unit_ml
        return total


def _covering(rooms: list[int], wanted: int) -> int:
    """Return how many of the largest rooms cover what is wanted, more than all if short."""
    count = 0
    for room in rooms:
        if wanted <= 0:
            return count
        wanted -= room
        count += 1
    return count if wanted <= 0 else count + 1


def chain_bound(size: int, found: list[Need]) -> int:
    """Return the least number of sessions on `size` days that meets every need.

    Exact for these needs: the days are as many as the longest chain of intervals demands.
    """
    by_end: list[list[Need]] = [[] for _ in range(size)]
    for need in found:
        by_end[need.end].append(need)
    so_far = [0] * (size + 1)
    for end in range(size):
        so_far[end + 1] = max(
            [so_far[end], *(so_far[need.start] + need.sessions for need in by_end[end])]
        )
    return so_far[size]


def lateness_bound(problem: Problem, windows: Windows) -> int | None:
    """Return a bound on the lateness [plant-days], from windows and needs; None: nothing fits.

    At least what the first days force, and at least 1 where no day can be on time for all.
    """
    hard = list(windows.final)
    if not windows.fits or any(need.impossible for need in needs(problem, windows, hard)):
        return None
    total = 0
    for number, task in enumerate(problem.tasks):
        date = problem.days[windows.first[number]].date
        total += max(0, date - task.due_date) * task.plants * task.count
    if not total:
        soft = needs(problem, windows, ends_for_lateness(problem, 0))
        total = int(any(need.impossible for need in soft))
    return total


def objective_bound(problem: Problem, windows: Windows, objective: str, lateness: int) -> int:
    """Return a bound on one objective in answers with at most this lateness."""
    size = len(problem.days)
    if objective == "lateness":
        return lateness_bound(problem, windows) or 0
    if objective == "bought":
        return sum(_always_bought(problem))
    ends = ends_for_lateness(problem, lateness)
    if objective == "torn":
        return sum(_always_torn(problem, windows, ends))
    if objective in ("reserve", "early"):
        return sum(_always_waiting(problem, windows, ends, objective))
    if objective == "sessions":
        return chain_bound(size, needs(problem, windows, ends))
    mixes = mix_needs(problem, windows, ends).values()
    return sum(chain_bound(size, found) for found in mixes)


def _always_torn(problem: Problem, windows: Windows, ends: list[int]) -> list[int]:
    """Return how many parts beyond the first each group has on days that are all its own."""
    torn = []
    for number, task in enumerate(problem.tasks):
        if not (task.one_group and task.split and task.minutes):
            continue
        days = problem.days[windows.first[number] : ends[number] + 1]
        rooms = [d.minutes - problem.session_setup for d in days if d.people >= task.people]
        most = max(max(rooms, default=0) // task.minutes, 1)
        torn.append(-(-task.count // most) - 1)
    return torn


def _always_waiting(
    problem: Problem, windows: Windows, ends: list[int], objective: str
) -> list[int]:
    """Return the least that each task adds to the reserve or to the waiting, by its window."""
    least = []
    for number, task in enumerate(problem.tasks):
        first = windows.first[number]
        if objective == "early":
            worth = problem.days[first].date - problem.days[0].date
        else:
            days = range(first, ends[number] + 1)
            worth = int(all(is_last_chance(problem, task, day) for day in days))
        least.append(worth * task.count * task.plants)
    return least


def _always_bought(problem: Problem) -> list[int]:
    """Return how many of each kind are missing even when all that is freed comes back in time."""
    short = [-container.stock for container in problem.containers]
    for task in problem.tasks:
        for use in task.needs:
            short[use.container] += use.filled(task.count)
        for use in task.frees:
            short[use.container] -= use.filled(task.count)
    return [max(0, count) for count in short]
