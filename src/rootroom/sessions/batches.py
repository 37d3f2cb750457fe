"""From millilitres blended on a day to whole units of the mix card, in batches for the vessel.

What is over from rounding up goes into the next session if the mix still keeps and the store has
room, and is shown as left over in any case.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from typing import TYPE_CHECKING

from attrs import evolve, field, frozen

from rootroom.counts import ceil_count
from rootroom.scheduling.problem import Answer
from rootroom.sessions.session import Batches
from rootroom.sessions.tasks import Work
from rootroom.tolerances import DUST_L, UNMEASURED
from rootroom.units import Amount

if TYPE_CHECKING:
    from rootroom.mixing.card import Blending, Card
    from rootroom.plan.model import Mix, Plan


@frozen
class MixDay:
    """The mix of one day: batches in the order of blending, and litres by mix.

    `stored_l` [L] is taken from what earlier sessions left, `ready_l` [L] comes out of bags, and
    `left_l` [L] is there when the session is over. `put_in` is what goes into mix out of bags that
    has no recipe, by mix and addition, for all of it.
    """

    batches: tuple[Batches, ...] = ()
    used_l: Mapping[str, float] = field(factory=dict)
    stored_l: Mapping[str, float] = field(factory=dict)
    ready_l: Mapping[str, float] = field(factory=dict)
    left_l: Mapping[str, float] = field(factory=dict)
    put_in: Mapping[str, Mapping[str, Amount]] = field(factory=dict)


def plan_batches(plan: Plan, work: Work, blending: Blending, answer: Answer) -> dict[int, MixDay]:
    """Return the mix of every day of an answer, by the day's position.

    While mix that is there already keeps, less is blended.
    """
    used = _used_ml(work, answer)
    made: dict[int, dict[int, int]] = defaultdict(dict)
    for blend in answer.blends:
        made[blend.day][blend.mix] = made[blend.day].get(blend.mix, 0) + blend.ml
    bags: dict[int, dict[int, int]] = defaultdict(dict)
    for one in answer.placed:
        mix = work.problem.tasks[one.task].mix
        for parts, by_task in ((made, work.there_ml), (bags, work.bags_ml)):
            if mix is not None and one.task in by_task:
                ml = one.count * by_task[one.task]
                parts[one.day][mix] = parts[one.day].get(mix, 0) + ml
    stock = _Stock(work, blending)
    for name, heap in plan.stored.items():
        if name in work.mixes and name not in work.ready and answer.session_days:
            first = work.problem.days[answer.session_days[0]].date
            made_on = first if heap.made is None else heap.made.toordinal()
            stock.over[work.mixes.index(name)] = (heap.litres, made_on)
            stock.there[work.mixes.index(name)] = made_on
    days = {
        day: stock.work_day(day, used.get(day, {}), made.get(day, {}), bags.get(day, {}))
        for day in answer.session_days
    }
    return {day: evolve(one, put_in=_put_in(plan.mixes, one.ready_l)) for day, one in days.items()}


def _put_in(mixes: Mapping[str, Mix], ready_l: Mapping[str, float]) -> dict[str, dict[str, Amount]]:
    """Return what goes into mix out of bags: only where there is no recipe that has it already."""
    return {
        name: {
            of: Amount(
                kg=None if rate.kg_per_l is None else rate.kg_per_l * litres,
                l=None if rate.l_per_l is None else rate.l_per_l * litres,
            )
            for of, rate in mixes[name].add.items()
        }
        for name, litres in ready_l.items()
        if mixes[name].bought and mixes[name].add
    }


class _Stock:
    """Mix that is there, planned and from rounding up, carried from session to session.

    Bags are opened on the day that they are used: unopened ones keep.
    """

    def __init__(self, work: Work, blending: Blending) -> None:
        self.work = work
        self.there: dict[int, int] = {}  # the date of mix that a record says is there
        self.cards = blending.cards
        # Mixes before those that they go into, so that what a rounded batch takes is known in time.
        self.outer_first = [
            work.mixes.index(name) for name in reversed(list(blending.cards)) if name in work.mixes
        ]
        self.planned: dict[int, int] = defaultdict(int)  # ml that waits, as in the problem
        self.over: dict[int, tuple[float, int]] = {}  # litres beyond that, and their date

    def work_day(
        self, day: int, used: Mapping[int, int], made: Mapping[int, int], bags: Mapping[int, int]
    ) -> MixDay:
        """Return the mix of a day, by mix what is used, made (or there) and opened as bags [ml]."""
        date = self.work.problem.days[day].date
        before = {
            mix: self.planned[mix] / 1000 + self._over(mix, date)
            for mix in {**self.planned, **self.over}
        }
        extra: dict[int, float] = defaultdict(float)
        batches: list[Batches] = []
        for mix in (m for m in self.outer_first if m in made and not self._ready(m)):
            need_l = made[mix] / 1000 + extra[mix]
            blended = self._blend(mix, need_l, made[mix] / 1000, date, extra)
            batches += [blended] if blended.batches else []
        for mix in set(used) | set(made):
            self.planned[mix] += made.get(mix, 0) + bags.get(mix, 0) - used.get(mix, 0)
        name = self.work.mixes
        uses = {name[m]: ml / 1000 for m, ml in sorted(used.items()) if ml}
        return MixDay(
            batches=tuple(reversed(batches)),
            used_l=uses,
            stored_l={
                name[m]: litres
                for m in sorted(before)
                if (litres := min(before[m], (used.get(m, 0) - bags.get(m, 0)) / 1000)) > UNMEASURED
                and not self._ready(m)
            },
            ready_l={
                name[m]: litres
                for m in sorted(used)
                if (litres := self._opened_l(m, used[m], bags, extra)) > UNMEASURED
            },
            left_l={
                name[m]: left for m in sorted(self.planned) if (left := self._left(m)) > UNMEASURED
            },
        )

    def _opened_l(
        self, mix: int, used_ml: int, bags: Mapping[int, int], extra: Mapping[int, float]
    ) -> float:
        """Return the litres of a mix that come out of bags, what whole batches round up too."""
        if not self._ready(mix):
            return bags.get(mix, 0) / 1000
        return max(used_ml / 1000 + extra.get(mix, 0.0), 0.0)

    def _ready(self, mix: int) -> bool:
        return self.work.mixes[mix] in self.work.ready

    def _left(self, mix: int) -> float:
        if self._ready(mix):
            return 0.0
        return self.planned[mix] / 1000 + self.over.get(mix, (0.0, 0))[0]

    def _over(self, mix: int, date: int) -> float:
        """Return the litres over that can still be used, forgetting those that cannot."""
        mixes = self.work.problem.mixes
        self.over = {
            one: (left, blended)
            for one, (left, blended) in self.over.items()
            if date - blended <= mixes[one].keep_days
        }
        litres, blended = self.over.get(mix, (0.0, date))
        waiting = sum(self.planned.values()) + 1000 * sum(left for left, _ in self.over.values())
        # What a record says is there is there, whatever room it takes.
        fits = waiting <= self.work.problem.store_ml or self.there.get(mix) == blended
        if not fits and blended != date:
            self.over.pop(mix, None)
            return 0.0
        return litres

    def _blend(
        self, mix: int, need_l: float, planned_l: float, date: int, extra: dict[int, float]
    ) -> Batches:
        """Blend whole units for a need, and count what they take of inner mixes.

        `planned_l` is what the schedule counts with, inner mixes included.
        """
        card = self.cards[self.work.mixes[mix]]
        over = self._over(mix, date)
        units = ceil_count(max(need_l - over, 0.0), card.unit_l)
        batches = batches_of(card, units)
        left = over + batches.litres - need_l
        # The oldest goes first, so what is left after blending is new, and else as old as it was.
        made_on = date if units or mix not in self.over else self.over[mix][1]
        self.over[mix] = (left, made_on) if left > DUST_L else (0.0, date)
        for hold in self.work.problem.mixes[mix].holds:
            inner = card.scoops.get(self.work.mixes[hold.mix], 0.0) * card.scoop_l * units
            extra[hold.mix] += inner - planned_l * hold.parts / hold.whole
        return batches


def batches_of(card: Card, units: int) -> Batches:
    """Return so many units of a card in equal batches, with everything that goes in."""
    each, last = card.batches(units)
    return Batches(
        mix=card.mix,
        litres=card.unit_l * units,
        units=units,
        units_each=each,
        units_last=last,
        batch_l=card.unit_l * each,
        scoop_l=card.scoop_l,
        card={part: scoops * each for part, scoops in card.scoops.items()},
        scoops={part: scoops * units for part, scoops in card.scoops.items()},
        ingredients_l={p.of: p.litres * units for p in card.parts if not p.is_mix},
        add_kg={a.of: a.kg * units for a in card.additions if a.kg is not None},
        add_l={
            a.of: a.litres * units for a in card.additions if a.kg is None and a.litres is not None
        },
        water_l=sum(water.likely_l for water in card.water) * units,
        soak_l={w.of: w.likely_l * units for w in card.water if w.how == "soak"},
        moisten_l={w.of: w.likely_l * units for w in card.water if w.how == "moisten"},
    )


def _used_ml(work: Work, answer: Answer) -> dict[int, dict[int, int]]:
    """Return the ml used by day and mix, what goes into other mixes too."""
    problem = work.problem
    used: dict[int, dict[int, int]] = defaultdict(lambda: defaultdict(int))
    for one in answer.placed:
        task = problem.tasks[one.task]
        if task.mix is not None:
            laid_out = work.there_ml.get(one.task, 0) + work.bags_ml.get(one.task, 0)
            used[one.day][task.mix] += one.count * (task.mix_ml + laid_out)
    for blend in answer.blends:
        for hold in problem.mixes[blend.mix].holds:
            used[blend.day][hold.mix] += -(-blend.ml * hold.parts // hold.whole)
    return {day: dict(mixes) for day, mixes in used.items()}
