"""Does an answer keep every rule, and how good is it?

Written from the rules in `problem` alone and sharing no code with any solver: it counts everything
again from the units placed and the mix blended.
An answer of a solver counts only after it has passed here.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from itertools import accumulate

from rootroom.scheduling.problem import Blend, Check, Placed, Problem, Use


def check_answer(
    problem: Problem,
    placed: Sequence[Placed],
    blends: Sequence[Blend],
    bought: Sequence[int] | None = None,
) -> Check:
    """Recompute the objectives of an answer and list the rules it breaks.

    Without `bought` the fewest containers that the answer needs are taken.
    """
    broken = _broken_records(problem, placed, blends)
    if broken:
        nothing = (0,) * len(problem.containers)
        return Check(tuple(broken), 0, 0, 0, 0, nothing, 0, 0, None)
    units: dict[int, Counter[int]] = defaultdict(Counter)  # task -> day -> units
    for one in placed:
        units[one.task][one.day] += one.count
    blended: dict[int, Counter[int]] = defaultdict(Counter)  # mix -> day -> ml
    for blend in blends:
        blended[blend.mix][blend.day] += blend.ml
    used = _used_ml(problem, units, blended)
    broken += _broken_windows(problem, units)
    broken += _broken_orders(problem, units)
    broken += _broken_stores(problem, used, blended)
    setups = {(d, m) for m, by_day in (*used.items(), *blended.items()) for d in by_day}
    for one in placed:
        mix = problem.tasks[one.task].mix
        setups |= set() if mix is None else {(one.day, mix)}
    busy = {one.day for one in placed} | {blend.day for blend in blends}
    broken += _broken_capacities(problem, units, blended, setups, busy)
    fewest = count_bought(problem, units)
    taken = tuple(fewest if bought is None else bought)
    broken += _broken_containers(problem, fewest, taken)
    return Check(
        broken=tuple(broken),
        lateness=sum(_lateness(problem, number, by_day) for number, by_day in units.items()),
        sessions=len(busy),
        torn=sum(_torn(problem, number, by_day) for number, by_day in units.items()),
        setups=len(setups),
        bought=taken,
        exposed=sum(_exposed(problem, number, by_day) for number, by_day in units.items()),
        waiting=sum(_waiting(problem, number, by_day) for number, by_day in units.items()),
        last_date=problem.days[max(busy)].date if busy else None,
    )


def _lateness(problem: Problem, number: int, by_day: Counter[int]) -> int:
    """Return the days that plants of a task are late, added up over its plants."""
    task = problem.tasks[number]
    days = ((problem.days[day].date - task.due_date, count) for day, count in by_day.items())
    return sum(max(0, late) * count * task.plants for late, count in days)


def _torn(problem: Problem, number: int, by_day: Counter[int]) -> int:
    """Return the parts of a group beyond the first, with each small part once more."""
    task = problem.tasks[number]
    if not task.one_group or len(by_day) < 2:
        return 0
    small = min(3, task.count * task.plants / 4)
    return len(by_day) - 1 + sum(part * task.plants < small for part in by_day.values())


def _exposed(problem: Problem, number: int, by_day: Counter[int]) -> int:
    """Return the plants that a rainy day would make late, or later."""
    task = problem.tasks[number]
    return sum(
        count * task.plants
        for day, count in by_day.items()
        if not any(
            later.date <= task.due_date and later.people >= task.people
            for later in problem.days[day + 1 :]
        )
    )


def _waiting(problem: Problem, number: int, by_day: Counter[int]) -> int:
    """Return plants times dates from the first day of the problem on."""
    first = problem.days[0].date
    plants = problem.tasks[number].plants
    return sum((problem.days[day].date - first) * count * plants for day, count in by_day.items())


def _broken_records(
    problem: Problem, placed: Sequence[Placed], blends: Sequence[Blend]
) -> list[str]:
    days, tasks, mixes = len(problem.days), len(problem.tasks), len(problem.mixes)
    broken = [
        f"no such record: {one!r}"
        for one in placed
        if not (0 <= one.day < days and 0 <= one.task < tasks and one.count > 0)
    ]
    broken += [
        f"no such record: {blend!r}"
        for blend in blends
        if not (0 <= blend.day < days and 0 <= blend.mix < mixes and blend.ml > 0)
    ]
    return broken


def _used_ml(
    problem: Problem, units: dict[int, Counter[int]], blended: dict[int, Counter[int]]
) -> dict[int, Counter[int]]:
    """Return ml used by mix and day, what goes into other mixes too."""
    used: dict[int, Counter[int]] = defaultdict(Counter)
    for number, by_day in units.items():
        task = problem.tasks[number]
        if task.mix is not None and task.mix_ml:
            for day, count in by_day.items():
                used[task.mix][day] += count * task.mix_ml
    for outer, by_day in blended.items():
        for hold in problem.mixes[outer].holds:
            for day, ml in by_day.items():
                used[hold.mix][day] += -(-ml * hold.parts // hold.whole)
    return used


def _broken_windows(problem: Problem, units: dict[int, Counter[int]]) -> list[str]:
    broken = []
    for number, task in enumerate(problem.tasks):
        by_day = units.get(number, Counter())
        if by_day.total() != task.count:
            broken.append(f"task {number}: {by_day.total()} of {task.count} units placed")
        if not task.split and len(by_day) > 1:
            broken.append(f"task {number}: split over days {sorted(by_day)}")
        for day in sorted(by_day):
            date = problem.days[day].date
            if date < task.opens:
                broken.append(f"task {number}: on date {date}, before {task.opens}")
            if date > task.last:
                broken.append(f"task {number}: on date {date}, after {task.last}")
            if problem.days[day].people < task.people:
                broken.append(f"task {number}: day {day} has fewer than {task.people} people")
    return broken


def _done(problem: Problem, by_day: Counter[int], date: int) -> int:
    """Return the units done up to and on a date."""
    return sum(n for day, n in by_day.items() if problem.days[day].date <= date)


def _broken_orders(problem: Problem, units: dict[int, Counter[int]]) -> list[str]:
    broken = []
    for order in problem.orders:
        before, after = units.get(order.before, Counter()), units.get(order.after, Counter())
        total = problem.tasks[order.before].count
        for day in sorted(after):
            date = problem.days[day].date
            ready = _done(problem, before, date - order.gap)
            if order.whole:
                kept = ready >= total
            else:
                wanted = min(order.takes * _done(problem, after, date), order.gives * total)
                kept = wanted <= order.gives * ready
            if not kept:
                broken.append(f"order {order.before} to {order.after}: gap not kept on day {day}")
    return broken


def _broken_stores(
    problem: Problem, used: dict[int, Counter[int]], blended: dict[int, Counter[int]]
) -> list[str]:
    broken = []
    for number, mix in enumerate(problem.mixes):
        use, made = used.get(number, Counter()), blended.get(number, Counter())
        if use.total() != made.total():
            broken.append(f"mix {number}: {made.total()} ml blended, {use.total()} ml used")
        for day in sorted({*use, *made}):
            date = problem.days[day].date
            if _done(problem, made, date) < _done(problem, use, date):
                broken.append(f"mix {number}: used before it is blended on day {day}")
            if _done(problem, made, date) > _done(problem, use, date + mix.keep_days):
                broken.append(f"mix {number}: kept too long from day {day}")
    for day, here in enumerate(problem.days):
        waiting = sum(_done(problem, made, here.date) for made in blended.values())
        waiting -= sum(_done(problem, use, here.date) for use in used.values())
        if waiting > problem.store_ml:
            broken.append(f"store: {waiting} ml wait after day {day}")
    return broken


def _broken_capacities(
    problem: Problem,
    units: dict[int, Counter[int]],
    blended: dict[int, Counter[int]],
    setups: set[tuple[int, int]],
    busy: set[int],
) -> list[str]:
    minutes: Counter[int] = Counter(dict.fromkeys(busy, problem.session_setup))
    turning: Counter[int] = Counter()
    for day, _ in setups:
        minutes[day] += problem.mix_setup
    for number, by_day in units.items():
        for day, count in by_day.items():
            minutes[day] += count * problem.tasks[number].minutes
    for number, by_day in blended.items():
        for day, ml in by_day.items():
            mix = problem.mixes[number]
            units_blended, rest = divmod(ml, mix.unit_ml)
            turning[day] += (units_blended + (rest > 0)) * mix.unit_minutes
    broken = []
    for day in sorted(busy):
        here = problem.days[day]
        if minutes[day] + turning[day] > here.minutes:
            broken.append(f"day {day}: {minutes[day] + turning[day]} of {here.minutes} minutes")
        if turning[day] > here.vessel_minutes:
            broken.append(f"day {day}: vessel {turning[day]} of {here.vessel_minutes} minutes")
    return broken


def count_bought(problem: Problem, units: dict[int, Counter[int]]) -> tuple[int, ...]:
    """Return the fewest containers of each kind that must be bought, whatever the limits."""
    more: list[Counter[int]] = [Counter() for _ in problem.containers]  # date -> more in use
    for number, by_day in units.items():
        task, done = problem.tasks[number], 0
        for day in sorted(by_day) if task.needs or task.frees else ():
            date, before, done = problem.days[day].date, done, done + by_day[day]
            for use in task.needs:
                more[use.container][date] += _filled(use, done) - _filled(use, before)
            for use in task.frees:
                clean = date + problem.containers[use.container].wash_days
                emptied = _freed(use, done, task.count) - _freed(use, before, task.count)
                more[use.container][clean] -= emptied
    short = []
    for kind, by_date in zip(problem.containers, more, strict=True):
        in_use = accumulate(by_date[date] for date in sorted(by_date))
        short.append(max(max(in_use, default=0) - kind.stock, 0))
    return tuple(short)


def _filled(use: Use, units: int) -> int:
    return -(-units * use.number // use.per)


def _freed(use: Use, units: int, count: int) -> int:
    return _filled(use, count) if units >= count else units * use.number // use.per


def _broken_containers(
    problem: Problem, fewest: tuple[int, ...], taken: tuple[int, ...]
) -> list[str]:
    if len(taken) != len(problem.containers):
        return [f"containers: {len(taken)} counts for {len(problem.containers)} kinds"]
    broken = []
    for kind, (least, count) in enumerate(zip(fewest, taken, strict=True)):
        most = problem.containers[kind].most_bought
        if count < least:
            broken.append(f"container {kind}: {count} bought where {least} are missing")
        if most is not None and count > most:
            broken.append(f"container {kind}: {count} bought of at most {most}")
    return broken
