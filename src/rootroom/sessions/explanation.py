"""Why sessions are on their days, why work is late or does not fit, and what would cure it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date

from rootroom.counts import some_of
from rootroom.scheduling.conflicts import (
    NoDay,
    ShortStretch,
    missing_containers,
    no_days,
    stretch,
)
from rootroom.scheduling.problem import Answer, Status
from rootroom.scheduling.sensitivity import MOST_TASKS, Clock, Cure, find_cures
from rootroom.scheduling.windows import Windows, find_windows
from rootroom.sessions.tasks import BedItem, MoveItem, Work
from rootroom.sessions.timeline import DayReason, Why

MOST_REASONS = 4
MOST_NAMES = 4
MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip


def explain(
    work: Work, answer: Answer, *, out_of_time: Callable[[], bool] = lambda: False
) -> Why | None:
    """Return why an answer is late, or why there is none; None where nothing is wrong.

    A reason names the rule, the plants and what is short; a cure is enough by itself and was found
    by solving again, until `out_of_time`.
    """
    if answer.complete and not answer.lateness:
        return None
    problem = work.problem
    if not problem.days:
        no_day = "there is no work day left in the plan's work dates: give [work] a later `last`"
        return Why((no_day,))
    windows = find_windows(problem)
    reasons = _reasons(work, windows, late=answer.complete)
    if not reasons and _is_proved(answer):
        reasons = [_full(work, answer)]
    dates = _dates(work, windows, answer)
    cures = find_cures(
        problem,
        clock=Clock(work.ticks, work.spare_share),
        dates=[date for date in work.idle if dates[0] <= date <= dates[1]],
        tight=[at for at, day in enumerate(problem.days) if dates[0] <= day.date <= dates[1]],
        late=not answer.complete,
        out_of_time=out_of_time,
    )
    words = [" and ".join(_cure(work, cure) for cure in row) for row in cures]
    if answer.complete:
        words.append(_later_dates(work, answer))
    elif not words and len(problem.tasks) <= MOST_TASKS:
        words.append(
            "nothing that was tried is enough: longer days, one more person, one more work day "
            "and later work dates, one by one and together"
        )
    return Why(tuple(reasons[:MOST_REASONS]), tuple(words), clock=out_of_time())


def _is_proved(answer: Answer) -> bool:
    """Whether it is proved that the work cannot be done, or not with less of it late."""
    if answer.complete:
        return "lateness" in answer.proved
    return answer.status == Status.INFEASIBLE


def _reasons(work: Work, windows: Windows, *, late: bool) -> list[str]:
    problem = work.problem
    limits = [task.due_date if late and task.plants else task.last for task in problem.tasks]
    ends = windows.due if late else windows.final
    reasons = [_no_day(work, one, windows) for one in no_days(problem, windows, limits)]
    for vessel in (False, True):
        short = stretch(problem, windows, ends, vessel=vessel)
        if short is not None:
            reasons.append(_short(work, short))
    reasons += [
        f"{one.missing} {work.containers[one.container]} are missing for "
        f"{_names(work, one.tasks)}: stock, freed ones and what may be bought do not cover them"
        for one in missing_containers(problem)
    ]
    return reasons


def _no_day(work: Work, one: NoDay, windows: Windows) -> str:
    name = _name(work, one.task)
    last = work.problem.days[-1].date
    own = one.limit < last
    end = f"its date is {_day(one.limit)}" if own else f"the last work day is {_day(last)}"
    opens = max(one.opens, work.problem.days[0].date)
    span = f"between {_day(opens)} and {_day(one.limit)}"
    if one.limit < work.problem.days[0].date:
        return f"{name}: its date, {_day(one.limit)}, lies before the first day left, {_day(opens)}"
    if one.why == "people":
        people = work.problem.tasks[one.task].people
        return f"{name} takes {people} people at once, and no work day {span} has as many"
    if one.why == "days":
        return f"{name} has no work day {span}"
    first = windows.first[one.task]
    days = work.problem.days
    then = _day(days[first].date) if first < len(days) else "after the last one"
    return f"{name} must wait for the work before it, so its first day is {then}, and {end}"


def _short(work: Work, short: ShortStretch) -> str:
    days = work.problem.days
    first, final = days[short.first].date, days[short.final].date
    span = f"on {_day(first)}" if first == final else f"from {_day(first)} to {_day(final)}"
    needed, offered = (_minutes(work, m) for m in (short.needed, max(short.offered, 0)))
    missing = _minutes(work, short.missing)
    what = "the vessel must turn for" if short.vessel else "work that has no other days takes"
    offers = "and has" if short.vessel else "and the days offer"
    names = _names(work, short.tasks)
    return f"{span} {what} {needed}, {offers} {offered}: {missing} short ({names})"


def _full(work: Work, answer: Answer) -> str:
    """Return a reason where no rule by itself is at fault: all days are too full together."""
    late = _late_tasks(work, answer)
    if late:
        return (
            f"the days up to their dates are too full for {_names(work, tuple(late))}: together "
            "with the other work, set-ups, batches and whole plants leave no room"
        )
    return "windows, gaps, set-ups and batches together leave no room; no rule by itself does"


def _late_tasks(work: Work, answer: Answer) -> list[int]:
    problem = work.problem
    return sorted(
        {
            one.task
            for one in answer.placed
            if problem.days[one.day].date > problem.tasks[one.task].due_date
            and problem.tasks[one.task].plants
        }
    )


def _dates(work: Work, windows: Windows, answer: Answer) -> tuple[int, int]:
    """Return from when to when more time may help: up to the dates of what is late or left out."""
    problem = work.problem
    tasks = _late_tasks(work, answer) or [one.task for one in answer.left_out]
    limit = max((problem.tasks[n].due_date for n in tasks), default=problem.days[-1].date)
    if not answer.complete and (short := stretch(problem, windows, windows.final)) is not None:
        tasks, limit = list(short.tasks), problem.days[max(short.first, short.final)].date
    return min((problem.tasks[n].opens for n in tasks), default=0), limit


def _cure(work: Work, cure: Cure) -> str:
    if cure.kind == "minutes":
        hours, minutes = divmod(cure.amount, 60)
        more = " ".join([*[f"{hours} h"] * (hours > 0), *[f"{minutes} min"] * (minutes > 0)])
        return f"{more} more on {_one_of(cure.dates)}"
    if cure.kind == "people":
        return f"one more person on {_one_of(cure.dates)}"
    if cure.kind == "spare":
        return f"`spare` {cure.amount} % in place of {work.spare_share * 100:.3g} %"
    if cure.kind == "day":
        return f"one more work day{_like(work, cure)}, on {_day(cure.dates[0])}"
    if cure.kind == "containers":
        assert cure.container is not None
        return f"{cure.amount} more {work.containers[cure.container]} in stock or from a shop"
    return f"work dates that run until {_day(cure.dates[0])}"


def _one_of(dates: tuple[int, ...]) -> str:
    """Return one date, or several of which each will do; none of them is every work day."""
    if not dates:
        return "every work day"
    if len(dates) == 1:
        return _day(dates[0])
    days = [date.fromordinal(ordinal) for ordinal in dates]
    texts = []
    for day, after in zip(days, [*days[1:], None], strict=True):
        same = after is not None and (after.month, after.year) == (day.month, day.year)
        texts.append(str(day.day) if same else _day(day.toordinal()))
    return f"one of {', '.join(texts)}"


def _like(work: Work, cure: Cure) -> str:
    """Return which day the new one is like, where the plan's days differ."""
    offers = {(day.minutes, day.people) for day in work.problem.days}
    return f" like {_day(cure.like)}" if cure.like is not None and len(offers) > 1 else ""


