"""The buying problem as rows for the solver, and the solver's answer as a basket.

Packs, trips, tax, the choice of a recipe and the two totals that aims stand on are whole; what is
blended and ready-made is real, and exact once solved. Big coefficients are never global: a pack's
own bound is used.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from attrs import frozen

from rootroom.buying.problem import Basket, Offer, Problem, Recipe, Seller
from rootroom.optimize.integer_program import Aim
from rootroom.optimize.linear_form import IntegerProblem, Number

Sum = dict[int, Number]


@frozen
class Model:
    """The rows, the aims in their order, and where in the answer everything stands.

    A part's volume is a sum of what is blended by each recipe.
    """

    rows: IntegerProblem
    aims: tuple[Aim, ...]
    finish: Aim
    packs: tuple[tuple[int, ...], ...]
    trips: tuple[int | None, ...]
    delivered: tuple[int | None, ...]
    blended: tuple[int, ...]
    ready: tuple[int, ...]
    parts: tuple[tuple[Mapping[int, Number], ...], ...]
    missing: Mapping[int, int]

    def basket(self, answer: Sequence[Number]) -> Basket:
        """Return the basket that an answer of the solver stands for."""

        def value(terms: Mapping[int, Number]) -> Fraction:
            return sum((Fraction(v) * answer[p] for p, v in terms.items()), Fraction(0))

        def count(place: int | None) -> int:
            return 0 if place is None else int(answer[place])

        return Basket(
            packs=tuple(sum(count(place) for place in places) for places in self.packs),
            trips=tuple(count(place) for place in self.trips),
            delivered=tuple(count(place) > 0 for place in self.delivered),
            blended=tuple(Fraction(answer[place]) for place in self.blended),
            ready=tuple(Fraction(answer[place]) for place in self.ready),
            parts=tuple(tuple(value(terms) for terms in parts) for parts in self.parts),
        )


def build(problem: Problem, *, elastic: bool = False) -> Model:
    """Return the model of a problem.

    `elastic`: every named good may be missing, and the first aim is that as little as possible is.
    """
    rows = IntegerProblem()
    most = _most_used(problem)
    blended, ready, parts, moved = _recipes(problem, rows, most)
    packs, cost = _packs(problem, rows, most)
    trips, delivered = _sellers(problem, rows, packs, cost)
    missing = _missing(problem, rows, most) if elastic else {}
    left, constant = _goods(problem, rows, (blended, ready, parts), packs, missing)
    over, bent = _totals(rows, left, constant, moved)
    every = [place for places in packs for place in places]
    order = {p: number + 1 for number, places in enumerate(packs) for p in places}
    aims: list[Aim] = [cost, over, dict.fromkeys(every, 1), bent, order]
    if elastic:
        aims.insert(0, _least_missing(problem, missing))
    return Model(
        rows=rows,
        aims=(aims[0], *(aim for aim in aims[1:] if aim)),
        finish={**dict.fromkeys(moved, 1000), **dict.fromkeys(ready, 1)},
        packs=tuple(packs),
        trips=tuple(trips),
        delivered=tuple(delivered),
        blended=tuple(blended),
        ready=tuple(ready),
        parts=tuple(tuple(volumes) for volumes in parts),
        missing=missing,
    )


def _missing(problem: Problem, rows: IntegerProblem, most: Sequence[int]) -> dict[int, int]:
    """Add what may be missing of each good that must come from stock or shops, by good."""
    mixed = {recipe.mix for recipe in problem.recipes}
    return {
        index: rows.variable(most[index])
        for index, good in enumerate(problem.goods)
        if good.named and index not in mixed
    }


def _least_missing(problem: Problem, missing: Mapping[int, int]) -> Aim:
    """Return the aim of missing least; a piece weighs as much as a litre or a gram."""
    return {
        place: 1000 if problem.goods[index].unit == "pieces" else 1
        for index, place in missing.items()
    }


def _most_used(problem: Problem) -> list[int]:
    """Return the most that could be used of each good, were every mix blended to the full.

    Or as much as must be there, where that is more.
    """
    most = [Fraction(good.need) for good in problem.goods]
    for recipe in problem.recipes:
        finished = most[recipe.mix]
        for part, shares in zip(recipe.parts, zip(*recipe.choices, strict=True), strict=True):
            most[part.good] += finished * recipe.loose * max(shares)
        for good, rate in recipe.adds:
            most[good] += finished * rate
    for index, mix in enumerate(problem.goods):
        for good, rate in mix.adds:
            most[good] += most[index] * rate
    floors = [Fraction(good.floor) for good in problem.goods]
    return [int(-(-max(pair) // 1)) for pair in zip(most, floors, strict=True)]


def _recipes(
    problem: Problem, rows: IntegerProblem, most: Sequence[int]
) -> tuple[list[int], list[int], list[list[Sum]], list[int]]:
    """Add what is blended, ready-made and moved; return places, and each part's volume as a sum."""
    blended: list[int] = []
    ready: list[int] = []
    parts: list[list[Sum]] = []
    moved: list[int] = []
    for recipe in problem.recipes:
        limit = most[recipe.mix]
        made = rows.variable(limit, whole=False)
        blended.append(made)
        ready.append(rows.variable(limit, whole=False))
        by_choice = _choose(rows, recipe, made, limit)
        parts.append(
            [
                {place: recipe.loose * shares[number] for place, shares in by_choice.items()}
                for number in range(len(recipe.parts))
            ]
        )
        plans = [part.share for part in recipe.parts]
        off = {
            place: recipe.loose * sum(abs(a - b) for a, b in zip(shares, plans, strict=True))
            for place, shares in by_choice.items()
        }
        if any(off.values()):
            place = rows.variable(None, whole=False)
            rows.row({place: 1, **{p: -value for p, value in off.items()}}, least=0)
            moved.append(place)
    return blended, ready, parts, moved


