"""The smaller records of a plan: beds, supplies and suppliers, sorts and places, aftercare."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import date, timedelta
from fractions import Fraction
from typing import TYPE_CHECKING, Literal

from attrs import frozen

from rootroom import formulas
from rootroom.catalogue.spread import Spread
from rootroom.counts import payable

if TYPE_CHECKING:
    from rootroom.problems import Location
    from rootroom.units import Amount


@frozen
class Layer:
    """One layer of a bed from below: a mix or an ingredient; without a depth it fills the rest.

    After a record `number` is the layer's place in the plan file, from 1, and `left_share` what is
    still to be filled of it [0 to 1].
    """

    of: str
    depth_m: float | None
    number: int | None = None
    left_share: float = 1.0


@frozen
class Bed:
    """A bed to fill: `depth_m` of fill once settled, of which `already_m` is there.

    A bed that is only topped up has depth_m = the top-up and already_m = 0. `in_place` lays in the
    parts of its mix and turns them under in the bed, without a vessel.
    """

    name: str
    shape_text: str
    area_m2: float
    depth_m: float
    already_m: float
    layers: tuple[Layer, ...]
    settles: Spread
    opens: date
    due: date
    where: Location
    dated: bool = True
    people: int = 1
    in_place: bool = False

    def layer_l(self, number: int) -> float:
        """Return the volume [L] of a layer once settled; `number` counts from 1 below.

        A layer without a depth fills what the others leave.
        """
        given_m = sum(layer.depth_m or 0.0 for layer in self.layers)
        rest_m = max(self.depth_m - self.already_m - given_m, 0.0)
        depth_m = self.layers[number - 1].depth_m
        return 1000 * self.area_m2 * (rest_m if depth_m is None else depth_m)

    def lets_settle(self, number: int, mixes: Collection[str]) -> bool:
        """Whether a layer settles: mix does, and what fills the rest; logs and straw are laid."""
        layer = self.layers[number - 1]
        return layer.depth_m is None or layer.of in mixes

    def loose_l(self, number: int, mixes: Collection[str], spill: float) -> float:
        """Return the loose litres [L] to bring for a layer, at the likely share that it settles."""
        settled_l = self.layer_l(number)
        if not self.lets_settle(number, mixes):
            return settled_l
        return formulas.bed_l(settled_l, self.settles.likely, spill)


WITHOUT_DECIMALS = frozenset(
    [
        "BIF",
        "CLP",
        "DJF",
        "GNF",
        "ISK",
        "JPY",
        "KMF",
        "KRW",
        "PYG",
        "RWF",
        "UGX",
        "UYI",
        "VND",
        "VUV",
        "XAF",
        "XOF",
        "XPF",
    ]
)
"""Currencies whose minor unit has 0 digits in ISO 4217."""


def least_cents(currency: str) -> int:
    """Return the smallest sum that a currency can pay [cents]."""
    return 100 if currency in WITHOUT_DECIMALS else 1


@frozen
class Pack:
    """What one package holds, in the unit that it is sold by (exactly one is set).

    `text` is the user's own wording; litres [L] are as packed (compressed if it `swells`).
    """

    text: str
    litres: Fraction | None = None
    kilograms: Fraction | None = None
    pieces: int | None = None


@frozen
class PriceBreak:
    """From `packs` packages on, each costs `price_cents`."""

    packs: int
    price_cents: int


@frozen
class Supply:
    """One way to get a good: a package from somewhere, or an own heap (`have`).

    `of_kind` says what `of` names. `loose_l` is what one pack comes to as loose volume (swollen,
    soaked or by density) for ingredients, mixes and additions by volume; `mass_kg` likewise.
    `assumed` is the key that the plan left out where a bale or a block was taken for one.
    `on_hand` counts packs, opened ones as fractions; `have` is an own amount in the pack's unit.
    """

    number: int
    of: str
    of_kind: Literal["ingredient", "addition", "container", "mix"]
    where: Location
    pack: Pack | None = None
    loose_l: Spread | None = None
    mass_kg: float | None = None
    price_cents: int | None = None
    supplier: str | None = None
    on_hand: Fraction = Fraction(0)
    have_l: Fraction | None = None
    have_kg: Fraction | None = None
    have_pieces: int | None = None
    at_most: int | None = None
    more: tuple[PriceBreak, ...] = ()
    swells: Spread | None = None
    water_l: float | None = None
    assumed: Literal["", "swells", "yields"] = ""


@frozen
class Supplier:
    """A place to buy at: `trip_cents` once a trip, or a delivery fee.

    A trip takes at most `carries_l` [L] as packed and `carries_kg` [kg], and `trip_min` minutes.
    A delivery needs `least_l` of loose goods at least; with both, the cheaper way counts.
    Its tax is rounded to a multiple of `least_cents`.
    """

    name: str
    where: Location | None
    trip_cents: int | None = None
    delivery_cents: int | None = None
    tax_share: Fraction = Fraction(0)
    least_l: Fraction | None = None
    lead_days: int = 0
    carries_l: Fraction | None = None
    carries_kg: Fraction | None = None
    trip_min: float = 0.0
    least_cents: int = 1

    def tax_cents(self, goods_cents: int) -> int:
        """Return the tax on goods, rounded half up to a sum that can be paid."""
        return payable(self.tax_share * goods_cents, self.least_cents)


@frozen
class StoredMix:
    """Finished mix that is there: litres [L], and the last day on which it was blended."""

    litres: float
    made: date | None = None


@frozen
class PostedLine:
    """One line of work on a posted plan: what was to be done on which day.

    `kind` is the trade's word for the work. For plants `number` is their move and `count` plants;
    for a layer of a bed `number` is the layer, `count` 1 and `share` the part of it [0 to 1].
    """

    day: date
    kind: str
    name: str
    number: int
    count: int
    share: float = 1.0


MARK_KEYS = ("sort", "sorts", "place", "tag")
"""Keys of a plant, and columns of a list, that say nothing of how it is moved."""


@frozen
class Marks:
    """Sorts with their counts in the order of the plan, where the plants stand, what tag they have.

    A sort may come more than once after a record; plants that belong to no sort come last.
    """

    sorts: tuple[tuple[str, int], ...] = ()
    place: str = ""
    tag: str = ""

    def divided(self, into: int) -> Marks:
        """Return the marks of plants whose balls were each divided `into` so many."""
        if into == 1 or not self.sorts:
            return self
        sorts = tuple((sort, count * into) for sort, count in self.sorts)
        return Marks(sorts, self.place, self.tag)

    def between(self, first: int, end: int) -> dict[str, int]:
        """Return how many of each sort are among the plants from `first` until before `end`."""
        found: dict[str, int] = {}
        begin = 0
        for sort, count in self.sorts:
            many = min(begin + count, end) - max(begin, first)
            if many > 0:
                found[sort] = found.get(sort, 0) + many
            begin += count
        return found


NO_MARKS = Marks()


@frozen
class Place:
    """A bench, a shelf, a frame: the area [m2] that pots may take, and the gap [m] between pots."""

    area_m2: float
    gap_m: float = 0.0


@frozen
class CareStep:
    """One thing to do `times` times, first `after_days` [days] after the move.

    From then on it is done every `every_days` [days]; each plant gets `amount` of the addition
    `of`, both None where nothing is given.
    """

    do: str
    after_days: int
    every_days: int = 0
    times: int = 1
    of: str | None = None
    amount: Amount | None = None

    def days(self, moved: date) -> Iterator[date]:
        """Yield the days on which it is due for plants that were moved on a day."""
        for number in range(self.times):
            yield moved + timedelta(self.after_days + number * self.every_days)


@frozen
class MadeMove:
    """A move that a record tells of and that has aftercare: when it was made, with how many."""

    plant: str
    move: int
    count: int
    day: date
    care: tuple[CareStep, ...]

    def due(self, first: date) -> Iterator[tuple[date, CareStep]]:
        """Yield what is due from a day on; what lies before it is taken to have been done."""
        for step in self.care:
            yield from ((day, step) for day in step.days(self.day) if day >= first)


@frozen
class Care:
    """What is due on a day for `count` plants of one name after one of their moves."""

    date: date
    plant: str
    move: int
    count: int
    step: CareStep
