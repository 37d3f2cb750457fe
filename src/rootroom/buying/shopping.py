"""What the buying stage answers: the shopping list, what it leaves over and what it saves.

Money is whole cents, except a cost per litre, which is an exact fraction of a cent.
Litres are those of the answer that was checked in exact numbers, made floats at the end.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, Literal

from attrs import field, frozen

if TYPE_CHECKING:
    from rootroom.demand.recipes import Spoons
    from rootroom.plan.entries import Supply

Status = Literal["optimal", "feasible", "infeasible", "limit"]
Unit = Literal["l", "kg", "pieces"]
# What the problem's units are called once its small steps are counted together.
PLAIN: Mapping[str, Unit] = {"ml": "l", "mg": "kg", "pieces": "pieces"}


@frozen
class Line:
    """One line of the list: `packs` whole packages of a supply, bought at `source`.

    `supply` is the supply's place in the file, counted from 1, `pack` the user's wording.
    `cost_cents` is what the packages cost before tax, `each_cents` the price that counted.
    `contents` is what they come to in `unit`, and `need` how much of the good must be bought in
    all, so that another size can be taken when the shop is out.
    `by` is the last day to order or fetch it: the day before the first session that uses it, since
    goods are fetched, soaked and moistened the evening before, less the supplier's lead.
    `labelled` [L] is what the packages hold by their label, as packed; None if sold by mass.
    `room_l` [L] is what they take on the way and `mass_kg` [kg] what they weigh, 0 if unknown.
    """

    supply: int
    of: str
    kind: Literal["ingredient", "addition", "container", "mix"]
    pack: str
    source: str | None
    packs: int
    each_cents: int
    cost_cents: int
    unit: Unit
    contents: float
    need: float
    by: date | None = None
    labelled: float | None = None
    room_l: float = 0.0
    mass_kg: float = 0.0


@frozen
class StockUse:
    """What is used of a supply that is there already: `packs` of it, or an own heap (None)."""

    supply: int
    of: str
    pack: str
    packs: Fraction | None
    unit: Unit
    used: float


@frozen
class Fee:
    """What a supplier charges beside the goods: `times` trips, a delivery, or the sales tax."""

    source: str
    kind: Literal["trip", "delivery", "tax"]
    cents: int
    times: int = 1


@frozen
class Part:
    """One part of a mix as blended: loose litres, its share, and how far that is from the plan's.

    `difference_share` is relative to the plan's share: 0.1 means a tenth more.
    """

    of: str
    loose_l: float
    share: Fraction
    planned_share: Fraction

    @property
    def difference_share(self) -> Fraction:
        """How far the share is from the plan's, relative to the plan's."""
        return self.share / self.planned_share - 1


@frozen
class Made:
    """How one mix is come by: finished litres blended and ready-made, and the recipe used."""

    blended_l: float
    ready_l: float
    parts: tuple[Part, ...]

    @property
    def bent(self) -> bool:
        """Whether the recipe used differs from the plan's by 0.1 % of any part."""
        return any(abs(part.difference_share) >= Fraction(1, 1000) for part in self.parts)


@frozen
class Left:
    """What is left of one good: at the level covered, and at the likely demand (if known)."""

    of: str
    unit: Unit
    left: float
    likely: float | None = None


@frozen
class Change:
    """The smallest change that would do, by what stands in the way.

    `at_most`: raise the limit of the supply from `now` to `then` packs; `have`: an own heap would
    have to hold `amount` more; `price`: the supply has a pack and no price; `least`: the supplier's
    least order is not reached, by `amount` litres; `without`: the supplier was left out.
    """

    kind: Literal["at_most", "have", "price", "least", "without"]
    supply: int
    now: int = 0
    then: int = 0
    amount: float = 0.0
    source: str | None = None


@frozen
class Short:
    """A good that a supply names and that cannot be had in the amount needed.

    `missing` of `need` [unit]; `uses` says what needs it, `by` when first;
    `change` is the smallest change that would do.
    """

    of: str
    unit: Unit
    need: float
    missing: float
    uses: tuple[str, ...]
    by: date | None
    change: Change


@frozen
class ReadyMade:
    """A ready-made mix beside the own one: cents per litre and the share that blending saves."""

    supply: int
    pack: str
    source: str | None
    cents_per_l: Fraction
    saved_share: Fraction | None


@frozen
class Comparison:
    """What a litre of an own mix costs beside each ready-made one, at unit prices with tax.

    `own_cents_per_l` counts a finished litre, as used, and `own_loose_cents_per_l` a loose litre
    of its parts, as bought. None: a part has no price (`unpriced` names it), so nothing is
    compared.
    """

    mix: str
    own_cents_per_l: Fraction | None
    own_loose_cents_per_l: Fraction | None
    ready: tuple[ReadyMade, ...]
    unpriced: tuple[str, ...] = ()


