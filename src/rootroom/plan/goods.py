"""What a plan has and may buy: supplies, suppliers, mix in store, and the posted list."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from typing import TYPE_CHECKING, Literal

from attrs import frozen

from rootroom.catalogue.spread import Spread

if TYPE_CHECKING:
    from rootroom.problems import Location

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
