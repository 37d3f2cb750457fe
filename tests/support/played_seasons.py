"""Seasons played out: invented plans, their sessions recorded with noise, and planned again.

`play` takes one season from its first session to its last and breaks at whatever does not hold:
plants and money balance after every note, no session breaks a rule of the plan, and none differs
much from the posted plan without a reason that is listed.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path
from random import Random
from typing import Any

from attrs import evolve

from rootroom.plan.model import Plan
from rootroom.plan.reader import read_plan, read_plan_text
from rootroom.record.apply import replay
from rootroom.record.events import Event, holding, new_event
from rootroom.record.next_year.new_plan import next_year
from rootroom.record.posted import (
    PLANTS,
    bought_as_listed,
    event_of_row,
    used_as_planned,
    with_charges,
)
from rootroom.replanning.posting import next_session, posted_data, session_work
from rootroom.replanning.replan import Replanned, replan
from rootroom.season import make_season

MUCH = 0.20
"""A session differs much from the posted one by more than this share of its plants or
    of its minutes."""

SIZES = ("#1", "#2", "#3", "#5", "#7")
FIRST = date(2027, 3, 6)


def drawn_plan(chance: Random) -> str:
    """Return an invented plan: groups in one or two moves, mixes own and ready, now and then a bed.

    All names and prices are invented.
    """
    groups = []
    for number in range(chance.randint(2, 5)):
        size, week = chance.randint(0, 2), chance.randint(0, 4)
        opens = FIRST + timedelta(weeks=week)
        due = opens + timedelta(weeks=chance.choice((0, 1, 3)))
        mix = chance.choice(("tree", "light"))
        moves = f'{{ to = "{SIZES[size + 1]}", mix = "{mix}", from = {opens}, by = {due} }}'
        if chance.random() < 0.4:
            moves += f', {{ to = "{SIZES[size + 2]}", mix = "{mix}", wait = "3 weeks" }}'
        count = chance.choice((3, 6, 10, 20))
        groups.append(
            f'{{ name = "Plant {number}", count = {count}, now = "{SIZES[size]}", '
            f"moves = [ {moves} ] }}"
        )
    supplies = [
        '{ of = "peat", pack = "3.8 cu ft", swells = 1.7, price = 15.20, from = "Mill Road" }',
        f'{{ of = "bark", pack = "2 cu ft", price = {chance.choice((6, 30))}.40, '
        'from = "Mill Road" }',
        '{ of = "perlite", pack = "1 cu ft", price = 9.10, from = "Pot barn" }',
    ]
    if chance.random() < 0.6:
        supplies.append(
            f'{{ of = "tree", pack = "2 cu ft", price = {chance.choice((4, 10, 20))}.90, '
            f'from = "Mill Road", at_most = {chance.choice((2, 50))} }}'
        )
    supplies += [
        f'{{ of = "{size}", pack = 5, price = 9.00, from = "Pot barn" }}' for size in SIZES[1:]
    ]
    shape = 'shape = "6 ft x 3 ft", depth = "8 in", mix = "tree"'
    bed = f'beds = [ {{ name = "South bed", {shape}, from = 2027-03-13, by = 2027-04-03 }} ]\n'
    bed = bed if chance.random() < 0.3 else ""
    plants, goods = ",\n  ".join(groups), ",\n  ".join(supplies)
    return f"""format = 1
plants = [
  {plants} ]
supplies = [
  {goods} ]
{bed}[garden]
last_frost = 2027-04-12
[work]
days = ["sat"]
first = {FIRST}
last = 2027-06-05
hours = {chance.choice((3, 5))}
[mixes.tree]
parts = {{ bark = 2, peat = 1 }}
[mixes.light]
parts = {{ peat = 2, perlite = 1 }}
[suppliers."Mill Road"]
trip = 6.00
tax = "7 %"
[suppliers."Pot barn"]
trip = 4.00
"""


def play(text: str, chance: Random, folder: Path) -> Counter[str]:
    """Play a season to its end; return how often each thing happened."""
    path = folder / "plan.toml"
    path.write_text(text, encoding="utf-8")
    plan, problems = read_plan(path)
    assert plan is not None, problems
    season = make_season(plan)
    happened: Counter[str] = Counter()
    if not season.schedule.found:
        return happened
    events = [new_event("planned", plan.work.first, posted_data(season))]
    cost = season.shopping.cost_cents
    for _ in range(40):
        ahead = _next(plan, events)
        if ahead is None:
            break
        what = chance.choices(("done", "short", "rain", "losses"), (6, 2, 1, 1))[0]
        happened[what] += 1
        events += _told(plan, events, ahead, what, chance)
        found = replan(plan, events)
        _check(plan, events, found, ahead if what == "rain" else None)
        now = found.paid_cents + found.to_pay_cents
        if found.holds:
            happened["held"] += 1
            if what == "done":
                assert now == cost, f"{ahead}: the season cost {cost}, and now {now}"
        else:
            data = posted_data(found.season)
            events.append(new_event("planned", found.state.last or plan.work.first, data))
        cost = now
    assert _next(plan, events) is None, "the season has no end"
    _check_end(plan, events)
    _check_next_year(text, plan, events, path)
    return happened


def _check_next_year(text: str, plan: Plan, events: Sequence[Event], path: Path) -> None:
    """Next year's plan is right, and stays the same to the letter with other ids."""
    lasting = holding(events)
    draft = next_year(text, plan, lasting, path)
    found, problems = read_plan_text(draft.text, path.with_stem("next"))
    assert found is not None, [str(one) for one in problems]
    renamed = [
        evolve(one, id=f"{len(lasting) - number:08x}", replaces=None)
        for number, one in enumerate(lasting)
    ]
    assert draft.text == next_year(text, plan, renamed, path).text


