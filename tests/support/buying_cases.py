"""Random small buying problems, and what full enumeration says of them.

The enumeration shares no code with the model: it counts cents, trips and tax for itself, and says
in closed form, in exact numbers, how much of one mix can be blended from what a choice of packs
holds.
"""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator, Sequence
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from attrs import evolve

from rootroom.buying.problem import Good, Offer, Part, Problem, Recipe, Seller

MOST = 3


def goods_only(seed: int) -> Problem:
    """Return a problem of two or three goods without recipes, with every kind of seller.

    Some are bagged mix into which another of the goods is put.
    """
    chance = random.Random(seed)
    goods = [
        Good(f"good {i}", "ingredient", "ml", chance.randint(1, 90) * 500,
             stock=chance.choice([0, 0, chance.randint(1, 20_000)]))
        for i in range(chance.randint(2, 3))
    ]  # fmt: skip
    sellers = _sellers(chance)
    offers = _offers(chance, range(len(goods)), len(sellers), chance.randint(len(goods), 4))
    if chance.random() < 0.4:
        adds = ((1, Fraction(1, chance.choice([3, 8, 20]))),)
        goods[0] = evolve(goods[0], kind="mix", adds=adds)
    return Problem(tuple(goods), offers, sellers)


def one_mix(seed: int) -> Problem:
    """Return a problem of one mix, its parts, flex, hold, an addition and ready-made bags."""
    chance = random.Random(seed)
    count = chance.randint(2, 3)
    sizes = [chance.randint(1, 5) for _ in range(count)]
    flex = chance.choice([Fraction(0), Fraction(1, 10), Fraction(1, 4)])
    mix = Good("mix", "mix", "ml", chance.randint(10, 90) * 1000,
               stock=chance.choice([0, 0, chance.randint(1, 15_000)]))  # fmt: skip
    parts = [
        Good(f"part {i}", "ingredient", "ml", chance.choice([0, 0, 5000]),
             stock=chance.choice([0, chance.randint(1, 30_000)]))
        for i in range(count)
    ]  # fmt: skip
    lime = Good("lime", "addition", "mg", chance.choice([0, 20_000]))
    shares = [Fraction(size, sum(sizes)) for size in sizes]
    held = chance.randint(0, count)
    recipe = Recipe(
        mix=0,
        loose=chance.choice([Fraction(1), Fraction(9, 8), Fraction(1_176_471, 1_000_000)]),
        parts=tuple(Part(i + 1, share) for i, share in enumerate(shares)),
        choices=_bends(shares, flex, held),
        adds=((count + 1, Fraction(chance.choice([0, 3, 5]))),),
    )
    sellers = _sellers(chance)
    wanted = [*range(1, count + 1), 0]
    offers = [*_offers(chance, wanted, len(sellers), count + 1)]
    offers.append(Offer(len(offers) + 1, count + 1, 250_000, ((1, 700),), at_most=2))
    return Problem((mix, *parts, lime), tuple(offers), sellers, (recipe,))


