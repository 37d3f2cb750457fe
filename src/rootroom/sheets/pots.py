"""The list of containers that a plan may name."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rootroom.containers.listing import list_containers

if TYPE_CHECKING:
    from rootroom.catalogue.spread import Spread

__all__ = ["pots_text"]


def pots_text(text: str | None) -> str:
    """Return the containers that have `text` in them; TextError where there is none."""
    from tabulate import tabulate

    rows = [
        [
            container.text,
            _litres(container.brim_l),
            _litres(container.fill_l),
            f"{container.height_m * 100:.0f} cm" if container.height_m else "",
            container.grade,
        ]
        for container in list_containers(text or "")
    ]
    table = tabulate(
        rows,
        headers=["container", "to the brim, L", "filled, L", "height", "grade"],
        tablefmt="plain",
        disable_numparse=True,
    )
    return f"{table}\n\n{LEGEND}"


LEGEND = """\
Litres are least, likely and most; a tray's are those of one cell.
Grade: A standard or university, B trade press, C general page, M from memory or
common practice. Write your own volume under [containers] where you have
measured it: it wins."""


def _litres(spread: Spread) -> str:
    if spread.low == spread.high:
        return _number(spread.likely)
    return f"{_number(spread.low)} / {_number(spread.likely)} / {_number(spread.high)}"


def _number(litres: float) -> str:
    if litres < 1:
        return f"{litres:.3f}"
    return f"{litres:.2f}" if litres < 10 else f"{litres:.1f}"
