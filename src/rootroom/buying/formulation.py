"""From a plan and its needs to the buying problem in exact numbers.

Needs are rounded up and contents down here and nowhere else, in steps of a thousand-millionth of a
millilitre or milligram. In steps of a whole one, 27 bags of a cubic foot would fall 23 ml short of
a cubic yard, and a bag too many would be bought; in these steps every US unit is exact.
Floats count to thirteen digits; what stands behind is noise of the sums that they came from.

What a pack comes to when it swells, or is soaked, is doubtful like the needs themselves, so it is
read at the same level from the other end: needs at their 90th percentile are met by bales counted
at their 10th. A known figure stays what it is.

A good that is sold by mass alone takes one litre a kilogram on the way home (common practice, no
source); containers nest and take no room.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import TYPE_CHECKING

from attrs import evolve, frozen

from rootroom.buying.problem import (
    Good,
    Offer,
    Part,
    Problem,
    Recipe,
    Seller,
    Unit,
    content_at,
    rounded_down,
    rounded_up,
)
from rootroom.counts import payable
from rootroom.mixing.blend import unit_of
from rootroom.mixing.scoops import ERROR_SHARE, MOST_EXACT, bent_copies, most_half_scoops
from rootroom.optimize.linear_form import Number
from rootroom.plan.entries import least_cents

if TYPE_CHECKING:
    from rootroom.demand.estimates import Needs
    from rootroom.plan.entries import Supplier, Supply
    from rootroom.plan.model import Mix, Plan
    from rootroom.units import Amount

MOST_RECIPES = 150
"""Recipes that a mix is tried with: the smallest come first, and more would cost more than gain."""


@frozen
class Statement:
    """A problem, and the supplies that its stock lies in: (supply, good, amount) by the file.

    `level` is the percentile that needs were read at. `shown` are offers of ready-made mix that the
    plan never buys, for comparison.
    """

    problem: Problem
    stock: tuple[tuple[Supply, int, Number], ...]
    level: float
    shown: tuple[Offer, ...] = ()


def state(
    plan: Plan,
    needs: Needs,
    *,
    containers: Mapping[str, int],
    prices_up: Fraction = Fraction(0),
    without: frozenset[str] = frozenset(),
    brought: Mapping[str, Amount] | None = None,
) -> Statement:
    """Return the problem of buying what is needed; `prices_up` raises every price and fee.

    `brought` is what the sessions bring of each ingredient, addition and bagged mix.
    """
    return _Statement(plan, needs, containers, prices_up, without, brought or {}).make()


class _Statement:
    """Builds a problem good by good."""

    def __init__(
        self,
        plan: Plan,
        needs: Needs,
        containers: Mapping[str, int],
        prices_up: Fraction,
        without: frozenset[str],
        brought: Mapping[str, Amount],
    ) -> None:
        self.plan = plan
        self.brought = brought
        self.needs = needs
        self.containers = containers
        self.prices_up = prices_up
        self.least_cents = least_cents(plan.garden.currency)
        self.without = without
        self.named = {(s.of, s.of_kind == "container") for s in plan.supplies}
        self.goods: list[Good] = []
        self.place: dict[tuple[str, bool], int] = {}

    def make(self) -> Statement:
        """Return the whole statement."""
        mixes = self._mixes()
        blended = [mix for mix in mixes if self._blends(mix)]
        bagged = [mix for mix in mixes if mix.bought]
        for mix in mixes:
            need = rounded_up(self.needs.mixes_l.get(mix.name, 0.0), "ml")
            named = self._is_named(mix.name) or self._blends(mix)
            self._good(mix.name, Good(mix.name, "mix", "ml", need, named=named))
        self._loose(blended)
        self._additions([*blended, *bagged])
        self._put_in(bagged)
        for text, count in self.containers.items():
            if count > 0:
                named = (text, True) in self.named
                good = Good(text, "container", "pieces", count, named=named)
                self._good(text, good, container=True)
        recipes = tuple(self._recipe(mix) for mix in blended)
        stock = tuple(self._stock())
        sellers = {name: i for i, name in enumerate(self._sellers())}
        problem = Problem(
            goods=tuple(self._with_floor(good) for good in self._with_stock(stock)),
            offers=tuple(self._offers(sellers, self._wanted())),
            sellers=tuple(self._seller(self.plan.suppliers[name]) for name in sellers),
            recipes=recipes,
        )
        shown = tuple(self._offers(sellers, self._wanted(own_only=True)))
        return Statement(problem, stock, self.needs.level, shown)

    def _is_named(self, name: str) -> bool:
        return (name, False) in self.named

    def _good(self, name: str, good: Good, *, container: bool = False) -> None:
        self.place[name, container] = len(self.goods)
        self.goods.append(good)

    @staticmethod
    def _blends(mix: Mix) -> bool:
        return not mix.bought and mix.only != "ready"

    def _mixes(self) -> list[Mix]:
        """Return the mixes that are needed, each before those that it holds."""
        from rootroom.demand.recipes import Recipes

        wanted = {name for name, litres in self.needs.mixes_l.items() if litres > 0}
        found = []
        for name in Recipes.of(self.plan.mixes).order:
            if name not in wanted:
                continue
            mix = self.plan.mixes[name]
            found.append(mix)
            if self._blends(mix):
                wanted.update(part for part, share in mix.parts.items() if share > 0)
        return found

    def _loose(self, blended: Iterable[Mix]) -> None:
        """Add the ingredients, in the order in which mixes and beds name them."""
        parts = [p for mix in blended for p, share in mix.parts.items() if share > 0]
        direct = [name for name, litres in self.needs.ingredients_l.items() if litres > 0]
        for name in dict.fromkeys([*parts, *direct]):
            if (name, False) not in self.place:
                need = rounded_up(self.needs.ingredients_l.get(name, 0.0), "ml")
                good = Good(name, "ingredient", "ml", need, named=self._is_named(name))
                self._good(name, good)

    def _additions(self, mixes: Iterable[Mix]) -> None:
        """Add what is given by the pot or at a rate; one that is a part too counts with it.

        `mixes` take additions at a rate: those that are blended, and those without a recipe, whose
        additions are put into what comes out of bags. One with a recipe that is bought comes with
        its own.
        """
        needs = self.needs
        rates = [name for mix in mixes for name in mix.add]
        for name in dict.fromkeys([*rates, *needs.additions_kg, *needs.additions_l]):
            direct = {
                "kg": needs.additions_kg.get(name, 0.0),
                "l": needs.additions_l.get(name, 0.0),
            }
            if (name, False) not in self.place:
                good = Good(name, "addition", self._unit(name, mixes), 0)
                self._good(name, good)
            index = self.place[name, False]
            good = self.goods[index]
            amount = sum(direct[u] * self._factor(name, u, good.unit) for u in direct if direct[u])
            self.goods[index] = Good(
                name, good.kind, good.unit, good.need + rounded_up(amount, good.unit),
                named=self._is_named(name),
            )  # fmt: skip

    def _unit(self, name: str, mixes: Iterable[Mix]) -> Unit:
        """Return what an addition is counted in: by mass if anything about it is by mass."""
        rates = [mix.add[name] for mix in mixes if name in mix.add]
        by_mass = name in self.needs.additions_kg or any(r.kg_per_l is not None for r in rates)
        sold = [s for s in self.plan.supplies if s.of == name and s.of_kind != "container"]
        light = any(s.mass_kg is not None or s.have_kg is not None for s in sold)
        return "mg" if by_mass or (light and self.plan.density_kg_per_l(name) is not None) else "ml"

    def _factor(self, name: str, given: str, unit: Unit) -> float:
        """Return base units of `unit` (litres or kilograms) for each kilogram or litre given."""
        if (given == "kg") == (unit == "mg"):
            return 1.0
        density = self.plan.density_kg_per_l(name)
        if density is None:
            raise ValueError(f"{name!r} is given by mass and by volume, and its density is unknown")
        return density if given == "l" else 1 / density

    def _recipe(self, mix: Mix) -> Recipe:
        """Return a mix with the recipes in half scoops that `flex` and `hold` allow.

        The plan's own comes first, as near as the card has it.
        """
        sizes = {name: Fraction(size) for name, size in mix.parts.items() if size > 0}
        total = sum(sizes.values(), Fraction(0))
        parts = tuple(Part(self.place[name, False], size / total) for name, size in sizes.items())
        choices = [unit_of(self.plan.work, mix)[0].halves]
        if mix.flex and len(parts) > 1:
            choices += self._bent(mix, parts)
        shares = dict.fromkeys(
            tuple(Fraction(n, sum(halves)) for n in halves) for halves in choices
        )
        loose = Fraction(rounded_up(self.needs.loose_per_l[mix.name], "ml")) / 1000
        return Recipe(self.place[mix.name, False], loose, parts, tuple(shares), self._adds(mix))

    def _bent(self, mix: Mix, parts: tuple[Part, ...]) -> list[tuple[int, ...]]:
        """Return the recipes within the flex of a mix that are quick to measure.

        A part that no supply names stays at its share, but for what half scoops ask, or a bent
        recipe would turn to what seems to cost nothing.
        """
        bounds = []
        for name, part in zip((n for n, size in mix.parts.items() if size > 0), parts, strict=True):
            flex = float(mix.flex) if self.goods[part.good].named else ERROR_SHARE
            share = float(part.share)
            most = share if name in mix.hold else share * (1 + flex)
            bounds.append((share * (1 - flex), most))
        loose = mix.loose_per_l(mix.shrink.likely)
        most_halves = most_half_scoops(self.plan.work.vessel_l, self.plan.work.scoop_l, loose)
        return bent_copies(bounds, min(most_halves, MOST_EXACT), limit=MOST_RECIPES)

    def _put_in(self, bagged: Iterable[Mix]) -> None:
        """Note on every mix without a recipe what is put into it."""
        for mix in bagged:
            index = self.place[mix.name, False]
            self.goods[index] = evolve(self.goods[index], adds=self._adds(mix))

    def _adds(self, mix: Mix) -> tuple[tuple[int, Fraction], ...]:
        """Return how much of each addition goes into a millilitre of a mix."""
        adds = []
        for name, rate in mix.add.items():
            good = self.place[name, False]
            unit = self.goods[good].unit
            given = "kg" if rate.kg_per_l is not None else "l"
            a_litre = (rate.kg_per_l or rate.l_per_l or 0.0) * self._factor(name, given, unit)
            adds.append((good, Fraction(rounded_up(a_litre, unit)) / 1000))
        return tuple(adds)

    def _own_only(self, supply: Supply) -> bool:
        return supply.of_kind == "mix" and self.plan.mixes[supply.of].only == "own"

    def _wanted(self, *, own_only: bool = False) -> Iterable[tuple[Supply, int]]:
        """Yield the supplies of goods that are needed, with the good's place.

        `own_only`: those that the plan forbids, ready-made mix that is only ever blended.
        """
        for supply in self.plan.supplies:
            index = self.place.get((supply.of, supply.of_kind == "container"))
            if index is not None and self._own_only(supply) == own_only:
                yield supply, index

    def _amount(self, supply: Supply, unit: Unit, level: float) -> float | None:
        """Return what one pack comes to, or None if that cannot be told in this unit."""
        if unit == "pieces":
            return None if supply.pack is None else supply.pack.pieces
        loose = None if supply.loose_l is None else content_at(supply.loose_l, level)
        own, other = (supply.mass_kg, loose) if unit == "mg" else (loose, supply.mass_kg)
        if own is not None:
            return own
        density = self.plan.density_kg_per_l(supply.of)
        if other is None or density is None:
            return None
        return other * density if unit == "mg" else other / density

    def _stock(self) -> Iterable[tuple[Supply, int, Number]]:
        """Yield what lies in own heaps and in packs on hand.

        Containers on hand were taken off before: only those still to be bought come here.
        """
        for supply, index in self._wanted():
            unit = self.goods[index].unit
            if unit == "pieces":
                continue
            each = self._amount(supply, unit, self.needs.level) if supply.on_hand else None
            amount = float(supply.on_hand) * (each or 0.0)
            for size, given in ((supply.have_kg, "kg"), (supply.have_l, "l")):
                if size is not None:
                    amount += float(size) * self._factor(supply.of, given, unit)
            if amount > 0:
                yield supply, index, rounded_down(amount, unit)

    def _with_floor(self, good: Good) -> Good:
        """Return a good of which at least what the sessions bring must be there."""
        amount = self.brought.get(good.name)
        if amount is None or good.kind == "container":
            return good
        floor: Number = 0
        for size, given in ((amount.kg, "kg"), (amount.l, "l")):
            if size:
                floor += rounded_up(size * self._factor(good.name, given, good.unit), good.unit)
        return evolve(good, floor=floor)

    def _with_stock(self, stock: Iterable[tuple[Supply, int, Number]]) -> tuple[Good, ...]:
        there: dict[int, Number] = dict.fromkeys(range(len(self.goods)), 0)
        for _, index, amount in stock:
            there[index] += amount
        return tuple(evolve(good, stock=there[i]) for i, good in enumerate(self.goods))

    def _offers(
        self, sellers: Mapping[str, int], wanted: Iterable[tuple[Supply, int]]
    ) -> Iterable[Offer]:
        for supply, index in wanted:
            unit = self.goods[index].unit
            content = self._amount(supply, unit, self.needs.level)
            if supply.price_cents is None or content is None or supply.supplier in self.without:
                continue
            size = rounded_down(content, unit)
            if size <= 0:
                continue
            steps = [(1, supply.price_cents), *((b.packs, b.price_cents) for b in supply.more)]
            prices = tuple((n, self._raised(cents)) for n, cents in sorted(steps))
            seller = None if supply.supplier is None else sellers.get(supply.supplier)
            yield Offer(
                supply=supply.number,
                good=index,
                content=size,
                prices=prices,
                seller=seller,
                at_most=supply.at_most,
                room_ml=_room_ml(supply),
                mass_mg=rounded_up(self._mass_kg(supply), "mg"),
                # A least order is settled by what the pack is sold as, not by what it surely holds.
                loose_ml=0 if supply.loose_l is None else rounded_down(supply.loose_l.likely, "ml"),
            )

    def _mass_kg(self, supply: Supply) -> float:
        """Return what a pack weighs, as far as that is known [kg]; containers count nothing."""
        if supply.mass_kg is not None or supply.loose_l is None:
            return supply.mass_kg or 0.0
        return self.plan.loose_kg(supply.of, supply.loose_l.likely)

    def _sellers(self) -> list[str]:
        """Return the suppliers that sell anything needed, in the order of the file."""
        used = {supply.supplier for supply, _ in self._wanted()}
        return [name for name in self.plan.suppliers if name in used and name not in self.without]

    def _raised(self, cents: int) -> int:
        """Return a price raised as asked, rounded half up to a sum that can be paid."""
        return payable(cents * (1 + self.prices_up), self.least_cents)

    def _seller(self, supplier: Supplier) -> Seller:
        trip, delivery = supplier.trip_cents, supplier.delivery_cents
        free = trip == 0 or (trip is None and delivery is None)
        least = 0 if supplier.least_l is None else rounded_up(float(supplier.least_l), "ml")
        if delivery is not None and free:
            delivery, least = None, 0
        carries, most_kg = supplier.carries_l, supplier.carries_kg
        return Seller(
            name=supplier.name,
            trip_cents=None if free or trip is None else self._raised(trip),
            delivery_cents=None if delivery is None else self._raised(delivery),
            tax=supplier.tax_share,
            least_cents=supplier.least_cents,
            least_ml=least,
            carries_ml=None if carries is None else rounded_down(float(carries), "ml"),
            carries_mg=None if most_kg is None else rounded_down(float(most_kg), "mg"),
        )


def _room_ml(supply: Supply) -> Number:
    """Return what a pack takes on the way home, as packed."""
    pack = supply.pack
    if pack is None or pack.pieces is not None:
        return 0
    if pack.litres is not None:
        return rounded_up(float(pack.litres), "ml")
    return rounded_up(float(pack.kilograms or 0), "ml")