def nursery(
    seed: int, *, packs: int = 40, ingredients: int = 12, sellers: int = 5, mixes: int = 6
) -> Problem:
    """Return a problem too large to enumerate: mixes that share parts, nest, bend and come ready.

    Shares, shrink and flex are fractions of small numbers, so that a second solver can take them
    in integers.
    """
    chance = random.Random(seed)
    goods = [Good(f"mix {i}", "mix", "ml", chance.randint(50, 900) * 1000) for i in range(mixes)]
    goods += [
        Good(f"part {i}", "ingredient", "ml", 0, stock=chance.choice([0, 0, 60_000]))
        for i in range(ingredients)
    ]
    goods.append(Good("lime", "addition", "mg", 0))
    # One part is bagged mix into which lime is put: as much as the recipes use of it.
    adds = ((mixes + ingredients, Fraction(3)),)
    goods[mixes] = evolve(goods[mixes], kind="mix", need=20_000, adds=adds)
    recipes = []
    for i in range(mixes):
        inside = chance.sample(range(mixes, mixes + ingredients), chance.randint(2, 4))
        if i + 1 < mixes and chance.random() < 0.3:
            inside[0] = chance.randint(i + 1, mixes - 1)
        sizes = [chance.randint(1, 5) for _ in inside]
        flex = chance.choice([Fraction(0), Fraction(1, 10), Fraction(1, 5)])
        shares = [Fraction(size, sum(sizes)) for size in sizes]
        parts = tuple(Part(good, share) for good, share in zip(inside, shares, strict=True))
        loose = chance.choice([Fraction(1), Fraction(9, 8), Fraction(6, 5)])
        lime = ((mixes + ingredients, Fraction(2)),)
        recipes.append(Recipe(i, loose, parts, _bends(shares, flex, None), lime))
    places = (
        {"trip_cents": 600}, {"trip_cents": 450, "carries_ml": 900_000},
        {"delivery_cents": 5500, "least_ml": 1_529_000}, {}, {"trip_cents": 900},
    )  # fmt: skip
    sold_by = tuple(
        Seller(f"seller {i}", tax=Fraction(chance.choice([0, 6, 7]), 100), **places[i % 5])  # type: ignore[arg-type]
        for i in range(sellers)
    )
    offers = [Offer(1, mixes + ingredients, 18_000_000, ((1, 700),), 0)]
    for number in range(2, packs + 1):
        good = (number - 2) % (mixes + ingredients)
        content = chance.choice([56_634, 28_317, 113_267, 65_000, 50_000, 382_277])
        price = content * chance.randint(14, 40) // 1000 * (2 if good < mixes else 1)
        steps = [(1, price)]
        if chance.random() < 0.3:
            steps.append((chance.randint(3, 6), price * 9 // 10))
        seller = chance.randrange(sellers)
        offers.append(Offer(number, good, content, tuple(steps), seller, None, content, 0, content))
    return Problem(tuple(goods), tuple(offers), sold_by, tuple(recipes))


def _bends(
    shares: Sequence[Fraction], flex: Fraction, held: int | None
) -> tuple[tuple[Fraction, ...], ...]:
    """Return the recipe and those with one part raised at the cost of another, within the flex."""
    choices = [tuple(shares)]
    for up, down in itertools.permutations(range(len(shares)), 2):
        if flex and up != held:
            moved = flex * min(shares[up], shares[down])
            bent = list(shares)
            bent[up] += moved
            bent[down] -= moved
            choices.append(tuple(bent))
    return tuple(choices)


def _sellers(chance: random.Random) -> tuple[Seller, ...]:
    kinds = (
        {"trip_cents": 600},
        {"trip_cents": 450, "carries_ml": 60_000},
        {"trip_cents": 450, "carries_ml": 60_000, "carries_mg": 9_000_000},
        {"delivery_cents": 2500, "least_ml": 40_000},
        {"trip_cents": 900, "delivery_cents": 1500, "least_ml": 30_000, "carries_ml": 50_000},
        {"least_ml": 30_000},
        {},
    )
    taxes = (Fraction(0), Fraction(7, 100), Fraction(71, 800), Fraction(1, 2))
    return tuple(
        Seller(
            f"seller {i}",
            tax=chance.choice(taxes),
            least_cents=100 if i % 3 == 2 else 1,
            **chance.choice(kinds),  # type: ignore[arg-type]
        )
        for i in range(chance.randint(1, 2))
    )


def _offers(
    chance: random.Random, goods: Sequence[int], sellers: int, count: int
) -> tuple[Offer, ...]:
    offers = []
    for i in range(count):
        good = goods[i] if i < len(goods) else chance.choice(list(goods))
        # Round contents at one price a litre make lists that cost alike, for the further aims.
        content = chance.choice([10_000, 10_000, 20_000, 30_000, chance.randint(5_000, 60_000)])
        price = chance.choice([content // 20, content // 20, 1000, chance.randint(200, 4000)])
        steps = [(1, price)]
        if chance.random() < 0.4:
            steps.append((chance.randint(2, 3), price * chance.choice([7, 8, 9]) // 10))
        seller = chance.choice([None, *range(sellers)])
        room = content // chance.choice([1, 2])
        most = chance.randint(1, MOST)
        offers.append(
            Offer(i + 1, good, content, tuple(steps), seller, most, room, content * 200, content)
        )
    return tuple(offers)


def best(problem: Problem) -> tuple[int, int, int, int] | None:
    """Return least cost [cents], then left over [ml, rounded up], then packs, then their places.

    Places are the sum of the places of all packs in the file; where parts may bend, the recipe
    comes before them and they are not comparable.
    """
    found = None
    for packs in _choices(problem):
        cost = _cost(problem, packs)
        if cost is None or (found is not None and cost > found[0]):
            continue
        left = _left(problem, packs)
        if left is None:
            continue
        places = sum(n * (place + 1) for place, n in enumerate(packs))
        answer = (cost, -int(-left // 1), sum(packs), places)
        if found is None or answer < found:
            found = answer
    return found


def least_missing(problem: Problem) -> tuple[int, int]:
    """Return the least missing [whole ml, each good rounded up], then the least cost [cents].

    For problems without recipes.
    """
    found = []
    for packs in _choices(problem):
        cost = _cost(problem, packs)
        if cost is not None:
            short = (-spare for spare in _spare(problem, _there(problem, packs)) if spare < 0)
            found.append((sum(int(-(-amount // 1)) for amount in short), cost))
    return min(found)


def _choices(problem: Problem) -> Iterator[tuple[int, ...]]:
    return itertools.product(*(range((offer.at_most or 0) + 1) for offer in problem.offers))


def _cost(problem: Problem, packs: Sequence[int]) -> int | None:
    """Return the cost of some packs by the best way to fetch them; None: no way."""
    total = 0
    for number in [None, *range(len(problem.sellers))]:
        chosen = [
            (n, o) for n, o in zip(packs, problem.offers, strict=True) if n and o.seller == number
        ]
        goods = 0
        for n, offer in chosen:
            price = max((step for step in offer.prices if step[0] <= n), key=lambda s: s[0])[1]
            goods += n * price
        total += goods
        if number is None or not chosen:
            continue
        seller = problem.sellers[number]
        tax = Decimal(goods) * seller.tax.numerator / seller.tax.denominator / seller.least_cents
        total += int(tax.quantize(Decimal(1), ROUND_HALF_UP)) * seller.least_cents
        way = _way(seller, chosen)
        if way is None:
            return None
        total += way
    return total


def _way(seller: Seller, chosen: Sequence[tuple[int, Offer]]) -> int | None:
    """Return what fetching some packs costs."""
    loose = sum(n * offer.loose_ml for n, offer in chosen)
    room = sum(n * offer.room_ml for n, offer in chosen)
    mass = sum(n * offer.mass_mg for n, offer in chosen)
    ways = []
    if seller.delivery_cents is not None and loose >= seller.least_ml:
        ways.append(seller.delivery_cents)
    if seller.delivery_cents is not None or loose >= seller.least_ml:
        if seller.trip_cents is not None:
            trips = 1 if seller.carries_ml is None else max(1, -(-room // seller.carries_ml))
            if seller.carries_mg is not None:
                trips = max(trips, -(-mass // seller.carries_mg))
            ways.append(int(trips) * seller.trip_cents)
        elif seller.delivery_cents is None:
            ways.append(0)
    return min(ways, default=None)


def _left(problem: Problem, packs: Sequence[int]) -> Fraction | None:
    """Return the least left over that some packs allow; None: they are not enough."""
    there = _there(problem, packs)
    spare = _spare(problem, there)
    mixes = {recipe.mix for recipe in problem.recipes}
    if any(value < 0 for i, value in enumerate(spare) if i not in mixes):
        return None
    litres = [i for i, good in enumerate(problem.goods) if good.unit == "ml"]
    if not problem.recipes:
        return sum((spare[i] for i in litres), Fraction(0))
    recipe = problem.recipes[0]
    need = Fraction(problem.goods[recipe.mix].need)
    most = min(need, max(_most_blended(recipe, shares, spare) for shares in recipe.choices))
    least = max(Fraction(0), need - there[recipe.mix])
    if most < least:
        return None
    # A litre blended takes `loose` litres and saves a litre of ready-made: blend the most.
    used = most * recipe.loose + (need - most)
    return sum((there[i] if i == recipe.mix else spare[i] for i in litres), Fraction(0)) - used


def _there(problem: Problem, packs: Sequence[int]) -> list[Fraction]:
    """Return what is there of each good, with some packs."""
    there = [Fraction(good.stock) for good in problem.goods]
    for n, offer in zip(packs, problem.offers, strict=True):
        there[offer.good] += n * offer.content
    return there


def _spare(problem: Problem, there: Sequence[Fraction]) -> list[Fraction]:
    """Return what is there beyond its own need, and what is put into bagged mix; below 0: short."""
    spare = [have - good.need for have, good in zip(there, problem.goods, strict=True)]
    for bagged in problem.goods:
        for good, rate in bagged.adds:
            spare[good] -= rate * bagged.need
    return spare


def _most_blended(
    recipe: Recipe, shares: Sequence[Fraction], spare: Sequence[Fraction]
) -> Fraction:
    """Return how much of a mix can be blended by one recipe from what is spare of its parts."""
    limits = [
        spare[part.good] / share for part, share in zip(recipe.parts, shares, strict=True) if share
    ]
    limits += [spare[good] / rate * recipe.loose for good, rate in recipe.adds if rate]
    return min(limits) / recipe.loose
