"""Whether a basket keeps every rule of its problem, in exact numbers, told without the solver.

Written from the rules alone and sharing nothing with the model, so that one checks the other.
"""

from __future__ import annotations

from fractions import Fraction

from rootroom.buying.problem import Basket, Problem, Seller
from rootroom.optimize.linear_form import Number


def faults(problem: Problem, basket: Basket) -> list[str]:
    """Return in words every rule that the basket breaks; empty if it keeps them all."""
    return [
        *_packs(problem, basket),
        *_goods(problem, basket),
        *_mixes(problem, basket),
        *_sellers(problem, basket),
    ]


def _packs(problem: Problem, basket: Basket) -> list[str]:
    found = []
    for offer, packs in zip(problem.offers, basket.packs, strict=True):
        if packs < 0 or packs != int(packs):
            found.append(f"supply {offer.supply}: {packs} packs")
        if offer.at_most is not None and packs > offer.at_most:
            found.append(f"supply {offer.supply}: {packs} packs, at most {offer.at_most}")
    return found


def _goods(problem: Problem, basket: Basket) -> list[str]:
    """Add up what every good is used for, and compare it with what is there."""
    made = {recipe.mix: number for number, recipe in enumerate(problem.recipes)}
    found = []
    for index, good in enumerate(problem.goods):
        wanted = _wanted(problem, basket, index)
        if index in made:
            number = made[index]
            if basket.blended[number] + basket.ready[number] != wanted:
                found.append(f"{good.name}: blended and ready-made are not the {wanted} needed")
            wanted = basket.ready[number]
        there = good.stock + good.missing
        for offer, packs in zip(problem.offers, basket.packs, strict=True):
            there += packs * offer.content if offer.good == index else 0
        if good.named and max(wanted, good.floor) > there:
            wanted = max(wanted, Fraction(good.floor))
            found.append(f"{good.name}: {wanted} wanted, {there} there")
    return found


def _wanted(problem: Problem, basket: Basket, index: int) -> Fraction:
    """Return what a good is used for: by itself, in what is blended and in what is bought mixed."""
    wanted = Fraction(problem.goods[index].need)
    for number, recipe in enumerate(problem.recipes):
        for place, part in enumerate(recipe.parts):
            wanted += basket.parts[number][place] if part.good == index else 0
        for added, rate in recipe.adds:
            wanted += basket.blended[number] * rate if added == index else 0
    for bagged, mix in enumerate(problem.goods):
        for added, rate in mix.adds:
            wanted += _wanted(problem, basket, bagged) * rate if added == index else 0
    return wanted


def _mixes(problem: Problem, basket: Basket) -> list[str]:
    found = []
    for number, recipe in enumerate(problem.recipes):
        name = problem.goods[recipe.mix].name
        if basket.blended[number] < 0 or basket.ready[number] < 0:
            found.append(f"{name}: less than nothing is made")
        loose = basket.blended[number] * recipe.loose
        if sum(basket.parts[number]) != loose:
            found.append(f"{name}: parts do not sum to {loose}")
        volumes = [tuple(share * loose for share in shares) for shares in recipe.choices]
        if tuple(basket.parts[number]) not in volumes:
            found.append(f"{name}: {basket.parts[number]} is none of its recipes")
    return found


def _sellers(problem: Problem, basket: Basket) -> list[str]:
    found: list[str] = []
    for index, seller in enumerate(problem.sellers):
        bought = [
            (packs, offer)
            for packs, offer in zip(basket.packs, problem.offers, strict=True)
            if offer.seller == index and packs
        ]
        if bought:
            room = sum(packs * offer.room_ml for packs, offer in bought)
            loose = sum(packs * offer.loose_ml for packs, offer in bought)
            mass = sum(packs * offer.mass_mg for packs, offer in bought)
            trips, delivered = basket.trips[index], basket.delivered[index]
            way = _way(seller, trips, loose, delivered=delivered, room=room, mass=mass)
            found.extend(f"{seller.name}: {fault}" for fault in way)
    return found


def _way(
    seller: Seller, trips: int, loose: Number, *, delivered: bool, room: Number, mass: Number
) -> list[str]:
    """Return what is wrong with how one seller's goods come home."""
    if delivered:
        if seller.delivery_cents is None:
            return ["does not deliver"]
        return [f"{loose} ml is below the least delivery"] if loose < seller.least_ml else []
    if seller.delivery_cents is None and loose < seller.least_ml:
        return [f"{loose} ml is below the least order"]
    if seller.trip_cents is None:
        return [] if seller.delivery_cents is None else ["nothing fetches the goods"]
    if trips < 1:
        return ["nothing fetches the goods"]
    if seller.carries_ml is not None and room > trips * seller.carries_ml:
        return [f"{room} ml does not fit {trips} trips"]
    if seller.carries_mg is not None and mass > trips * seller.carries_mg:
        return [f"{mass} mg is too heavy for {trips} trips"]
    return []
