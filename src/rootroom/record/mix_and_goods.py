"""Mix, ingredients, additions and money after what was done.

Mix is followed day by day: blended and bought comes in, used, spilled and what goes into other
mixes goes out, and what was seen to be left at the end of a day corrects it.
Ingredients and additions are followed by what was blended: scoops that were noted, else the recipe.
All volumes are loose or finished litres [L] at likely values, masses kilograms [kg].
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction

from attrs import define, evolve, field, frozen

from rootroom.plan.entries import Bed, CareStep, Supply
from rootroom.plan.inner_mixes import added_per_l, laid_in_per_l
from rootroom.plan.model import Move, Plan
from rootroom.record.events import Event
from rootroom.record.plants import Group
from rootroom.tolerances import DUST_L, NINE_PLACES
from rootroom.units import Amount


@define
class MixBook:
    """Litres [L] of one mix: there = blended + bought - used - inside - spilled + differs.

    `inside` went into other mixes, `bought` came out of bags, `differs` is what a look at the heap
    corrected (below 0: less was there), `made` the last day of blending.
    """

    blended: float = 0.0
    bought: float = 0.0
    used: float = 0.0
    inside: float = 0.0
    spilled: float = 0.0
    differs: float = 0.0
    made: date | None = None

    @property
    def there(self) -> float:
        """Litres that wait to be used."""
        have = self.blended + self.bought - self.used - self.inside - self.spilled
        return have + self.differs


@frozen
class Paid:
    """One purchase: `packs` of a good for `cents` in all (None: not noted).

    `cents` are before tax; `charges_cents` are tax, and the trip or delivery that came with it.
    """

    day: date
    of: str
    packs: Fraction
    cents: int | None
    source: str | None
    supply: int | None
    charges_cents: int = 0

    @property
    def cents_each(self) -> float | None:
        """Cents a pack."""
        return None if self.cents is None or not self.packs else float(self.cents / self.packs)


@define
class Goods:
    """All goods: mixes by name, loose litres and kilograms used by good, purchases in order.

    `supplies` are the plan's with what is left of them, `short` what was used beyond what was there
    by good [L or kg], `boxes` the containers bought by text.
    """

    mixes: dict[str, MixBook] = field(factory=lambda: defaultdict(MixBook))
    used_l: dict[str, float] = field(factory=lambda: defaultdict(float))
    used_kg: dict[str, float] = field(factory=lambda: defaultdict(float))
    paid: list[Paid] = field(factory=list)
    supplies: tuple[Supply, ...] = ()
    short: dict[str, float] = field(factory=dict)
    boxes: dict[str, int] = field(factory=dict)
    odd: list[str] = field(factory=list)
    counted: _Counted | None = None


@frozen
class _Counted:
    """What was there when goods were last counted, and what had been used and bought by then."""

    supplies: tuple[Supply, ...]
    used_l: Mapping[str, float]
    used_kg: Mapping[str, float]
    purchases: int


def paid_cents(paid: Iterable[Paid]) -> int:
    """Return what some purchases cost in all [cents], with tax and fees."""
    return sum((one.cents or 0) + one.charges_cents for one in paid)


def count_goods(
    plan: Plan, events: Iterable[Event], groups: Mapping[str, Sequence[Group]]
) -> Goods:
    """Return what is left of all goods, and what was paid; `groups` are the plants by name."""
    goods = Goods()
    moves = {name: found[0].moves for name, found in groups.items()}
    days: dict[date, list[Event]] = defaultdict(list)
    for event in events:
        days[event.day].append(event)
    care = _care_by_day(groups, max(days, default=date.min))
    for today in sorted({*days, *care}):
        for count, step in care.get(today, ()):
            _give_amount(goods, step.of, step.amount, count)
        _work_off(plan, goods, moves, sorted(days.get(today, ()), key=_rank))
    goods.supplies = tuple(_left_of_supplies(plan, goods))
    return goods


def _care_by_day(
    groups: Mapping[str, Sequence[Group]], last: date
) -> Mapping[date, list[tuple[int, CareStep]]]:
    """Return the aftercare that was due before the last day, which is taken to have been given."""
    found = defaultdict(list)
    for made in (made for ones in groups.values() for one in ones for made in one.with_care):
        for day, step in made.due(made.day):
            if day < last:
                found[day].append((made.count, step))
    return found


def _give_amount(goods: Goods, of: str | None, amount: Amount | None, times: float) -> None:
    if of is not None and amount is not None:
        goods.used_kg[of] += (amount.kg or 0.0) * times
        goods.used_l[of] += (amount.l or 0.0) * times


def supply_of(plan: Plan, event: Event) -> Supply | None:
    """Return the supply that was bought: by its place if that still names the same good."""
    of, number, source = (event.data.get(key) for key in ("of", "supply", "from"))
    alike = [supply for supply in plan.supplies if supply.of == of]
    for supply in alike:
        if supply.number == number:
            return supply
    from_there = [supply for supply in alike if source and supply.supplier == source]
    return next(iter([*from_there, *alike]), None)


def _rank(event: Event) -> tuple[int, int, str, str]:
    """Within a day purchases and blending come first and looks at the heap last.

    What was noted orders the rest, since an id is drawn: two notes of one day teach the same.
    """
    order = {"bought": 0, "blended": 1, "left": 3, "in stock": 3}
    told = json.dumps(dict(event.data), sort_keys=True)
    return order.get(event.kind, 2), event.data.get("supply") or 0, event.kind + told, event.id


def _work_off(
    plan: Plan, goods: Goods, moves: Mapping[str, Sequence[Move]], events: list[Event]
) -> None:
    left: dict[str, float] = {}
    blended, told, worked = set(), set(), set()
    for event in events:
        data = event.data
        mix = data.get("mix")
        if event.kind == "bought":
            _buy(plan, goods, event)
        elif event.kind == "blended":
            _blend(plan, goods, event)
            blended.add(mix)
        elif event.kind == "used":
            goods.mixes[str(mix)].used += data["l"]
            told.add(mix)
        elif event.kind == "spilled":
            goods.mixes[str(mix)].spilled += data["l"]
        elif event.kind == "left":
            left[str(mix)] = max(left.get(str(mix), 0.0), data["l"])
            told.add(mix)
        elif event.kind == "moved":
            worked.add(_give(goods, moves, event))
        elif event.kind == "filled":
            worked.add(_fill(plan, goods, event))
    for name in sorted(m for m in blended & worked - told if m is not None):
        # Nobody told how much of it went into the pots, so all of it is taken to have gone.
        book = goods.mixes[name]
        book.used += max(book.there, 0.0)
    for name, book in sorted(goods.mixes.items()):
        if book.there < -DUST_L:
            book.bought += _open_bags(plan, goods, name, -book.there)
        if name in left:
            book.differs += left[name] - book.there
        elif book.there < 0:
            book.differs -= book.there
    _count_stock(plan, goods, [event for event in events if event.kind == "in stock"])


def _count_stock(plan: Plan, goods: Goods, events: Sequence[Event]) -> None:
    """Take what was counted for what is there from now on."""
    counted: dict[int, Supply] = {}
    for event in sorted(events, key=lambda one: (one.data["packs"] or 0, one.data["l"] or 0)):
        packs, litres = event.data["packs"], event.data["l"]
        supply = supply_of(plan, event)
        if supply is not None and packs is not None and supply.pack is not None:
            counted[supply.number] = evolve(supply, on_hand=_exact(packs))
        elif supply is not None and litres is not None and supply.have_l is not None:
            counted[supply.number] = evolve(supply, have_l=_exact(litres))
        else:
            goods.odd.append(f"{event.day}: the plan has no such supply of `{event.data['of']}`")
    if counted:
        there = tuple(
            one
            if one.number not in counted
            else evolve(one, on_hand=counted[one.number].on_hand, have_l=counted[one.number].have_l)
            for one in _left_of_supplies(plan, goods)
        )
        goods.counted = _Counted(there, dict(goods.used_l), dict(goods.used_kg), len(goods.paid))


def _open_bags(plan: Plan, goods: Goods, mix: str, litres: float) -> float:
    """Return how much of a mix that was used came out of bags: all of it if the plan sells any."""
    if not any(s.of == mix and s.of_kind == "mix" for s in plan.supplies):
        return 0.0
    goods.used_l[mix] += litres
    return litres


def _buy(plan: Plan, goods: Goods, event: Event) -> None:
    data = event.data
    supply = supply_of(plan, event)
    packs = _exact(data["packs"])
    source = data.get("from") or (supply.supplier if supply is not None else None)
    number = None if supply is None else supply.number
    charges = data.get("tax_cents", 0) + data.get("fee_cents", 0)
    cents = data["paid_cents"]
    goods.paid.append(Paid(event.day, data["of"], packs, cents, source, number, charges))
    if supply is None:
        goods.odd.append(f"{event.day}: the plan has no supply of `{data['of']}`")
    elif supply.of_kind == "container" and supply.pack is not None:
        pieces = int(packs * (supply.pack.pieces or 1))
        goods.boxes[supply.of] = goods.boxes.get(supply.of, 0) + pieces


def _blend(plan: Plan, goods: Goods, event: Event) -> None:
    name, litres = event.data["mix"], event.data["l"]
    book = goods.mixes[name]
    book.blended += litres
    book.made = event.day if book.made is None else max(book.made, event.day)
    mix = plan.mixes.get(name)
    if mix is None:
        goods.odd.append(f"{event.day}: the plan has no mix called `{name}`")
        return
    for part, loose in (event.data.get("loose_l") or mix.loose_parts(litres)).items():
        if part in plan.mixes:
            goods.mixes[part].inside += loose
        else:
            goods.used_l[part] += loose
    for addition, rate in mix.add.items():
        goods.used_kg[addition] += (rate.kg_per_l or 0.0) * litres
        goods.used_l[addition] += (rate.l_per_l or 0.0) * litres


def _give(goods: Goods, moves: Mapping[str, Sequence[Move]], event: Event) -> str | None:
    """Take what a move gives each pot; return the mix of the move."""
    number, count = event.data["move"], event.data["count"]
    known = moves.get(event.data["plant"], ())
    if number > len(known):
        return None
    move: Move = known[number - 1]
    for addition, amount in move.add.items():
        _give_amount(goods, addition, amount, move.pots(count))
    return move.mix


def _fill(plan: Plan, goods: Goods, event: Event) -> str | None:
    """Take what a bed's layer takes of an ingredient; return its mix, if it is one."""
    for bed in plan.beds:
        layer = layer_of(bed, event) if bed.name == event.data["bed"] else None
        if layer is not None:
            of = bed.layers[layer - 1].of
            if (mixed := of in plan.mixes) and not (bed.in_place and plan.mixes[of].is_blended):
                return of
            litres = bed.loose_l(layer, plan.mixes, plan.factors.spill.likely) * event.data["share"]
            for part, per_l in (laid_in_per_l(plan.mixes, of) if mixed else {of: 1.0}).items():
                goods.used_l[part] += per_l * litres
            for addition, rate in (added_per_l(plan.mixes, of) if mixed else {}).items():
                _give_amount(goods, addition, Amount(rate.kg_per_l, rate.l_per_l), litres)
    return None