def _next(plan: Plan, events: Sequence[Event]) -> date | None:
    from rootroom.problems import TextError

    try:
        return next_session(plan, events)[0]
    except TextError:
        return None


def _told(plan: Plan, events: Sequence[Event], day: date, what: str, chance: Random) -> list[Event]:
    """Return what somebody notes of a session, more or less as planned."""
    if what == "rain":
        return [new_event("day off", day, {"day": day.isoformat(), "reason": "rain"}, session=day)]
    rows = session_work(events, day)
    notes: list[tuple[str, Mapping[str, Any]]] = []
    for row in rows:
        note = event_of_row(row)
        if note is None:
            continue
        kind, data = note
        if what == "short" and kind in ("moved", "filled"):
            part = chance.choice((0.0, 0.3, 0.7))
            key = "count" if kind == "moved" else "share"
            data = {**data, key: type(data[key])(data[key] * part)}
            if not data[key]:
                continue
        notes.append((kind, data))
        if what == "losses" and kind == "moved" and data["count"] > 2:
            lost = {"plant": data["plant"], "move": data["move"] + 1, "count": 1}
            notes.append(("lost", lost))
    notes += used_as_planned(rows, notes)
    notes += bought_as_listed(events, day, notes)
    notes = with_charges(plan, events, notes)
    notes.append(("session", {"state": "cut short" if what == "short" else "done"}))
    return [new_event(kind, day, data, session=day) for kind, data in notes]


def _check(plan: Plan, events: Sequence[Event], found: Replanned, rained: date | None) -> None:
    sessions = found.season.schedule.sessions
    free = {day.date: day for day in found.season.plan.work.days}
    for session in sessions:
        assert session.date in free, f"{session.date} is no work day any more"
        assert session.date != rained
        room = free[session.date].minutes * free[session.date].people
        assert sum(line.minutes for line in session.work) <= room + 1e-6, session.date
    planned: Counter[tuple[str, int]] = Counter()
    for session in sessions:
        for line in session.plant_lines:
            planned[line.name, line.move] += line.count
    for left in found.season.schedule.left_out:
        if left.move is not None:
            planned[left.plant, left.move] += left.count
    wanted: Counter[tuple[str, int]] = Counter()
    for group in found.season.plan.plants:
        for move, count in zip(group.kind.moves, group.counts, strict=True):
            wanted[group.name, move.number] += count
    assert wanted == planned, "plants of the plan that is left and of its sessions"
    paid = sum(
        event.data.get(key) or 0
        for event in holding(events)
        if event.kind == "bought"
        for key in ("paid_cents", "tax_cents", "fee_cents")
    )
    assert paid == found.paid_cents
    _check_waits(plan, events, found)
    _check_reasons(events, found)


def _check_waits(plan: Plan, events: Sequence[Event], found: Replanned) -> None:
    """Every second move comes three weeks after a first one: done, or planned."""
    made: dict[tuple[str, int], list[tuple[date, int]]] = {}
    for event in holding(events):
        if event.kind == "moved":
            key = (event.data["plant"], event.data["move"])
            made.setdefault(key, []).append((event.day, event.data["count"]))
    for session in found.season.schedule.sessions:
        for line in session.plant_lines:
            key = (line.name, line.move)
            made.setdefault(key, []).append((session.date, line.count))
    waits = {
        (group.name, move.number): timedelta(move.wait_days)
        for group in plan.plants
        for move in group.kind.moves
        if move.number > 1
    }
    for (name, move), wait in waits.items():
        before, after = made.get((name, move - 1), []), made.get((name, move), [])
        for day, _ in after:
            ready = sum(count for when, count in before if when <= day - wait)
            assert sum(count for when, count in after if when <= day) <= ready, (name, day)


def _check_reasons(events: Sequence[Event], found: Replanned) -> None:
    """A day with a fifth more or fewer plants, or minutes, than posted stands among the changes."""
    last = [event for event in holding(events) if event.kind == "planned"][-1]
    plants: dict[str, Counter[date]] = {"posted": Counter(), "now": Counter()}
    minutes: dict[str, Counter[date]] = {"posted": Counter(), "now": Counter()}
    for row in last.data["sessions"]:
        day = date.fromisoformat(row["day"])
        if day in found.state.worked:
            continue
        plants["posted"][day] += row["count"] if row["kind"] in PLANTS else 0
        minutes["posted"][day] += row.get("minutes", 0)
    for session in found.season.schedule.sessions:
        plants["now"][session.date] += sum(line.count for line in session.plant_lines)
        minutes["now"][session.date] += sum(line.minutes for line in session.work)  # type: ignore
    listed = {day for one in found.changes for day in (*one.before, *one.after) if one.reason}
    for what, by in (("plants", plants), ("minutes", minutes)):
        old, new = by["posted"], by["now"]
        for day in {*old, *new}:
            if abs(new[day] - old[day]) > MUCH * max(old[day], new[day]):
                told = f"{day}: {old[day]:g} {what} posted, {new[day]:g} now, and no reason"
                assert day in listed, told


def _check_end(plan: Plan, events: Sequence[Event]) -> None:
    """What came to a stage went on, was lost, or stands there."""
    for groups in replay(plan, events).groups.values():
        for group in groups:
            for stage in range(len(group.lots)):
                there = group.into[stage] + group.found[stage] - group.lost[stage]
                assert there - group.out[stage] == group.standing(stage) >= 0
