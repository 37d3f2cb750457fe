"""Which days change of the posted plan, and why; and which dates are missed now."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from types import MappingProxyType

from attrs import field, frozen

from rootroom.plan.entries import PostedLine
from rootroom.plan.model import Move, Plan
from rootroom.sessions.least_change import BED, posted_work
from rootroom.sessions.timeline import Schedule

SMALL_SHARE = 10
"""Thousandths of a layer that nobody measures: shares are rounded when they are posted."""

BLEND = "blend"

Key = tuple[str, str, int]
Stops = Iterable[tuple[date, date, str]]
"""Days without work, from the first until before the second, and why."""


@frozen
class Change:
    """One line of the posted plan that is no longer right.

    `kind` is the trade's word for the work, `number` the move of a plant or the layer of a bed.
    `before` and `after` hold the plants that change their day, by day (empty: nothing there; of a
    bed thousandths of the layer, of a mix that is blended batches). `reason` says why in words.
    """

    kind: str
    name: str
    number: int
    before: Mapping[date, int]
    after: Mapping[date, int]
    reason: str


@frozen
class Missed:
    """A date of the plan that is missed now: `count` plants after `due`, the last on `day`.

    `day` is None where the work does not fit at all; `number` is the move, None for a bed.
    `anew` says that the posted plan still kept it.
    """

    name: str
    number: int | None
    due: date
    day: date | None
    count: int
    anew: bool = field(default=True)


def find_changes(
    plan: Plan,
    schedule: Schedule,
    *,
    done: Mapping[tuple[str, int], int],
    filled: Mapping[tuple[str, int], float] = MappingProxyType({}),
    today: date | None = None,
    stops: Stops = (),
    blends: Mapping[date, Mapping[str, int]] = MappingProxyType({}),
) -> tuple[Change, ...]:
    """Return what the new schedule changes of the posted plan, in the order of the days.

    `plan` is what is left after the record, `done` the plants that made each move of each name and
    `filled` the share [0 to 1] of each layer of each bed that came in since the plan was posted,
    `today` the first day that is planned, `stops` the days called off, `blends` the posted batches
    of each mix by day that are not done yet.
    Work that was done is no change, on whatever day it was. Without a schedule nothing is told.
    """
    if not schedule.found:
        return ()
    told = list(stops)
    before, after = _by_key(plan.posted), _by_key(posted_work(schedule.sessions))
    opens = _opens(plan)
    after_moves = {(name, number): days for (k, name, number), days in after.items() if k != BED}
    days = {day for lines in after.values() for day in lines}
    left_out = {(left.plant, left.move) for left in schedule.left_out}
    still = {key: _not_done(key, posted, done, filled) for key, posted in before.items()}
    changes = []
    for key, gone, come in _shifts(still, after, _layers(plan)):
        kind, name, number = key
        held = _waits_until(opens.get(key), after_moves.get((name, number - 1), {}))
        reason = _reason(gone, come, held, today, told, days)
        if not come and (name, None if kind == BED else number) in left_out:
            reason = "does not fit into the work days that are left"
        changes.append(Change(kind, name, number, dict(gone), dict(come), reason))
    changes += _blends_apart(blends, schedule, changes, today, told)
    return tuple(sorted(changes, key=lambda change: min([*change.before, *change.after])))


def _shifts(
    before: Mapping[Key, Counter[date]],
    after: Mapping[Key, Mapping[date, int]],
    layers: set[tuple[str, int]],
) -> Iterator[tuple[Key, Counter[date], Counter[date]]]:
    """Yield what goes from and what comes to days, of what is not done yet, by its key."""
    for key in dict.fromkeys([*before, *after]):
        kind, name, number = key
        if kind == BED and (name, number) not in layers:
            continue
        old, new = before.get(key, Counter()), Counter(after.get(key, {}))
        gone, come = old - new, new - old
        least = SMALL_SHARE if kind == BED else 1
        if max([*gone.values(), *come.values()], default=0) >= least:
            yield key, gone, come


def _blends_apart(
    posted: Mapping[date, Mapping[str, int]],
    schedule: Schedule,
    changes: Iterable[Change],
    today: date | None,
    stops: Sequence[tuple[date, date, str]],
) -> Iterator[Change]:
    """Yield the mixes blended on another day where no plants and no bed tell of that day."""
    if not posted:
        return
    now = _blends(schedule)
    told = {day for change in changes for day in (*change.before, *change.after)}
    days = sorted({*posted, *now} - told)
    for mix in sorted({mix for day in days for mix in (*posted.get(day, {}), *now.get(day, {}))}):
        old = {day: posted[day][mix] for day in days if mix in posted.get(day, {})}
        new = {day: now[day][mix] for day in days if mix in now.get(day, {})}
        more = any(one[mix] > posted.get(day, {}).get(mix, 0) for day, one in now.items())
        fewer = any(one.get(mix, 0) > now.get(day, {}).get(mix, 0) for day, one in posted.items())
        # More or fewer on a day are told where they come from another: else they follow from the
        # plants.
        come = {
            day: batches - old.get(day, 0)
            for day, batches in new.items()
            if day not in old or (fewer and batches > old[day])
        }
        gone = {
            day: batches - new.get(day, 0)
            for day, batches in old.items()
            if day not in new or (more and batches > new[day])
        }
        reason = ""
        if gone:
            reason = _called_off(min(gone), stops)
            if not reason and today is not None and min(gone) < today:
                reason = "not done on its day"
        if gone or come:
            yield Change(BLEND, mix, 0, gone, come, reason or "the work that it is for has changed")


def _blends(schedule: Schedule) -> dict[date, Counter[str]]:
    """Return the batches of each mix by day; a mix laid out counts where that is all the work."""
    worked_on = {line.day for line in posted_work(schedule.sessions)}
    return {
        session.date: Counter(
            {
                line.name: max(line.count, 1)
                for line in session.work
                if line.kind == BLEND or (line.kind == "lay out" and session.date not in worked_on)
            }
        )
        for session in schedule.sessions
    }


def _called_off(day: date, stops: Sequence[tuple[date, date, str]]) -> str:
    """Return why there is no work on a day, empty where there may be."""
    for begin, end, reason in stops:
        if begin <= day < end:
            return reason or "no work on that day"
    return ""


def _layers(plan: Plan) -> set[tuple[str, int]]:
    """Return the layers that are still to be filled, by bed and the layer's number in the plan."""
    return {
        (bed.name, layer.number or place)
        for bed in plan.beds
        for place, layer in enumerate(bed.layers, 1)
    }