def layer_of(bed: Bed, event: Event) -> int | None:
    """Return the layer of a bed that an event tells of, from 1 below."""
    number, of = event.data["layer"], event.data.get("of")
    if number <= len(bed.layers) and of in (None, bed.layers[number - 1].of):
        return int(number)
    alike = [n for n, layer in enumerate(bed.layers, 1) if layer.of == of]
    return alike[0] if len(alike) == 1 else None


def _left_of_supplies(plan: Plan, goods: Goods) -> Iterator[Supply]:
    """Yield the plan's supplies with what is left of own heaps and of packs, the first used first.

    Heaps are used before packs. What was used beyond all of them is noted as short.
    """
    since = goods.counted or _Counted(plan.supplies, {}, {}, 0)
    packs: dict[int, Fraction] = defaultdict(Fraction)
    for paid in goods.paid[since.purchases :]:
        if paid.supply is not None:
            packs[paid.supply] += paid.packs
    left_l = {of: used - since.used_l.get(of, 0.0) for of, used in goods.used_l.items()}
    left_kg = {of: used - since.used_kg.get(of, 0.0) for of, used in goods.used_kg.items()}
    found: dict[int, Supply] = {}
    for supply in sorted(since.supplies, key=lambda one: not _is_heap(one)):
        bought = packs[supply.number]
        if bought:
            most = None if supply.at_most is None else max(supply.at_most - int(bought), 0)
            # Containers that were bought stand in the plan's stock from now on.
            held = supply.on_hand + (0 if supply.of_kind == "container" else bought)
            supply = evolve(supply, on_hand=held, at_most=most)
        if supply.of_kind != "container":
            supply = _used_up(plan, supply, left_l, left_kg)
        found[supply.number] = supply
    for left in (left_l, left_kg):
        for name, amount in left.items():
            if amount > DUST_L:
                goods.short[name] = goods.short.get(name, 0.0) + amount
    for supply in plan.supplies:
        yield found[supply.number]