def _later_dates(work: Work, answer: Answer) -> str:
    """Return the dates, all of them needed, that would make the planned days the right ones."""
    problem = work.problem
    late = _late_tasks(work, answer)
    last: dict[int, int] = {}
    for one in answer.placed:
        last[one.task] = max(last.get(one.task, 0), problem.days[one.day].date)
    if len(late) == 1:
        return f"{_name(work, late[0])}: `by` no earlier than {_day(last[late[0]])}"
    dates = ", ".join(f"{_name(work, n)} {_day(last[n])}" for n in late[:MOST_NAMES])
    more = f", and {len(late) - MOST_NAMES} more moves or beds" if len(late) > MOST_NAMES else ""
    return f"`by` no earlier than these, together: {dates}{more}"


def _names(work: Work, tasks: tuple[int, ...]) -> str:
    return some_of(dict.fromkeys(_name(work, number) for number in tasks), MOST_NAMES)


def _name(work: Work, number: int) -> str:
    item = work.items[number]
    if isinstance(item, BedItem):
        return f"`{item.bed.name}`"
    assert isinstance(item, MoveItem)
    return f"`{item.names}` (move {item.move.number})"


def _minutes(work: Work, ticks: int) -> str:
    return f"{work.minutes(ticks):.0f} min"


def _day(ordinal: int) -> str:
    day = date.fromordinal(ordinal)
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def find_day_reasons(work: Work, answer: Answer) -> tuple[DayReason, ...]:
    """Return the reasons of all sessions, in the order of their days."""
    days = work.problem.days
    by_day: dict[int, list[int]] = {}
    done: dict[int, list[int]] = {}
    for one in sorted(answer.placed, key=lambda one: (one.day, one.task)):
        by_day.setdefault(one.day, []).append(one.task)
        done.setdefault(one.task, []).append(one.day)
    reasons = []
    for day, tasks in sorted(by_day.items()):
        before, after = day - 1 if day else None, day + 1 if day + 1 < len(days) else None
        reasons.append(
            DayReason(
                day=_date(work, day),
                before=None if before is None else _date(work, before),
                after=None if after is None else _date(work, after),
                taken=before in by_day,
                too_early=_session_names(work, _too_early(work, done, day, tasks)),
                too_late=_session_names(work, _too_late(work, done, day, tasks)),
            )
        )
    return tuple(reasons)


