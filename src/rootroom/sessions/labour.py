"""How many minutes each kind of work takes: the plan's own figures before the catalogue's.

All are person-minutes [min] at likely values.
A plan may give minutes for a container's text (moving a plant into it), for a kind of work of the
catalogue ("up-pot", "refresh", "plant out", "wash"; "blend" for one batch, "fill bed" for a whole
bed), and for a kind of work with a container ("refresh half barrel"), the last one first.
Watering in and labelling are part of a move; watering in counts beside it, a pot, once a plan gives
minutes for it ("water in", "water in #5").
Shipped figures are rounded to tenths: nobody knows them better.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from rootroom.catalogue.minutes import minutes
from rootroom.plan.model import Move, Plan

if TYPE_CHECKING:
    from rootroom.containers.container import Container

TOP_SHARE = 0.15
"""A refresh of less than this share of the fill is a topping-up; roots stay untouched."""


class Effort:
    """The minutes of a plan's work."""

    def __init__(self, plan: Plan) -> None:
        self.own = {key.casefold(): spread.likely for key, spread in plan.minutes.items()}

    def plant_min(self, move: Move) -> float:
        """Return the minutes of one plant's move: its share of the pot that it goes into."""
        if move.place == "sold":
            return 0.0
        if move.place is not None:
            own = self._own("plant out", move.old)
            return _shipped("plant out", move.old) if own is None else own
        if move.refresh is not None:
            kind = "top up" if move.refresh < TOP_SHARE else "refresh"
            own = self._own(kind, move.old)
            return (_shipped(kind, move.old) if own is None else own) / move.per_pot
        assert move.to is not None
        own = self.own.get(move.to.text.casefold(), self._own("up-pot", move.to))
        return (_shipped("up-pot", move.to) if own is None else own) / move.per_pot

    def bed_min(self, litres: float, share: float) -> float:
        """Return the minutes of filling `litres` [L], which are `share` of all that a bed takes."""
        own = self.own.get("fill bed")
        return minutes("fill bed", litres).likely if own is None else own * share

    def blend_min(self, litres: float, batch_l: float) -> float:
        """Return the minutes of blending `litres` [L] in batches of `batch_l` [L]."""
        own = self.own.get("blend")
        return minutes("blend", litres).likely if own is None else own * litres / batch_l

    def wash_min(self, container: Container, count: int) -> float:
        """Return the minutes of washing so many containers."""
        own = self._own("wash", container)
        return count * (_shipped("wash", container) if own is None else own)

    def water_in_min(self, move: Move) -> float:
        """Return the minutes of watering in one plant's share of its pot, 0 inside the move's."""
        if move.place == "sold":
            return 0.0
        if move.place is not None:
            return self.own.get("water in", 0.0)
        assert move.new is not None
        return (self._own("water in", move.new) or 0.0) / move.per_pot

    @property
    def wash_counts(self) -> bool:
        """Whether the plan gives minutes for washing, which puts it into the session's minutes."""
        return any(key == "wash" or key.startswith("wash ") for key in self.own)

    def _own(self, kind: str, container: Container) -> float | None:
        with_container = self.own.get(f"{kind} {container.text}".casefold())
        return self.own.get(kind) if with_container is None else with_container


def _shipped(kind: str, container: Container) -> float:
    litres = container.fill_l.likely if container.holds else 0.0
    return max(round(minutes(kind, litres).likely, 1), 0.1)