def find_missed(plan: Plan, schedule: Schedule) -> tuple[Missed, ...]:
    """Return the dates of the plan that the schedule misses, in the plan's order.

    Without a schedule those are named that cannot be done by the last work day, alone as it were:
    too late a start, or too long a wait after the moves that must come before.
    """
    kept = _kept_as_posted(plan)
    found = []
    if schedule.found:
        late: dict[tuple[str, int | None], tuple[date, int]] = {}
        for one in schedule.late:
            day, count = late.get((one.plant, one.move), (one.date, 0))
            late[one.plant, one.move] = (max(day, one.date), count + one.count)
        dues = {(w.name, w.move): w.due for w in schedule.windows}
        for (name, move), (day, count) in late.items():
            due = dues[name, move]
            found.append(Missed(name, move, due, day, count, kept.get((name, move), due) <= due))
        return tuple(found)
    for name, number, due, count in _too_late(plan):
        anew = kept.get((name, number), due) <= due
        found.append(Missed(name, number, due, None, count, anew))
    return tuple(found)


def _too_late(plan: Plan) -> Iterator[tuple[str, int | None, date, int]]:
    """Yield moves and beds that no work day is left for, each by itself: name, move, due, count."""
    days = [day.date for day in plan.work.days]
    for group in plan.plants:
        earliest = date.min
        for move, count in zip(group.kind.moves, group.counts, strict=True):
            wait = timedelta(move.wait_days) if earliest > date.min else timedelta(0)
            opens = max(move.opens, earliest + wait)
            place = bisect_left(days, opens)
            if place == len(days):
                yield group.name, move.number, move.due, count
                break
            earliest = days[place]
    for bed in plan.beds:
        if not days or bed.opens > days[-1]:
            yield bed.name, None, bed.due, 1


def _kept_as_posted(plan: Plan) -> dict[tuple[str, int | None], date]:
    """Return the last day of each plant's move and each bed in the posted plan."""
    last: dict[tuple[str, int | None], date] = {}
    for line in plan.posted:
        key = (line.name, None if line.kind == BED else line.number)
        last[key] = max(last.get(key, line.day), line.day)
    return last


def _by_key(lines: Iterable[PostedLine]) -> dict[Key, dict[date, int]]:
    found: dict[Key, dict[date, int]] = {}
    for line in lines:
        days = found.setdefault((line.kind, line.name, line.number), {})
        count = round(1000 * line.share) if line.kind == BED else line.count
        days[line.day] = days.get(line.day, 0) + count
    return found


def _not_done(
    key: Key,
    posted: Mapping[date, int],
    done: Mapping[tuple[str, int], int],
    filled: Mapping[tuple[str, int], float],
) -> Counter[date]:
    """Return what was posted by day, what was done taken off the first days."""
    kind, name, number = key
    share = round(1000 * filled.get((name, number), 0.0))
    count = share if kind == BED else done.get((name, number), 0)
    days = Counter(posted)
    for day in sorted(days):
        part = min(days[day], count)
        days[day] -= part
        count -= part
    return +days  # the days of which something is left


def _opens(plan: Plan) -> dict[Key, Move]:
    """Return the moves that are left by kind, name and number; of alike ones that opening last."""
    from rootroom.sessions.tasks import kind_of_move

    names = {line.name for line in plan.posted}
    found: dict[Key, Move] = {}
    for name, kind in zip(plan.plants.names, plan.plants.kind_of, strict=True):
        if name not in names:
            continue
        for move in plan.plants.kinds[kind].moves:
            key = (kind_of_move(move), name, move.number)
            if key not in found or found[key].opens < move.opens:
                found[key] = move
    return found


def _waits_until(move: Move | None, before: Mapping[date, int]) -> tuple[date, str] | None:
    """Return the first day of a move as things stand now, and what it waits for in words."""
    if move is None:
        return None
    if before and move.wait_days:
        made = min(before)
        opens = made + timedelta(move.wait_days)
        if opens > move.opens:
            return opens, f"waits {move.wait_days} days from the move before, now on {made}"
    return move.opens, f"may not be done before {move.opens}"


def _reason(
    gone: Counter[date],
    come: Counter[date],
    held: tuple[date, str] | None,
    today: date | None,
    stops: Sequence[tuple[date, date, str]],
    days: set[date],
) -> str:
    if not gone:
        return "more of them than posted"
    first = min(gone)
    if off := _called_off(first, stops):
        return off
    if today is not None and first < today:
        return "not done on its day" if come else "not done, and nothing left to do"
    if not come:
        return "fewer of them than posted"
    if held is not None and held[0] > first:
        return held[1]
    if first not in days:
        return "no session on that day any more"
    if min(come) < first:
        return "there is room sooner"
    return "the day is full with work that must come first"