def _choose(
    rows: IntegerProblem, recipe: Recipe, made: int, limit: int
) -> dict[int, tuple[Fraction, ...]]:
    """Add what is blended by each recipe, of which one may; return its shares by place."""
    if len(recipe.choices) == 1:
        return {made: recipe.choices[0]}
    by_choice = {}
    chosen: Sum = {}
    for shares in recipe.choices:
        place, is_chosen = rows.variable(limit, whole=False), rows.variable(1)
        rows.row({place: 1, is_chosen: -limit}, most=0)
        chosen[is_chosen] = 1
        by_choice[place] = shares
    rows.row(chosen, most=1)
    rows.row({made: 1, **dict.fromkeys(by_choice, -1)}, least=0, most=0)
    return by_choice


def _packs(
    problem: Problem, rows: IntegerProblem, most: Sequence[int]
) -> tuple[list[tuple[int, ...]], dict[int, int]]:
    """Add packs of each offer, one variable a price step; return places and cost by place."""
    packs, cost = [], {}
    for offer in problem.offers:
        limit = _most_packs(problem, offer, most)
        steps = [step for step in offer.prices if step[0] <= max(limit, 1)]
        places = []
        chosen: Sum = {}
        for number, (least, cents) in enumerate(steps):
            last = steps[number + 1][0] - 1 if number + 1 < len(steps) else limit
            place = rows.variable(min(last, limit))
            if len(steps) > 1:
                step = rows.variable(1)
                chosen[step] = 1
                rows.row({place: 1, step: -min(last, limit)}, most=0)
                if least > 1:
                    rows.row({place: 1, step: -least}, least=0)
            places.append(place)
            cost[place] = cents
        if chosen:
            rows.row(chosen, most=1)
        packs.append(tuple(places))
    return packs, cost


