"""The list of containers that a plan may name."""

from __future__ import annotations

import re
import textwrap
from typing import TYPE_CHECKING

from rootroom.containers.listing import list_containers
from rootroom.sheets.layout import table
from rootroom.units import read_volume_l, show_length

if TYPE_CHECKING:
    from rootroom.catalogue.spread import Spread
    from rootroom.units import System


def pots_text(text: str | None) -> str:
    """Return the containers that have `text` in them; TextError where there is none."""
    rows = []
    for one in list_containers(text or ""):
        system: System = "metric" if METRIC.search(one.text) else "us"
        height = show_length(one.height_m, system) if one.height_m else ""
        unit = _unit(one.brim_l.likely, system)
        brim, fill = (_spread(spread, unit) for spread in (one.brim_l, one.fill_l))
        rows.append((one.text, brim, f"{fill} {unit}", height, one.grade))
    heads = ("container", "to the brim", "filled", "height", "grade")
    return f"{textwrap.dedent(table(heads, rows, 'lrrrl'))}\n\n{LEGEND}"


METRIC = re.compile(r"\bcm\b|\bL\b|^[CP]\d")
"""Containers that are named in centimetres or litres; all others are in inches or gallons."""

LEGEND = """\
Volumes are least, likely and most; a tray's are those of one cell. What is
named in centimetres or litres is told in them, all else in gallons and inches.
Grade: A standard or university, B trade press, C general page, M from memory or
common practice. Write your own volume under [containers] where you have
measured it: it wins."""


def _unit(litres: float, system: System) -> str:
    """Return what a pot of so much is measured in: small ones in millilitres or cubic inches."""
    if system == "metric":
        return "L" if litres >= 1 else "mL"
    return "gal" if litres >= read_volume_l("0.5 gal") else "cu in"


def _spread(spread: Spread, unit: str) -> str:
    shares = [
        litres / read_volume_l(f"1 {unit}") for litres in (spread.low, spread.likely, spread.high)
    ]
    low, likely, high = (f"{share:.0f}" if share >= 100 else f"{share:.3g}" for share in shares)
    return likely if spread.low == spread.high else f"{low}/{likely}/{high}"
