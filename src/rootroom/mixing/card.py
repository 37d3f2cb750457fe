"""What the mixing stage answers: cards to blend from, and pots in scoops."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from attrs import frozen

from rootroom.counts import ceil_count


@frozen
class CardPart:
    """One part of a batch: `scoops` level scoops, whole or half, which are `litres` [L] loose.

    `share` is its share of the batch's loose volume.
    """

    of: str
    is_mix: bool
    scoops: float
    litres: float
    share: float


@frozen
class BatchAddition:
    """What a batch gets of an addition: `kg` [kg], `litres` [L] to measure it by, or both.

    Both are known when its density is; a figure that was not given and cannot be worked out is
    None. A coated fertilizer goes in last, since turning breaks its coats.
    """

    of: str
    kg: float | None
    litres: float | None
    coated: bool


@frozen
class Water:
    """Water [L] that a batch's share of a part takes beforehand: dry coir soaks, peat is moistened.

    `likely_l` is to be poured in parts and felt by hand; it varies with how dry the part is.
    """

    of: str
    how: Literal["soak", "moisten"]
    likely_l: float


@frozen
class Step:
    """One step of blending, in order.

    `kind` is moisten, soak, layer (a part, `scoops` of it), sprinkle (a powder, `share` of the
    batch's amount), turn, strew (a coated fertilizer, all of it) or turn again (`times`).
    """

    kind: Literal["soak", "moisten", "layer", "sprinkle", "turn", "strew", "turn again"]
    of: str = ""
    scoops: float = 0.0
    share: float = 1.0
    times: int = 1


@frozen
class Card:
    """One mix, the same recipe all season: so many units of it in level scoops of `scoop_l` [L].

    A unit is the smallest copy of the recipe in half scoops; `units` of them are one batch, of
    which `loose_l` [L] goes in and `batch_l` [L] comes out.
    `units_most` are as many as the vessel takes at once.
    `error_share` is how far the farthest part is off its share of the recipe, relative to it.
    Where the plan's scoop is too coarse for the recipe in the vessel, `scoop_l` is the half,
    quarter and so on of it that does. `dusty` parts lie between moist ones.
    """

    mix: str
    scoop_l: float
    units: int
    units_most: int
    parts: tuple[CardPart, ...]
    loose_l: float
    batch_l: float
    error_share: float
    additions: tuple[BatchAddition, ...]
    water: tuple[Water, ...]
    dusty: frozenset[str]
    steps: tuple[Step, ...]

    @property
    def unit_l(self) -> float:
        """Finished litres [L] of one unit."""
        return self.batch_l / self.units

    @property
    def scoops(self) -> Mapping[str, float]:
        """Level scoops of each part of a batch."""
        return {part.of: part.scoops for part in self.parts}

    def batches(self, units: int) -> tuple[int, int]:
        """Return how many units go into each batch, and how many into a last smaller one.

        Batches are as few as the vessel lets them be and alike, but for a last one of what is left
        (0 where there is none).
        """
        if not units:
            return 0, 0
        each = ceil_count(units, ceil_count(units, self.units_most))
        return each, units % each


@frozen
class Blending:
    """Cards by mix, each mix before those that it goes into."""

    cards: Mapping[str, Card]
