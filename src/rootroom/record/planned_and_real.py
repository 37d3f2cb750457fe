"""Planned against real: by session, by mix and by good; one season beside another.

What was planned is what the newest sheet said of a day before it was worked; what is real is what
the record tells. Nothing is guessed: a day whose hours were not noted has none.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction
from typing import Any

from attrs import frozen

from rootroom.plan.entries import Supply
from rootroom.plan.model import Plan
from rootroom.record.apply import State
from rootroom.record.events import Event, holding, works
from rootroom.record.mix_and_goods import MixBook, Paid
from rootroom.record.posted import PLANTS, session_rows, work_done


@frozen
class SessionReview:
    """One day: plants, mix blended [L] and person-minutes [min], as planned and as noted.

    Real figures are None where nobody noted them.
    """

    day: date
    planned_plants: int
    plants: int
    planned_l: float
    blended_l: float | None
    planned_min: float
    minutes: float | None


@frozen
class MixReview:
    """One mix [L]: planned for the season, planned for what was done, and what really went in."""

    mix: str
    planned_l: float
    planned_so_far_l: float
    blended_l: float
    bought_l: float
    used_l: float
    spilled_l: float
    left_l: float


@frozen
class GoodReview:
    """One good: packs and cents before tax, as planned on the first sheet and as paid."""

    of: str
    planned_packs: float
    packs: float
    planned_cents: int
    paid_cents: int
    not_noted: int


@frozen
class Saved:
    """What a litre of a mix costs own and ready-made [cents] at the prices known on a day.

    `day` is None for the prices of the plan; `share` is saved of the ready-made price.
    """

    day: date | None
    mix: str
    own_cents_per_l: float
    ready_cents_per_l: float

    @property
    def share(self) -> float:
        """Share saved, below 0 where own is dearer."""
        return 1 - self.own_cents_per_l / self.ready_cents_per_l


@frozen
class Cared:
    """Aftercare that was given: due on a day, done on another perhaps, to some plants in all."""

    due: date
    day: date
    do: str
    of: str | None
    plants: tuple[str, ...]
    count: int


@frozen
class SeasonTotals:
    """One season in a few figures, from its record alone; `plants` counts every move."""

    name: str
    first: date | None
    sessions: int
    plants: int
    lost: int
    blended_l: float
    minutes: float
    paid_cents: int


@frozen
class Review:
    """A season as planned and as it was."""

    sessions: tuple[SessionReview, ...]
    mixes: tuple[MixReview, ...]
    goods: tuple[GoodReview, ...]
    paid: tuple[Paid, ...]
    saved: tuple[Saved, ...]
    cared: tuple[Cared, ...] = ()


def review(plan: Plan, events: Iterable[Event], state: State) -> Review:
    """Return the review of a season; `plan` as it was written, `state` its events replayed."""
    told = holding(events)
    days: dict[date, list[Event]] = defaultdict(list)
    for event in told:
        days[event.day].append(event)
    sheets = [event for event in told if event.kind == "planned"]
    first = sheets[0].data if sheets else {}
    paid = tuple(state.goods.paid)
    return Review(
        sessions=tuple(
            _session(day, days[day], session_rows(sheets, day)) for day in sorted(state.worked)
        ),
        mixes=_mixes(first.get("sessions", ()), _planned_so_far(sheets, days, state), state),
        goods=_goods(first.get("goods", ()), paid),
        paid=paid,
        saved=tuple(_saved(plan, paid)),
        cared=tuple(_cared(told)),
    )


def _cared(told: Iterable[Event]) -> Iterator[Cared]:
    """Yield the aftercare that was given, what two phones ticked once."""
    given: dict[object, Cared] = {}
    for event in sorted(told, key=lambda one: one.day):
        if event.kind == "cared":
            data = event.data
            one = Cared(
                date.fromisoformat(data["due"]), event.day, data["do"], data.get("of"),
                tuple(data["plants"]), data["count"],
            )  # fmt: skip
            given.setdefault((one.due, one.do, one.of, one.plants), one)
    yield from sorted(given.values(), key=lambda one: (one.due, one.day, one.do, one.plants))


def totals(name: str, events: Iterable[Event]) -> SeasonTotals:
    """Return one season's figures, from its events alone."""
    told = holding(events)

    def total(kind: str, field: str) -> float:
        return sum(event.data[field] or 0 for event in told if event.kind == kind)

    worked = {event.day for event in told if works(event)}
    return SeasonTotals(
        name=name,
        first=min(worked, default=None),
        sessions=len(worked),
        plants=int(total("moved", "count")),
        lost=int(total("lost", "count")),
        blended_l=total("blended", "l"),
        minutes=total("worked", "minutes"),
        paid_cents=int(total("bought", "paid_cents")),
    )


def _session(
    day: date, events: Sequence[Event], rows: Sequence[Mapping[str, Any]]
) -> SessionReview:
    blended = [event.data["l"] for event in events if event.kind == "blended"]
    worked = [event.data["minutes"] for event in events if event.kind == "worked"]
    return SessionReview(
        day=day,
        planned_plants=sum(row["count"] for row in rows if row["kind"] in PLANTS),
        plants=sum(event.data["count"] for event in events if event.kind == "moved"),
        planned_l=sum(row.get("l", 0.0) for row in rows if row["kind"] == "blend"),
        blended_l=sum(blended) if blended else None,
        planned_min=sum(row.get("minutes", 0.0) for row in rows),
        minutes=sum(worked) if worked else None,
    )


