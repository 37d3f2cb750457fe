"""Laws of sorts: they change nothing that is planned or counted, and none is lost on the way."""

from __future__ import annotations

import re
from collections import Counter
from datetime import date, timedelta
from pathlib import Path
from random import Random

import pytest

from rootroom.plan.model import Plan
from rootroom.plan.reader import read_plan
from rootroom.record.apply import apply_record, replay
from rootroom.record.events import Event, new_event
from rootroom.season import make_season
from tests.support.patience import unhurried
from tests.support.small_plans import small_plan
from tests.support.written_plans import REST, written_plan

pytestmark = pytest.mark.property


def read(text: str, folder: Path) -> Plan:
    """Return the plan of a text."""
    file = folder / "plan.toml"
    file.write_text(text, encoding="utf-8")
    plan, problems = read_plan(file)
    assert plan is not None, problems
    return plan


def with_sorts(text: str, chance: Random) -> str:
    """Return a plan's text with every count of plants told as that of two sorts."""

    def sorts(found: re.Match[str]) -> str:
        count = int(found[1])
        first = chance.randint(1, count - 1) if count > 1 else count
        rest = f", Blue = {count - first}" if count > first else ""
        return f'sorts = {{ Red = {first}{rest} }}, place = "{chance.choice("ab")}"'

    return re.sub(r"count = (\d+)", sorts, text)


@pytest.mark.parametrize("seed", range(4))
def test_sorts_change_no_day_and_all_are_told(seed: int, tmp_path: Path) -> None:
    """The same plants on the same days, and over all days as many of each sort as there are."""
    text = small_plan(seed)
    with unhurried(0.3):
        plain = make_season(read(text, tmp_path))
        plan = read(with_sorts(text, Random(seed)), tmp_path)
        sorted_ = make_season(plan)

    def moved(season: object) -> Counter[tuple[object, ...]]:
        sessions = season.schedule.sessions  # type: ignore[attr-defined]
        lines = ((one.date, line) for one in sessions for line in one.plant_lines)
        return Counter({(day, line.name, line.move): line.count for day, line in lines})

    assert moved(plain) == moved(sorted_)
    assert plain.shopping.cost_cents == sorted_.shopping.cost_cents
    told: Counter[tuple[str, str]] = Counter()
    for session in sorted_.schedule.sessions:
        for line in session.plant_lines:
            assert not line.sorts or line.count == sum(line.sorts.values())
            told.update({(line.name, sort): many for sort, many in line.sorts.items()})
        places = [line.place for line in session.plant_lines]
        assert sorted(places, key=places.index) == places
    left_out = {one.plant for one in sorted_.schedule.left_out}
    for group in plan.plants:
        if group.name not in left_out and group.kind.moves:
            assert dict(group.marks.sorts) == {
                sort: many for (name, sort), many in told.items() if name == group.name
            }


def drawn_events(plan: Plan, chance: Random) -> list[Event]:
    """Return moves, losses and counts of some days, of a sort or of none, as many as there are."""
    events: list[Event] = []
    for day in range(8):
        group = replay(plan, events).groups.get("Fig", [None])[0]
        stage, sort = chance.randint(0, 1), chance.choice(["", "Red", "Blue", "White"])
        there = group.standing(stage, sort) if group is not None else 0
        kind = chance.choice(["moved", "moved", "lost", "counted"])
        if group is None:
            kind, stage, sort, there = "moved", 0, "", 5
        count = chance.randint(0, there) if kind != "counted" else max(there - 1, 0)
        data = {"plant": "Fig", "move": stage + 1, "count": count}
        told = {**data, "sort": sort} if sort else data
        events.append(new_event(kind, date(2027, 3, 20) + timedelta(day), told))
    return events


@pytest.mark.parametrize("seed", range(30))
def test_record_loses_no_sort(seed: int, tmp_path: Path) -> None:
    """At every stage the sorts come to the plants that stand there, as if none had been told."""
    chance = Random(seed)
    moves = 'now = "#1", moves = [ { to = "#2", mix = "tree" }, { to = "#3", mix = "tree" } ]'
    sorts = {"Red": chance.randint(5, 9), "Blue": chance.randint(1, 9), "White": 4}
    told = ", ".join(f"{sort} = {many}" for sort, many in sorts.items())
    plan = written_plan(tmp_path, f'{{ name = "Fig", {moves}, sorts = {{ {told} }} }}', rest=REST)
    total = sum(sorts.values())
    plain = written_plan(tmp_path, f'{{ name = "Fig", {moves}, count = {total} }}', rest=REST)
    events = drawn_events(plan, chance)
    bare = [
        new_event(one.kind, one.day, {k: v for k, v in one.data.items() if k != "sort"})
        for one in events
        if one.kind != "counted"
    ]
    sorted_state = replay(plan, [one for one in events if one.kind != "counted"])
    plain_state = replay(plain, bare)
    (fig,), (same,) = sorted_state.groups["Fig"], plain_state.groups["Fig"]
    assert [same.standing(stage) for stage in range(3)] == [fig.standing(s) for s in range(3)]
    assert (same.into, same.out, same.lost) == (fig.into, fig.out, fig.lost)

    state = replay(plan, events)
    assert () == state.odd
    left: Counter[str] = Counter()
    for group in apply_record(plan, events).plants:
        assert group.count == sum(many for _, many in group.marks.sorts)
        for sort, many in group.marks.sorts:
            left[sort] += many
    assert left <= Counter(sorts)