@frozen
class Turn:
    """How far one price may go before another list is cheaper, all other prices the same.

    `at_cents` is the first price of a pack, in whole cents, at which the present list is no longer
    the cheapest; None: none up to ten times the price, or down to nothing.
    """

    supply: int
    of: str
    pack: str
    source: str | None
    price_cents: int
    direction: Literal["up", "down"]
    at_cents: int | None


@frozen
class BulkBreak:
    """From how many loose litres of a good on a bulk delivery costs no more than packages."""

    supply: int
    of: str
    source: str
    from_l: float | None


@frozen
class LeastOrder:
    """A supplier's least order that makes the list buy far more than is needed there [loose L].

    `other_cents` is what the list costs without that way of getting goods, and `other_from` where
    it is bought then; None: without it not everything can be had.
    """

    source: str
    least_l: float
    bought_l: float
    needed_l: float
    other_cents: int | None
    other_from: tuple[str, ...] = ()


@frozen
class Purpose:
    """What a good is needed for: `amount` [unit] for one use, in the order of the plan."""

    of: str
    use: str
    unit: Unit
    amount: float


@frozen
class Stage:
    """Packages of a supply that must be there by the evening before the session of `day`."""

    supply: int
    day: date
    packs: int


@frozen
class Shopping:
    """The shopping list, with what is known of how good it is.

    `optimal`: no list costs less, and of those that cost as much none is better by the further
    aims; `feasible`: every need is met and no list costs less than `bound_cents`;
    `infeasible`: something in `short` cannot be had, and the list covers the rest;
    `limit`: no list was found in the time allowed.
    `sure` is the share of the draws in which the list is enough.
    `find_turns`, `find_bulk` and `find_least` answer `turns`, `bulk` and `least_orders`, which take
    as long as the list did or longer.
    `trip_min` [min] is how long all trips to a supplier take, where the plan says how long one is.
    `spoons` is what the plan gives by the spoon, and what a litre of it weighs [kg/L].
    `assumed` are the supplies on the list, or used up, of which a shipped range was taken.
    `stages` part the packages between days where the plan gives the room for them, `room_l` [L];
    cost and bound hold the `further_cents` of trips that it takes, and `over_room_l` [L] is what
    lies over it all the same.
    `solver_s` is the time spent in the solver's library [s].
    """

    file: str
    status: Status
    cost_cents: int
    bound_cents: int
    lines: tuple[Line, ...]
    fees: tuple[Fee, ...]
    stock: tuple[StockUse, ...]
    made: Mapping[str, Made]
    left: tuple[Left, ...]
    unpriced: tuple[Left, ...]
    short: tuple[Short, ...]
    compare: tuple[Comparison, ...]
    why: tuple[Purpose, ...]
    level: float
    sure: float
    currency: str
    system: Literal["us", "metric"]
    without: frozenset[str] = frozenset()
    trip_min: Mapping[str, float] = field(factory=dict)
    spoons: Spoons = field(factory=dict)
    assumed: tuple[Supply, ...] = ()
    prices_up: Fraction = Fraction(0)
    stages: tuple[Stage, ...] = ()
    further_cents: int = 0
    room_l: float | None = None
    over_room_l: float = 0.0
    find_turns: Callable[[], tuple[Turn, ...]] = field(default=tuple, eq=False, repr=False)
    find_bulk: Callable[[], tuple[BulkBreak, ...]] = field(default=tuple, eq=False, repr=False)
    find_least: Callable[[], tuple[LeastOrder, ...]] = field(default=tuple, eq=False, repr=False)
    solver_s: float = field(default=0.0, eq=False)

    @cached_property
    def turns(self) -> tuple[Turn, ...]:
        """How far prices may go; found by solving again and again, so only once it is asked for."""
        return self.find_turns()

    @cached_property
    def bulk(self) -> tuple[BulkBreak, ...]:
        """From where on bulk deliveries pay; found when it is asked for."""
        return self.find_bulk()

    @cached_property
    def least_orders(self) -> tuple[LeastOrder, ...]:
        """Least orders that make the list buy far more than is needed, and what else would do."""
        return self.find_least()

    @property
    def by_source(self) -> Mapping[str | None, tuple[list[Line], list[Fee]]]:
        """The lines and fees of each supplier, in the order of the lines."""
        return {
            source: (
                [line for line in self.lines if line.source == source],
                [fee for fee in self.fees if fee.source == source],
            )
            for source in dict.fromkeys(line.source for line in self.lines)
        }

    @property
    def totals(self) -> Mapping[str | None, int]:
        """What is paid to each supplier, fees with it [cents]."""
        return {
            source: sum(line.cost_cents for line in lines) + sum(fee.cents for fee in fees)
            for source, (lines, fees) in self.by_source.items()
        }

    @property
    def left_l(self) -> Mapping[str, float]:
        """Litres left over of ingredients and mixes at the level covered."""
        return {left.of: left.left for left in self.left if left.unit == "l"}