def _planned_so_far(
    sheets: Sequence[Event], days: Mapping[date, Sequence[Event]], state: State
) -> Mapping[str, float]:
    """Return the litres [L] that were planned for the plants and beds that are done."""
    litres: dict[str, float] = defaultdict(float)
    for day in state.worked:
        made = work_done((event.kind, event.data) for event in days[day])
        for row in session_rows(sheets, day):
            in_bed = row["kind"] == "fill bed"
            whole = row["share"] if in_bed else row["count"]
            key = ("filled" if in_bed else "moved", row["name"], row["number"])
            if row.get("mix") and whole and key in made:
                litres[row["mix"]] += row["l"] * made[key] / whole
    return litres


def _mixes(
    rows: Sequence[Mapping[str, Any]], so_far: Mapping[str, float], state: State
) -> tuple[MixReview, ...]:
    planned: dict[str, float] = defaultdict(float)
    for row in rows:
        if row.get("mix"):
            planned[row["mix"]] += row.get("l", 0.0)
    books = {name: state.goods.mixes.get(name, MixBook()) for name in planned}
    books |= dict(state.goods.mixes)
    return tuple(
        MixReview(
            mix=name,
            planned_l=planned[name],
            planned_so_far_l=so_far.get(name, 0.0),
            blended_l=book.blended,
            bought_l=book.bought,
            used_l=book.used + book.inside,
            spilled_l=book.spilled,
            left_l=max(book.there, 0.0),
        )
        for name, book in books.items()
    )


def _goods(planned: Sequence[Mapping[str, Any]], paid: Sequence[Paid]) -> tuple[GoodReview, ...]:
    names = dict.fromkeys([row["of"] for row in planned] + [one.of for one in paid])
    found = []
    for name in names:
        rows = [row for row in planned if row["of"] == name]
        bought = [one for one in paid if one.of == name]
        found.append(
            GoodReview(
                name,
                sum(row["packs"] for row in rows),
                float(sum((one.packs for one in bought), Fraction(0))),
                sum(row["cents"] for row in rows),
                sum(one.cents or 0 for one in bought),
                sum(one.cents is None for one in bought),
            )
        )
    return tuple(found)


# Own mix beside ready-made, over time


def _saved(plan: Plan, paid: Sequence[Paid]) -> Iterable[Saved]:
    """Yield what own mix saves at the plan's prices, and after each day on which prices changed."""
    prices = {
        supply.number: float(supply.price_cents)
        for supply in plan.supplies
        if supply.price_cents is not None
    }
    last: dict[str, float] = {}
    days: dict[date | None, list[Paid]] = {None: []}
    for one in sorted(paid, key=lambda one: one.day):
        days.setdefault(one.day, []).append(one)
    for day, bought in days.items():
        for one in bought:
            if one.supply is not None and one.cents_each is not None:
                prices[one.supply] = one.cents_each
        for mix in plan.mixes:
            own, ready = _own(plan, mix, prices), _cheapest(plan, mix, "mix", prices)
            if own is None or not ready:
                continue
            if last.get(mix) != own / ready:
                last[mix] = own / ready
                yield Saved(day, mix, own, ready)


def _own(plan: Plan, name: str, prices: Mapping[int, float]) -> float | None:
    """Return what a litre of an own mix costs [cents]; None if a part has no price."""
    mix = plan.mixes[name]
    if not mix.parts:
        return None
    cents = 0.0
    for part, litres in mix.loose_parts(1.0).items():
        each = (
            _own(plan, part, prices)
            if part in plan.mixes
            else _cheapest(plan, part, "ingredient", prices)
        )
        if each is None:
            return None
        cents += litres * each
    for addition, rate in mix.add.items():
        for supply in plan.supplies:
            if supply.of == addition and supply.number in prices:
                cents += _addition(supply, rate.kg_per_l, rate.l_per_l, prices[supply.number])
                break
    return cents


def _addition(supply: Supply, kg_per_l: float | None, l_per_l: float | None, price: float) -> float:
    """Return what an addition to a litre costs [cents]; nothing where its pack tells no amount."""
    if kg_per_l and supply.mass_kg:
        return price * kg_per_l / supply.mass_kg
    if l_per_l and supply.loose_l:
        return price * l_per_l / supply.loose_l.likely
    return 0.0


def _cheapest(plan: Plan, of: str, kind: str, prices: Mapping[int, float]) -> float | None:
    """Return the least cents a loose litre of a good costs; an own heap alone costs nothing."""
    alike = [supply for supply in plan.supplies if supply.of == of and supply.of_kind == kind]
    each = [
        prices[supply.number] / supply.loose_l.likely
        for supply in alike
        if supply.number in prices and supply.loose_l is not None and supply.loose_l.likely
    ]
    if each:
        return min(each)
    return 0.0 if kind == "ingredient" and any(s.have_l or s.have_kg for s in alike) else None
