"""A basket read back into the words of the plan: lines, fees, stock, mixes, what is left."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from rootroom.buying.formulation import Statement
from rootroom.buying.problem import SMALL, Basket, Problem
from rootroom.buying.shopping import PLAIN, Fee, Left, Line, Made, Part, StockUse
from rootroom.buying.solve import Bought

if TYPE_CHECKING:
    from rootroom.plan.entries import Supply
    from rootroom.plan.model import Plan


class Answer:
    """Reads a basket back into the words of the plan."""

    def __init__(
        self, plan: Plan, statement: Statement, bought: Bought, due: Mapping[str, date]
    ) -> None:
        self.plan = plan
        self.statement = statement
        self.bought = bought
        self.problem: Problem = bought.problem
        self.found = bought.basket is not None
        self.basket = bought.basket or _nothing(bought.problem)
        self.due = due
        self.used = self.basket.used(self.problem)
        self.likely: Mapping[int, float] = {}
        self.supplies = {supply.number: supply for supply in plan.supplies}

    def in_words(self) -> dict[str, Any]:
        """Return what a `Shopping` takes from the basket alone."""
        lines, stock = tuple(self.lines()), tuple(self.stock())
        taken = {line.supply for line in lines} | {use.supply for use in stock}
        return {
            "lines": lines,
            "fees": tuple(self.fees()),
            "stock": stock,
            "made": dict(self.made()),
            "left": tuple(self.left()),
            "unpriced": tuple(self.unpriced()),
            "trip_min": dict(self.trip_min()),
            "assumed": tuple(
                one for one in self.plan.supplies if one.assumed and one.number in taken
            ),
        }

    def first_day(self, index: int) -> date | None:
        """Return when a good is first needed; what goes into a mix, when the mix is."""
        good = self.problem.goods[index]
        if good.name in self.due:
            return self.due[good.name]
        days: list[date] = []
        if good.kind == "mix":
            # Nobody but this list knows that it is bought: it is needed when it would be blended.
            parts = self.plan.mixes[good.name].parts
            days += [self.due[part] for part in parts if part in self.due]
        else:
            for recipe in self.problem.recipes:
                inside = [part.good for part in recipe.parts] + [added for added, _ in recipe.adds]
                day = self.first_day(recipe.mix) if index in inside else None
                days += [] if day is None else [day]
            for bagged, mix in enumerate(self.problem.goods):
                inside = [added for added, _ in mix.adds]
                day = self.first_day(bagged) if index in inside else None
                days += [] if day is None else [day]
        return min(days, default=None)

    def lines(self) -> Iterable[Line]:
        """Yield the lines of the list, by supplier in the order of the file, then by supply."""
        rows = []
        for offer, packs in zip(self.problem.offers, self.basket.packs, strict=True):
            if packs:
                place = len(self.problem.sellers) if offer.seller is None else offer.seller
                rows.append((place, offer.supply, offer, packs))
        for _, number, offer, packs in sorted(rows, key=lambda row: row[:2]):
            supply, good = self.supplies[number], self.problem.goods[offer.good]
            each, small = offer.each_cents(packs), SMALL[good.unit]
            yield Line(
                supply=number,
                of=good.name,
                kind=good.kind,
                pack=_pack_text(supply),
                source=supply.supplier,
                packs=packs,
                each_cents=each,
                cost_cents=packs * each,
                unit=PLAIN[good.unit],
                contents=float(packs * offer.content) / small,
                need=float(max(self.used[offer.good] - good.stock, Fraction(0))) / small,
                by=self._order_by(supply, offer.good),
                labelled=_labelled_l(supply, packs),
                room_l=float(packs * offer.room_ml) / 1000,
                mass_kg=float(packs * offer.mass_mg) / 1e6,
            )

    def _order_by(self, supply: Supply, index: int) -> date | None:
        """Return the evening before the first session that uses the good, less the lead."""
        day = self.first_day(index)
        if day is None:
            return None
        seller = supply.supplier
        lead = 0 if seller is None else self.plan.suppliers[seller].lead_days
        return day - timedelta(days=1 + lead)

    def fees(self) -> Iterable[Fee]:
        """Yield what each supplier charges beside the goods."""
        for index, seller in enumerate(self.problem.sellers):
            trips = self.basket.trips[index]
            if trips and seller.trip_cents:
                yield Fee(seller.name, "trip", trips * seller.trip_cents, trips)
            if self.basket.delivered[index]:
                yield Fee(seller.name, "delivery", seller.delivery_cents or 0)
            tax = seller.tax_cents(self.basket.goods_cents(self.problem, index))
            if tax:
                yield Fee(seller.name, "tax", tax)

    def trip_min(self) -> Iterable[tuple[str, float]]:
        """Yield how long fetching from each supplier takes [min], where the plan says it."""
        for index, seller in enumerate(self.problem.sellers):
            fetched = any(
                packs and offer.seller == index
                for packs, offer in zip(self.basket.packs, self.problem.offers, strict=True)
            )
            each = self.plan.suppliers[seller.name].trip_min
            if fetched and each and not self.basket.delivered[index]:
                yield seller.name, each * max(self.basket.trips[index], 1)

    def stock(self) -> Iterable[StockUse]:
        """Yield what is used of own heaps and packs on hand, in the order of the file."""
        rest = dict(self.used) if self.found else {}
        for supply, index, amount in self.statement.stock:
            used = min(rest.get(index, Fraction(0)), Fraction(amount))
            if used <= 0:
                continue
            rest[index] -= used
            unit = self.problem.goods[index].unit
            packs = supply.on_hand * used / amount if supply.on_hand else None
            yield StockUse(
                supply.number,
                supply.of,
                _pack_text(supply),
                packs,
                PLAIN[unit],
                float(used) / SMALL[unit],
            )

    def made(self) -> Iterable[tuple[str, Made]]:
        """Yield how each mix is come by, in the order of the plan."""
        rows = {}
        recipes = {recipe.mix: number for number, recipe in enumerate(self.problem.recipes)}
        for index, good in enumerate(self.problem.goods):
            if good.kind != "mix" or not self.found:
                continue
            if index not in recipes:
                rows[good.name] = Made(0.0, float(self.used[index]) / 1000, ())
                continue
            number = recipes[index]
            recipe, volumes = self.problem.recipes[number], self.basket.parts[number]
            total = sum(volumes, Fraction(0))
            parts = tuple(
                Part(
                    of=self.problem.goods[part.good].name,
                    loose_l=float(volume) / 1000,
                    share=volume / total if total else planned,
                    planned_share=planned,
                )
                for part, planned, volume in zip(
                    recipe.parts, recipe.choices[0], volumes, strict=True
                )
            )
            blended, ready = self.basket.blended[number], self.basket.ready[number]
            rows[good.name] = Made(float(blended) / 1000, float(ready) / 1000, parts)
        return ((name, rows[name]) for name in self.plan.mixes if name in rows)

    def left(self) -> Iterable[Left]:
        """Yield what is left over of each good that is bought or on hand."""
        if not self.found:
            return
        for index, amount in self.basket.left(self.problem).items():
            good = self.problem.goods[index]
            there = good.stock + self.basket.bought(self.problem, index)
            if there:
                small = SMALL[good.unit]
                likely = self.likely[index] / small if index in self.likely else None
                yield Left(good.name, PLAIN[good.unit], float(amount) / small, likely)

    def unpriced(self) -> Iterable[Left]:
        """Yield the goods that no supply names, with the amount needed."""
        for index, good in enumerate(self.problem.goods):
            if not good.named and self.used[index] > 0:
                amount = float(self.used[index]) / SMALL[good.unit]
                yield Left(good.name, PLAIN[good.unit], amount)


def _labelled_l(supply: Supply, packs: int) -> float | None:
    litres = None if supply.pack is None else supply.pack.litres
    return None if litres is None else float(litres * packs)


def _pack_text(supply: Supply) -> str:
    return "own" if supply.pack is None else supply.pack.text


def _nothing(problem: Problem) -> Basket:
    zero = Fraction(0)
    return Basket(
        packs=(0,) * len(problem.offers),
        trips=(0,) * len(problem.sellers),
        delivered=(False,) * len(problem.sellers),
        blended=(zero,) * len(problem.recipes),
        ready=(zero,) * len(problem.recipes),
        parts=tuple((zero,) * len(recipe.parts) for recipe in problem.recipes),
    )
