"""Random home plans: how many sessions above its bound, how many proved, and how long.

    python tests/bench/home_plans.py [--plans 50] [--seconds 20]

All data is invented by a generator with a seed: 8 to 30 groups (or `--groups`), 26 days, windows of
6 to 12 days, set-up a session and a mix.
"""

from __future__ import annotations

import argparse
import random
import sys
from time import perf_counter

from rootroom.scheduling.problem import Day, Mix, Order, Problem, Task
from rootroom.scheduling.solve import schedule_work

COUNTS = (1, 2, 4, 6, 12, 18, 24, 40)


def home_plan(
    seed: int,
    *,
    groups: int = 40,
    days: int = 26,
    minutes: int = 480,
    moves: tuple[int, int] | None = (70, 90),
    spread: int = 8,
) -> Problem:
    """Return the invented plan of this seed; drawn again until the number of moves is in range."""
    chance = random.Random(seed)
    while True:
        tasks, orders = _draw(chance, groups, days, spread)
        if moves is None or moves[0] <= len(tasks) <= moves[1]:
            break
    return Problem(
        days=tuple(Day(d, minutes, minutes) for d in range(days)),
        tasks=tuple(tasks),
        orders=tuple(orders),
        mixes=(Mix(), Mix(), Mix()),
        session_setup=20,
        mix_setup=10,
    )


def _draw(
    chance: random.Random, groups: int, days: int, spread: int
) -> tuple[list[Task], list[Order]]:
    tasks: list[Task] = []
    orders: list[Order] = []
    for _ in range(groups):
        count = chance.choice(COUNTS)
        each = chance.choice((1, 3, 5, 8) if count >= 6 else (5, 8, 20))
        opens = chance.randint(0, spread)
        for step in range(chance.choice((1, 2, 2, 3))):
            if step:
                opens += chance.choice((5, 7))
                orders.append(Order(len(tasks) - 1, len(tasks), gap=chance.choice((4, 6))))
            due = min(opens + chance.randint(6, 12) - 1, days - 1)
            tasks.append(
                Task(
                    count,
                    each,
                    opens,
                    days - 1,
                    due,
                    mix=chance.randrange(3),
                    mix_ml=1000,
                    one_group=True,
                )
            )
    return tasks, orders


def main() -> int:
    """Schedule the plans, a line each, and print what was reached."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--plans", type=int, default=50)
    parser.add_argument("--first", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--groups", type=int, default=0)
    parser.add_argument("--minutes", type=int, default=240)
    options = parser.parse_args()
    proved, worst, times = 0, 0, []
    for seed in range(options.first, options.first + options.plans):
        groups = options.groups or random.Random(seed).randint(8, 30)
        problem = home_plan(seed, groups=groups, moves=None, minutes=options.minutes)
        start = perf_counter()
        answer = schedule_work(problem, seconds=options.seconds)
        times.append(perf_counter() - start)
        above = answer.sessions - answer.bound_sessions
        proved += answer.status == "optimal"
        worst = max(worst, above)
        print(
            f"{seed:3d}: {answer.status} {len(problem.tasks)} moves, late {answer.lateness} "
            f"(bound {answer.bound_lateness}), sessions {answer.sessions} "
            f"(bound {answer.bound_sessions}), torn {answer.torn}, setups {answer.setups}, "
            f"proved {len(answer.proved)}, "
            f"{times[-1]:.1f} s{', clock' if answer.clock else ''}",
            flush=True,
        )
    print(
        f"proved {proved} of {options.plans}, worst excess {worst}, "
        f"mean seconds {sum(times) / len(times):.2f}, most {max(times):.2f}"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
