"""Laws of a record: replay, order, corrections, and what came in is what went out or is there."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from rootroom.catalogue.spread import Spread
from rootroom.plan.entries import Pack, Supply
from rootroom.plan.model import WorkDay
from rootroom.record.apply import State, apply_record, replay
from rootroom.record.events import KINDS, Event, decode, encode
from rootroom.record.file import append, read_record
from tests.support.plans import HERE, bed, group, mix, move, nothing, plan, pot, tray, work

pytestmark = pytest.mark.property

FIRST = date(2027, 3, 6)
ONE, THREE, SEVEN, SQUARE = pot("#1", 2.0), pot("#3", 9.0), pot("#7", 20.0), pot("4 in", 0.6)
DAYS = tuple(WorkDay(FIRST + timedelta(weeks=n), 240.0, 1) for n in range(14))
GROUPS = (
    group("Fig", 18, move(ONE, THREE), move(THREE, SEVEN, number=2, count=6, wait_days=56)),
    group("Tomato", 60, move(tray(50, 0.05), SQUARE), move(SQUARE, SEVEN, number=2, wait_days=21)),
    group("Chives", 4, move(ONE, SQUARE, into=3)),
    group("Berry", 13, move(nothing("bare root"), SEVEN, per_pot=3)),
    group("Basil", 30, move(SQUARE, None, place="sold")),
    group("Old fig", 2, move(SEVEN, None, refresh=0.3), move(SEVEN, None, number=2, refresh=0.3)),
)
SUPPLIES = (
    Supply(1, "bark", "ingredient", HERE, Pack("100 L", Fraction(100)), Spread.exactly(100.0),
           price_cents=900, on_hand=Fraction(3)),
    Supply(2, "#3", "container", HERE, Pack("10", pieces=10), price_cents=4500),
    Supply(3, "tree", "mix", HERE, Pack("50 L", Fraction(50)), Spread.exactly(50.0)),
)  # fmt: skip
PLAN = plan(
    GROUPS,
    [mix("tree", {"bark": 3, "peat": 1}, shrink=0.1), mix("open", {"tree": 1, "bark": 1})],
    [bed("South", 2.0, 0.3, [("bark", 0.1), ("tree", None)])],
    supplies=SUPPLIES,
    stock={"#3": 12, "#7": 5},
    work=work(days=DAYS),
)
PLANTS = [(one.name, len(one.kind.moves)) for one in GROUPS]


@st.composite
def told(draw: st.DrawFn) -> tuple[str, dict[str, Any]]:
    """Return a kind and its fields; counts are such that they may well not fit the plan."""
    kind = draw(st.sampled_from(
        ["moved", "moved", "moved", "lost", "counted", "not yet", "blended", "used", "left",
         "spilled", "bought", "freed", "broken", "filled", "worked", "note"]
    ))  # fmt: skip
    litres = st.integers(0, 80).map(float)
    if kind in ("moved", "lost", "counted", "not yet"):
        plant, moves = draw(st.sampled_from(PLANTS))
        extra = kind == "counted"
        move_number = draw(st.integers(1, moves + extra))
        return kind, {"plant": plant, "move": move_number, "count": draw(st.integers(0, 20))}
    if kind in ("blended", "used", "left", "spilled"):
        return kind, {"mix": draw(st.sampled_from(["tree", "open"])), "l": draw(litres)}
    if kind == "bought":
        of = draw(st.sampled_from(["bark", "#3", "tree"]))
        cents = draw(st.none() | st.integers(0, 9000))
        return kind, {"of": of, "packs": draw(st.integers(0, 4)), "paid_cents": cents}
    if kind in ("freed", "broken"):
        text = draw(st.sampled_from(["#1", "#3"]))
        return kind, {"container": text, "count": draw(st.integers(0, 9))}
    if kind == "filled":
        share = draw(st.integers(0, 4).map(lambda n: n / 4))
        return kind, {"bed": "South", "layer": draw(st.integers(1, 2)), "share": share}
    if kind == "worked":
        return kind, {"minutes": draw(st.integers(0, 240))}
    return kind, {"text": draw(st.text(max_size=20))}


@st.composite
def records(draw: st.DrawFn) -> list[Event]:
    """Return events of a few days, some of them corrected or taken back."""
    events: list[Event] = []
    for number, (kind, data) in enumerate(draw(st.lists(told(), max_size=25))):
        day = FIRST + timedelta(days=draw(st.integers(0, 6)) * 7)
        events.append(Event(f"e{number}", day, kind, data))
    for number in draw(st.lists(st.integers(0, max(len(events) - 1, 0)), max_size=4, unique=True)):
        if number < len(events):
            old = events[number]
            if draw(st.booleans()):
                new = Event(f"c{number}", old.day, "taken back", {}, replaces=old.id)
            else:
                new = evolve(old, id=f"c{number}", replaces=old.id)
            events.append(new)
    return events


def seen(state: State) -> Any:
    """Return all of a state that may not depend on the order of its lines."""
    return (
        {
            name: [
                (g.into, g.out, g.lost, g.found, [stage_of(lots) for lots in g.lots])
                for g in groups
            ]
            for name, groups in state.groups.items()
        },
        state.boxes,
        {name: book for name, book in state.goods.mixes.items()},
        {k: round(x, 9) for k, x in state.goods.used_l.items()},
        sorted((p.day, p.of, p.packs, p.cents or -1) for p in state.goods.paid),
        [(s.number, s.on_hand, s.at_most) for s in state.goods.supplies],
        state.filled, state.worked, state.last, sorted(state.odd),
    )  # fmt: skip


def stage_of(lots: Sequence[Any]) -> list[tuple[date, date, int]]:
    """Return what stands at a stage by the days that count for it."""
    total: dict[tuple[date, date], int] = {}
    for lot in lots:
        key = (lot.since or date.min, lot.until or date.min)
        total[key] = total.get(key, 0) + lot.count
    return sorted((*key, count) for key, count in total.items())


@given(records(), st.randoms(use_true_random=False))
def test_the_order_of_independent_lines_does_not_matter(events: list[Event], chance: Any) -> None:
    """Corrections keep their own order; everything else may stand anywhere."""
    mixed = list(events)
    chance.shuffle(mixed)
    by_chain = {event.id: event.replaces or event.id for event in events}
    chains = {chain: [e for e in events if by_chain[e.id] == chain] for chain in by_chain.values()}
    mixed = [chains[by_chain[event.id]].pop(0) for event in mixed]

    assert seen(replay(PLAN, events)) == seen(replay(PLAN, mixed))


@given(records())
def test_replaying_twice_gives_the_same(events: list[Event]) -> None:
    """A record is a function of its lines, and leaves the plan alone."""
    assert seen(replay(PLAN, events)) == seen(replay(PLAN, events))
    once, again = apply_record(PLAN, events), apply_record(PLAN, events)
    assert list(once.plants) == list(again.plants)
    assert evolve(once, plants=PLAN.plants) == evolve(again, plants=PLAN.plants)
    assert [18, 60, 4, 13, 30, 2] == list(PLAN.plants.counts)


@given(records())
@settings(max_examples=40)
def test_a_file_gives_the_same_as_the_events(events: list[Event]) -> None:
    """Writing and reading changes nothing, and reading twice counts once."""
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "spring.record.jsonl"
        append(path, events)
        append(path, events)
        read = read_record(path)

    assert (events, len(events), ()) == (list(read.events), read.repeated, read.problems)
    assert seen(replay(PLAN, events)) == seen(replay(PLAN, read.events))


@given(records())
def test_plants_balance(events: list[Event]) -> None:
    """What came to a stage and was found went on, was lost, or stands there; none is below 0."""
    for groups in replay(PLAN, events).groups.values():
        for of in groups:
            for stage in range(len(of.lots)):
                there = of.into[stage] + of.found[stage] - of.lost[stage] - of.out[stage]
                assert there == of.standing(stage)
                assert there >= 0
            for number, one in enumerate(of.moves, 1):
                # A divided ball gives up to `into` plants, never more.
                assert of.into[number] <= of.out[number - 1] * one.into


@given(records())
def test_containers_balance(events: list[Event]) -> None:
    """What was there, bought, emptied and found is what is there, or broke; none is below 0."""
    state = replay(PLAN, events)
    for box in state.boxes.values():
        came = box.planned + box.bought + box.emptied + box.freed + box.unknown
        assert box.on_hand == came - box.broken
        assert box.on_hand >= 0
        assert not (box.unknown and box.on_hand)


@given(records())
def test_litres_balance(events: list[Event]) -> None:
    """Mix: in is out and there. Ingredients: what was there and bought is used, short, or left."""
    goods = replay(PLAN, events).goods
    for name, book in goods.mixes.items():
        came = book.blended + book.bought + book.differs
        assert came == pytest.approx(book.used + book.inside + book.spilled + book.there, abs=1e-6)
        assert book.there >= -1e-6, name
    bark, before = goods.supplies[0], SUPPLIES[0]
    bought = sum((paid.packs for paid in goods.paid if paid.of == "bark"), Fraction(0))
    had = float(before.on_hand + bought) * 100
    used = goods.used_l["bark"] - goods.short.get("bark", 0.0)
    assert float(bark.on_hand) * 100 == pytest.approx(had - used, abs=1e-5)


@given(records())
def test_money_balances(events: list[Event]) -> None:
    """The sum of what was paid is the sum of the lines that hold."""
    replaced = {event.replaces for event in events}
    holding = [e for e in events if e.kind == "bought" and e.id not in replaced]
    paid = replay(PLAN, events).goods.paid

    assert sum(e.data["paid_cents"] or 0 for e in holding) == sum(p.cents or 0 for p in paid)


@given(records())
def test_what_is_left_of_a_plan_is_what_stands_there(events: list[Event]) -> None:
    """No plant is planned twice and none that is gone; a quota is never passed."""
    state = replay(PLAN, events)
    left = apply_record(PLAN, events)
    for name, groups in state.groups.items():
        parts = [one for one in left.plants if one.name == name]
        waiting = sum(g.standing(s) for g in groups for s in range(len(g.moves)))
        assert sum(one.count for one in parts) <= waiting
        for number, one in enumerate(groups[0].moves, 1):
            to_move = sum(
                n for part in parts for m, n in zip(part.kind.moves, part.counts, strict=True)
                if m.number == number
            )  # fmt: skip
            if one.count is not None:
                assert to_move <= max(one.count - groups[0].into[number], 0)
            elif number == 1:
                assert to_move == groups[0].standing(0) * one.into
    assert all(day.date not in state.worked for day in left.work.days)


@given(told(), st.text(max_size=30), st.none() | st.dates(date(1900, 1, 1), date(2200, 12, 31)))
def test_a_line_gives_back_its_event(what: Any, by: str, session: date | None) -> None:
    """Every event comes back from its line, whatever its text."""
    kind, data = what
    event = Event("id", FIRST, kind, data, by, session)

    assert event == decode(encode(event)[:-1])
    assert kind in KINDS
