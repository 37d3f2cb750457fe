"""Room for mix in a pot: the formulas, the same for likely values and for arrays of draws.

`Number` is a float or a numpy array of draws, so that what is printed as likely and what is drawn
cannot drift apart.
Volumes are in litres [L].
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, TypeAlias, TypeVar

from attrs import frozen

from rootroom.demand.draws import Draws
from rootroom.formulas import ball_l, place_l

if TYPE_CHECKING:
    from rootroom.plan.model import Move

Number = TypeVar("Number", float, Draws)

Load: TypeAlias = dict[int, int]
"""Number of pots by the number of balls that each of them takes."""


@frozen
class Room:
    """All that decides how much mix a pot takes; moves with equal rooms are worked out together.

    `new` and `old` are container texts, `old` None where no ball comes along (seed, cuttings, bare
    roots, washed roots). `kept` is the share of the old pot's ball that each plant brings, and
    `renewed` the share of the fill renewed for a plant that stays in its pot. Only the share
    `filled` of the new pot's fill is filled, the ball in it.
    """

    new: str
    old: str | None
    kept: float
    per_pot: int
    renewed: float | None
    filled: float = 1.0

    @property
    def containers(self) -> tuple[str, ...]:
        """The containers whose volumes matter."""
        return (self.new,) if self.old in (None, self.new) else (self.new, str(self.old))

    def ball_l(self, fills_l: Mapping[str, Number], ball: Number) -> Number:
        """Return the ball of one plant [L], given the fill of each container text [L]."""
        if self.renewed is not None:
            return fills_l[self.new] * (1 - self.renewed)
        if self.old is None:
            return 0 * fills_l[self.new]
        return ball_l(fills_l[self.old], ball, self.kept)

    def place_l(self, fills_l: Mapping[str, Number], ball: Number, plants: int) -> Number:
        """Return the place [L] in one pot that takes `plants` balls."""
        fill_l = fills_l[self.new] if self.filled == 1 else fills_l[self.new] * self.filled
        return place_l(fill_l, plants * self.ball_l(fills_l, ball))

    def load(self, plants: int, pots: int) -> Load:
        """Return how many of the `pots` take how many of the `plants`' balls.

        Shared pots are filled one by one, so the last may take fewer balls than the others, and
        the spare cells of a whole tray take none.
        """
        if self.renewed is not None:
            return {1: pots}
        if self.old is None:
            return {0: pots}
        full, rest = divmod(plants, self.per_pot)
        load = {self.per_pot: full}
        if rest:
            load[rest] = 1
        load[0] = pots - full - bool(rest)
        return {balls: number for balls, number in load.items() if number}

    def total_l(self, fills_l: Mapping[str, Number], ball: Number, load: Load) -> Number:
        """Return the place [L] in all pots of a load."""
        total = 0 * fills_l[self.new]
        for balls, number in sorted(load.items()):
            total = total + number * self.place_l(fills_l, ball, balls)
        return total


def room_of(move: Move) -> Room | None:
    """Return the room that a move makes; None for a move that takes no mix."""
    new = move.new
    if new is None or not new.holds:
        return None
    kept = move.kept_ball
    rooted = move.old.holds and kept > 0 and move.refresh is None
    return Room(
        new=new.text,
        old=move.old.text if rooted else None,
        kept=kept if rooted else 0.0,
        per_pot=move.per_pot if rooted else 1,
        renewed=move.refresh,
        # A refresh, and filling up further, is told by the share that is renewed.
        filled=1.0 if move.refresh is not None else move.filled,
    )