def _date(work: Work, day: int) -> date:
    return date.fromordinal(work.problem.days[day].date)


def _too_early(work: Work, done: Mapping[int, list[int]], day: int, tasks: list[int]) -> list[int]:
    """Return the tasks that could not be done on the work day before."""
    if not day:
        return []
    problem = work.problem
    before = problem.days[day - 1]
    found = []
    for number in tasks:
        task = problem.tasks[number]
        waits = any(
            problem.days[min(d for d in done[order.before])].date + order.gap > before.date
            for order in problem.orders
            if order.after == number and order.before in done
        )
        if task.opens > before.date or task.people > before.people or waits:
            found.append(number)
    return found


def _too_late(work: Work, done: Mapping[int, list[int]], day: int, tasks: list[int]) -> list[int]:
    """Return the tasks that would be late, or hold up what follows them, a work day later."""
    problem = work.problem
    after = problem.days[day + 1] if day + 1 < len(problem.days) else None
    found = []
    for number in tasks:
        task = problem.tasks[number]
        holds_up = after is not None and any(
            after.date + order.gap > problem.days[max(done[order.after])].date
            for order in problem.orders
            if order.before == number and order.after in done
        )
        if after is None or task.due_date < after.date or task.people > after.people or holds_up:
            found.append(number)
    return found


def _session_names(work: Work, tasks: list[int]) -> tuple[str, ...]:
    items = (work.items[number] for number in tasks)
    names = (one.bed.name if isinstance(one, BedItem) else one.names for one in items)
    return tuple(dict.fromkeys(names))
