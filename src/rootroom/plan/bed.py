"""A bed as a frozen record: its layers from below, and what each of them takes."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date
from typing import TYPE_CHECKING

from attrs import frozen

from rootroom import formulas
from rootroom.catalogue.spread import Spread

if TYPE_CHECKING:
    from rootroom.problems import Location


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