def _most_packs(problem: Problem, offer: Offer, most: Sequence[int]) -> int:
    """Return how many packs could ever be worth having: the need, a price step or a least order."""
    wanted = max(most[offer.good] - problem.goods[offer.good].stock, 0)
    limit = -(-wanted // offer.content)
    if wanted:
        limit = max(limit, offer.prices[-1][0])
    if offer.seller is not None and offer.loose_ml:
        limit = max(limit, -(-problem.sellers[offer.seller].least_ml // offer.loose_ml))
    return limit if offer.at_most is None else min(limit, offer.at_most)


def _sellers(
    problem: Problem,
    rows: IntegerProblem,
    packs: Sequence[tuple[int, ...]],
    cost: dict[int, int],
) -> tuple[list[int | None], list[int | None]]:
    """Add trips, deliveries and tax of each seller to the rows and to the cost."""
    trips: list[int | None] = []
    delivered: list[int | None] = []
    for index, seller in enumerate(problem.sellers):
        mine = [i for i, offer in enumerate(problem.offers) if offer.seller == index]
        goods = {place: cost[place] for i in mine for place in packs[i]}
        _tax(rows, seller, goods, cost)
        loads = [(problem.offers[i], packs[i]) for i in mine]
        trip, delivery = _ways(rows, seller, loads)
        if trip is not None:
            cost[trip] = seller.trip_cents or 0
        if delivery is not None:
            cost[delivery] = seller.delivery_cents or 0
        trips.append(trip)
        delivered.append(delivery)
    return trips, delivered


def _tax(
    rows: IntegerProblem, seller: Seller, goods: Mapping[int, int], cost: dict[int, int]
) -> None:
    """Add the tax, rounded half up: the least whole t with 2q t >= 2p s - q + 1, for s at p/q.

    It counts in the smallest sums that can be paid, by which q is multiplied.
    """
    if not seller.tax or not goods:
        return
    over, under = seller.tax.numerator, seller.tax.denominator * seller.least_cents
    place = rows.variable()
    taxed: Sum = {p: -Fraction(over * cents, under) for p, cents in goods.items()}
    rows.row({place: 1, **taxed}, least=Fraction(1 - under, 2 * under))
    cost[place] = seller.least_cents


def _ways(
    rows: IntegerProblem, seller: Seller, loads: Sequence[tuple[Offer, tuple[int, ...]]]
) -> tuple[int | None, int | None]:
    """Add how the goods come home; return the places of the trips and of the delivery."""
    limits = [sum(rows.upper[place] or 0 for place in places) for _, places in loads]
    load = [(seller.carries_ml, [offer.room_ml for offer, _ in loads])]
    load += [(seller.carries_mg, [offer.mass_mg for offer, _ in loads])]
    most = [(carries, each) for carries, each in load if carries is not None]
    sums = [sum((one * n for one, n in zip(each, limits, strict=True)), 0) for _, each in most]
    trip = delivery = order = None
    if seller.trip_cents is not None:
        needed = (-(-all_of // carries) for (carries, _), all_of in zip(most, sums, strict=True))
        trip = rows.variable(max([1, *map(int, needed)]))
    if seller.delivery_cents is not None:
        delivery = rows.variable(1)
    elif seller.least_ml:
        order = rows.variable(1)
    opens = [place for place in (trip, delivery) if place is not None]
    for (_, places), limit in zip(loads, limits, strict=True):
        ones: Sum = dict.fromkeys(places, 1)
        if opens:
            rows.row({**ones, **dict.fromkeys(opens, -limit)}, most=0)
        if order is not None:
            rows.row({**ones, order: -limit}, most=0)
    for (carries, each), all_of in zip(most, sums, strict=True):
        if trip is None:
            break
        sent: Sum = {place: one for one, (_, at) in zip(each, loads, strict=True) for place in at}
        sent[trip] = -carries
        if delivery is not None:
            sent[delivery] = -all_of
        rows.row(sent, most=0)
    bound = delivery if delivery is not None else order
    if bound is not None and seller.least_ml:
        loose: Sum = {place: o.loose_ml for o, places in loads for place in places}
        rows.row({**loose, bound: -seller.least_ml}, least=0)
    return trip, delivery


def _goods(
    problem: Problem,
    rows: IntegerProblem,
    mixes: tuple[Sequence[int], Sequence[int], Sequence[Sequence[Sum]]],
    packs: Sequence[tuple[int, ...]],
    missing: Mapping[int, int],
) -> tuple[Sum, Number]:
    """Demand enough of every good; return what is left over by volume as a sum and a constant."""
    used, needs = _used(problem, *mixes)
    made = {recipe.mix: number for number, recipe in enumerate(problem.recipes)}
    left: Sum = {}
    constant: Number = 0
    for index, good in enumerate(problem.goods):
        taken, need = used[index], needs[index]
        if index in made:
            blended, ready = mixes[0][made[index]], mixes[1][made[index]]
            rows.row(_less({blended: 1, ready: 1}, taken), least=need, most=need)
            taken, need = {ready: 1}, 0
        if not good.named:
            continue
        there: Sum = {}
        for offer, places in zip(problem.offers, packs, strict=True):
            if offer.good == index:
                there.update(dict.fromkeys(places, offer.content))
        spare = good.stock + good.missing - need
        over = _less(there, taken)
        if index in missing:
            over[missing[index]] = 1
        if good.unit == "ml":
            _add(left, over)
            constant += spare
        if over or spare < 0:
            rows.row(over, least=-spare)
        if good.floor > good.stock + good.missing:
            brought = dict(there)
            if index in missing:
                brought[missing[index]] = 1
            rows.row(brought, least=good.floor - good.stock - good.missing)
    return left, constant


def _used(
    problem: Problem,
    blended: Sequence[int],
    ready: Sequence[int],
    parts: Sequence[Sequence[Sum]],
) -> tuple[list[Sum], list[Number]]:
    """Return what is used of each good: as sums by mixes, of other mixes too, and what is fixed."""
    used: list[Sum] = [{} for _ in problem.goods]
    needs = [good.need for good in problem.goods]
    for recipe, made, volumes in zip(problem.recipes, blended, parts, strict=True):
        for part, terms in zip(recipe.parts, volumes, strict=True):
            _add(used[part.good], terms)
        for good, rate in recipe.adds:
            _add(used[good], {made: rate})
    for index, mix in enumerate(problem.goods):
        for good, rate in mix.adds:
            _add(used[good], {place: rate * value for place, value in used[index].items()})
            needs[good] += rate * needs[index]
    return used, needs


def _totals(
    rows: IntegerProblem, left: Sum, constant: Number, moved: Sequence[int]
) -> tuple[Aim, Aim]:
    """Add whole millilitres left over and moved, so that an aim on them can be proved."""
    over: Aim = {}
    if left:
        place = rows.variable()
        rows.row(_less({place: 1}, left), least=constant)
        over = {place: 1}
    if not moved:
        return over, {}
    place = rows.variable()
    rows.row({place: 1, **dict.fromkeys(moved, -1)}, least=0)
    return over, {place: 1}


def _add(total: Sum, terms: Mapping[int, Number]) -> None:
    for place, value in terms.items():
        total[place] = total.get(place, 0) + value


def _less(first: Mapping[int, Number], second: Mapping[int, Number]) -> Sum:
    total = dict(first)
    _add(total, {place: -value for place, value in second.items()})
    return total
