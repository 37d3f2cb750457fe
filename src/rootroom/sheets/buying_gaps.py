"""What level scoops take beyond the shopping list, and the cheapest packages for it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rootroom.sheets.layout import fill
from rootroom.sheets.money import money
from rootroom.sheets.plain import clip
from rootroom.units import show_volume

if TYPE_CHECKING:
    from rootroom.season import ScoopGap
    from rootroom.units import System

__all__ = ["gaps_shown", "gaps_text", "more_text"]


def gaps_shown(gaps: Sequence[ScoopGap], system: System) -> list[ScoopGap]:
    """Return the gaps that can be measured: those whose two amounts do not read alike."""
    return [
        gap for gap in gaps if show_volume(gap.needs_l, system) != show_volume(gap.has_l, system)
    ]


def more_text(gap: ScoopGap) -> str:
    """Return the cheapest packages for a gap, `1 more coir 5 kg, 13.50, Station Store`."""
    if not gap.packs:
        return "no supplier has so much more"
    return "; ".join(
        f"{more.packs} more {clip(more.of, 24)} {clip(more.pack, 16)}, {money(more.cents)}"
        + (f", {clip(more.source, 24)}" if more.source else "")
        for more in gap.packs
    )


def gaps_text(gaps: Sequence[ScoopGap], system: System) -> str:
    """Return what level scoops take more of than the list has, and the packages for it."""
    shown = gaps_shown(gaps, system)
    if not shown:
        return ""
    rows = [
        fill(
            f"{clip(gap.of, 30)}: {show_volume(gap.needs_l, system, up=True)}, the list has "
            f"{show_volume(gap.has_l, system)}. For the difference: {more_text(gap)}",
            indent="  ",
            hanging="    ",
        )
        for gap in shown
    ]
    head = "Measured by level scoops, the cards take more than the list has"
    advice = "Or measure these parts to the recipe, with a smaller scoop; then the list is enough."
    return "\n".join([head, *rows, fill(advice, indent="  ", hanging="  ")])
