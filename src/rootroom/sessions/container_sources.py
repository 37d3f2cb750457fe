"""Where the containers of each session come from: stock, earlier moves (washed), or the shop.

Clean stock goes first, then what earlier sessions freed, and only then is bought, so nothing is
bought that the season gives.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from attrs import frozen

from rootroom.scheduling.problem import Answer
from rootroom.sessions.tasks import Work


@frozen
class ContainerUse:
    """Whole containers of one day by their text: taken from three places, and left empty."""

    from_stock: Mapping[str, int]
    from_freed: Mapping[str, int]
    bought: Mapping[str, int]


def use_containers(work: Work, answer: Answer) -> dict[int, ContainerUse]:
    """Return the containers of every day of an answer, by its position."""
    problem = work.problem
    stock = [container.stock for container in problem.containers]
    freed: list[dict[int, int]] = [defaultdict(int) for _ in problem.containers]  # date -> number
    clean = [0] * len(problem.containers)
    done: dict[int, int] = defaultdict(int)
    by_day: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for one in answer.placed:
        by_day[one.day].append((one.task, one.count))
    uses: dict[int, ContainerUse] = {}
    for day in sorted(by_day):
        today = problem.days[day].date
        wanted: dict[int, int] = defaultdict(int)
        for task, count in by_day[day]:
            before, after = done[task], done[task] + count
            done[task] = after
            record = problem.tasks[task]
            for use in record.needs:
                wanted[use.container] += use.filled(after) - use.filled(before)
            for use in record.frees:
                out = use.freed(after, record.count) - use.freed(before, record.count)
                freed[use.container][today] += out
        taken: tuple[dict[str, int], ...] = ({}, {}, {})
        for kind, number in sorted(wanted.items()):
            rest = today - problem.containers[kind].wash_days
            for dried in [d for d in freed[kind] if d <= rest]:
                clean[kind] += freed[kind].pop(dried)
            sources = [min(number, stock[kind]), 0, 0]
            sources[1] = min(number - sources[0], clean[kind])
            sources[2] = number - sources[0] - sources[1]
            stock[kind] -= sources[0]
            clean[kind] -= sources[1]
            for part, many in zip(taken, sources, strict=True):
                if many:
                    part[work.containers[kind]] = many
        uses[day] = ContainerUse(*taken)
    return uses