def _is_heap(supply: Supply) -> bool:
    return supply.have_l is not None or supply.have_kg is not None


def _used_up(
    plan: Plan, supply: Supply, left_l: dict[str, float], left_kg: dict[str, float]
) -> Supply:
    """Return a supply after as much of what was used as it holds was taken from it."""
    name = supply.of
    density = plan.density_kg_per_l(name)
    for left, in_kg in ((left_l, False), (left_kg, True)):
        wanted = left.get(name, 0.0)
        if wanted <= 0:
            continue
        supply, taken = _taken(supply, wanted, in_kg=in_kg, density=density)
        left[name] = wanted - taken
    return supply


def _taken(
    supply: Supply, wanted: float, *, in_kg: bool, density: float | None
) -> tuple[Supply, float]:
    """Return a supply less up to `wanted` litres or kilograms, and how much of that it had."""
    total = wanted
    for heap, heap_in_kg in (("have_l", False), ("have_kg", True)):
        held = getattr(supply, heap)
        each = _converted(1.0, in_kg=heap_in_kg, wanted_in_kg=in_kg, density=density)
        if held is None or each is None:
            continue
        part = min(float(held) * each, wanted)
        supply = evolve(supply, **{heap: max(held - _exact(part / each), Fraction(0))})
        wanted -= part
    each = _pack_content(supply, in_kg=in_kg, density=density)
    if supply.on_hand and each:
        part = min(float(supply.on_hand) * each, wanted)
        left = max(supply.on_hand - _exact(part / each), Fraction(0))
        supply = evolve(supply, on_hand=left)
        wanted -= part
    return supply, total - wanted


def _pack_content(supply: Supply, *, in_kg: bool, density: float | None) -> float | None:
    """Return what one pack comes to [L or kg] at its likely value; None if nobody can tell."""
    litres = None if supply.loose_l is None else supply.loose_l.likely
    own, other = (supply.mass_kg, litres) if in_kg else (litres, supply.mass_kg)
    if own is not None or other is None:
        return own
    return _converted(other, in_kg=not in_kg, wanted_in_kg=in_kg, density=density)


def _converted(
    amount: float, *, in_kg: bool, wanted_in_kg: bool, density: float | None
) -> float | None:
    if in_kg == wanted_in_kg:
        return amount
    if not density:
        return None
    return amount * density if wanted_in_kg else amount / density


def _exact(number: float) -> Fraction:
    """Return a fraction of a pack to nine places: a record's floats tell no more."""
    return Fraction(round(number * NINE_PLACES), NINE_PLACES)
