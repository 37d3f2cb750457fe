"""From finished mix to loose parts, through mixes that hold other mixes.

The same for likely values and for arrays of draws; volumes in litres [L].
"""

from __future__ import annotations

from collections.abc import Mapping
from graphlib import TopologicalSorter
from typing import TYPE_CHECKING

from attrs import frozen

from rootroom.demand.room import Number

if TYPE_CHECKING:
    from rootroom.plan.model import Mix


@frozen(eq=False)
class Recipes:
    """The recipes of a plan: share of each part in each mix, outer mixes before inner ones.

    `shares` holds blended mixes only; a name in it that is not in `mixes` is an ingredient.
    """

    mixes: Mapping[str, Mix]
    shares: Mapping[str, Mapping[str, float]]
    order: tuple[str, ...]

    @classmethod
    def of(cls, mixes: Mapping[str, Mix]) -> Recipes:
        """Return the recipes of these mixes, none of which may lie inside itself."""
        shares = {name: mix.shares for name, mix in mixes.items() if mix.is_blended}
        # Sorted throughout: neither the plan's order nor a set's may decide the order of sums.
        holders: dict[str, list[str]] = {name: [] for name in sorted(mixes)}
        for name in sorted(shares):
            for part in shares[name]:
                if part in mixes:
                    holders[part].append(name)
        return cls(mixes, shares, tuple(TopologicalSorter(holders).static_order()))

    def mixes_l(
        self, direct_l: Mapping[str, Number], loose: Mapping[str, Number]
    ) -> dict[str, Number]:
        """Return the finished litres of every mix that is needed, what other mixes take included.

        `direct_l` is what plants and beds use themselves, `loose` the loose litres per litre.
        """
        totals = dict(direct_l)
        for name in self.order:
            if name not in totals:
                continue
            for part, share in self.shares.get(name, {}).items():
                if part in self.mixes:
                    taken = totals[name] * loose[name] * share
                    totals[part] = totals[part] + taken if part in totals else taken
        return totals

    def ingredients_l(
        self,
        totals_l: Mapping[str, Number],
        loose: Mapping[str, Number],
        unmixed_l: Mapping[str, Number],
    ) -> dict[str, Number]:
        """Return the loose litres of every ingredient, from the totals of the mixes.

        `unmixed_l` is what beds take of ingredients by themselves.
        """
        loads: dict[str, Number] = {}
        for name in self.order:
            if name not in totals_l:
                continue
            for part, share in self.shares.get(name, {}).items():
                if part not in self.mixes:
                    taken = totals_l[name] * loose[name] * share
                    loads[part] = loads[part] + taken if part in loads else taken
        for name, litres in unmixed_l.items():
            loads[name] = loads[name] + litres if name in loads else litres
        return loads
