"""Containers of the trade, as typed rows of data/containers.toml.

Lengths [m], volumes [L], masses [kg]; each row carries its source in words and its grade.
A row is made once from its file, so it does without methods that compare or print it: attrs would
compile them for every class at each start.
What a container's text means is decided in `rootroom.containers`.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from functools import cache
from math import exp, inf, log
from typing import Any

from attrs import frozen

from rootroom.catalogue.spread import Spread
from rootroom.catalogue.tables import in_base, read_table, source_text, spread_in_base, spread_of
from rootroom.tolerances import ROUNDING


@frozen
class Origin:
    """Where a row's figures come from: source in words, grade, and what to know about them."""

    source: str
    grade: str
    note: str = ""


@frozen(eq=False, repr=False)
class ContainerClass:
    """A class of the nursery standard: the brim's published band, and a usual pot of the class.

    `number` is n of `#n` and None for the small `#SPn`, which are square.
    """

    name: str
    number: int | None
    brim_l: Spread
    square: bool
    top_m: float
    height_m: float
    headspace_m: float
    weight_kg: Spread
    origin: Origin

    def holds_brim(self, brim_l: float) -> bool:
        """Whether a true volume [L] lies within the class's band."""
        slack = ROUNDING * brim_l
        return self.brim_l.low - slack <= brim_l <= self.brim_l.high + slack


@frozen(eq=False, repr=False)
class RoundPotRow:
    """A round pot known by its top diameter."""

    top_m: float
    height_m: float
    brim_l: Spread
    origin: Origin


@frozen(eq=False, repr=False)
class Proportion:
    """Pots of one proportion: height over width, volume over the straight shape of that size."""

    square: bool
    height_share: float
    volume_share: Spread
    least_m: float
    most_m: float
    weight_kg_per_l: Spread
    origin: Origin


@frozen(eq=False, repr=False)
class TrayRow:
    """A cell tray, or a pack of which so many lie in a tray: one cell's volume [L], depth [m]."""

    cells: int
    cell_l: Spread
    height_m: float
    origin: Origin
    packs_a_tray: int = 1


@frozen(eq=False, repr=False)
class VolumeRule:
    """Containers named by a volume: what share of it they hold, and their usual proportions."""

    share: Spread
    height_per_width: float
    headspace_m: float
    weight_kg_per_l: Spread
    origin: Origin


@frozen(eq=False, repr=False)
class CodeRow:
    """A published point of the P codes: outside width [m] and fill [L]."""

    width_m: float
    fill_l: float
    origin: Origin


@frozen(eq=False, repr=False)
class HalfBarrelRow:
    """The usual half barrel: inside sizes [m], least and most of its brim [L]."""

    rim_m: float
    bottom_m: float
    height_m: float
    headspace_m: float
    brim_low_l: float
    brim_high_l: float
    weight_kg: Spread
    origin: Origin


@frozen(eq=False, repr=False)
class BoxRow:
    """A square or long pot named by its sides: what share of straight walls it holds.

    `width_m` and `height_m` [m] are the usual ones of a window box, `most_m` and `most_deep_m` [m]
    the greatest side and depth that a text may name.
    """

    volume_share: Spread
    least_m: float
    most_m: float
    most_deep_m: float
    weight_kg_per_l: Spread
    origin: Origin
    width_m: float = 0.0
    height_m: float = 0.0


@frozen(eq=False, repr=False)
class ContainerTable:
    """The whole catalogue of containers."""

    classes: Mapping[str, ContainerClass]
    round_pots: tuple[RoundPotRow, ...]
    round_least_m: float
    round_most_m: float
    round_weight_kg_per_l: Spread
    proportions: Mapping[str, Proportion]
    trays: tuple[TrayRow, ...]
    least_cells: int
    most_cells: int
    packs: Mapping[int, TrayRow]
    cup: VolumeRule
    window_box: BoxRow
    tree_pot: BoxRow
    bag: VolumeRule
    bucket: VolumeRule
    code_c: VolumeRule
    code_p: VolumeRule
    code_p_rows: tuple[CodeRow, ...]
    code_p_least_m: float
    code_p_most_m: float
    half_barrel: HalfBarrelRow
    headspaces: tuple[tuple[float, float], ...]

    def headspace_m(self, top_m: float) -> float:
        """Return the usual headspace [m] of a pot that is `top_m` [m] wide at the top."""
        for below_m, headspace_m in self.headspaces:
            if top_m < below_m * (1 - ROUNDING):
                return headspace_m
        return self.headspaces[-1][1]

    def round_pot(self, top_m: float) -> RoundPotRow:
        """Return a round pot of any top diameter [m] between the least and the most.

        Between two rows the volume's share of diameter cubed and the height's share of the diameter
        are linear; the origin is the nearer row's.
        """
        rows = self.round_pots
        upper = min(bisect_right([row.top_m for row in rows], top_m), len(rows) - 1)
        below, above = rows[max(upper - 1, 0)], rows[upper]
        span = above.top_m - below.top_m
        t = min(max((top_m - below.top_m) / span, 0.0), 1.0) if span > 0 else 0.0

        def between(low: float, high: float) -> float:
            return low + t * (high - low)

        def volume(name: str) -> float:
            low, high = (getattr(row.brim_l, name) / row.top_m**3 for row in (below, above))
            return float(between(low, high) * top_m**3)

        height_share = between(below.height_m / below.top_m, above.height_m / above.top_m)
        return RoundPotRow(
            top_m=top_m,
            height_m=height_share * top_m,
            brim_l=Spread(volume("low"), volume("likely"), volume("high")),
            origin=(above if t > 0.5 else below).origin,
        )

    def tray(self, cells: int) -> TrayRow:
        """Return a tray of any number of cells, log volume linear in log cells between rows."""
        rows = self.trays
        for row in rows:
            if row.cells == cells:
                return row
        upper = min(max(bisect_right([row.cells for row in rows], cells), 1), len(rows) - 1)
        below, above = rows[upper - 1], rows[upper]
        t = log(cells / below.cells) / log(above.cells / below.cells)

        def between(low: float, high: float) -> float:
            return exp(log(low) + t * (log(high) - log(low)))

        low, likely, high = (
            between(getattr(below.cell_l, name), getattr(above.cell_l, name))
            for name in ("low", "likely", "high")
        )
        # No row of its own: nobody said what this one holds, so the range is a fifth wider.
        return TrayRow(
            cells=cells,
            cell_l=Spread(low * 0.9, likely, high * 1.1),
            height_m=between(below.height_m, above.height_m),
            origin=Origin(
                "common practice, no source",
                "M",
                f"between the trays of {below.cells} and {above.cells} cells",
            ),
        )

    def code_p_fill_l(self, width_m: float) -> tuple[float, Origin]:
        """Return the fill [L] of a P code by its width [m], and where it comes from."""
        rows = self.code_p_rows
        for row in rows:
            if abs(row.width_m - width_m) < ROUNDING:
                return row.fill_l, row.origin
        upper = min(max(bisect_right([row.width_m for row in rows], width_m), 1), len(rows) - 1)
        below, above = rows[upper - 1], rows[upper]
        t = (width_m - below.width_m) / (above.width_m - below.width_m)
        t = min(max(t, 0.0), 1.0)
        low, high = below.fill_l / below.width_m**3, above.fill_l / above.width_m**3
        note = "no published figure for this width: in proportion to the codes beside it"
        origin = Origin(below.origin.source, "C", note)
        return (low + t * (high - low)) * width_m**3, origin


@cache
def container_table() -> ContainerTable:
    """Return the catalogue of containers, read once."""
    table = read_table("containers")
    barrel, code_p = table["half_barrel"], table["code_p"]
    classes = [_class(table, row) for row in table["classes"]]
    return ContainerTable(
        classes={row.name: row for row in classes},
        round_pots=tuple(
            RoundPotRow(
                in_base(row, "top"),
                in_base(row, "height"),
                spread_in_base(row, "brim"),
                _origin(table, row),
            )
            for row in table["round_pot"]["rows"]
        ),
        round_least_m=in_base(table["round_pot"], "least"),
        round_most_m=in_base(table["round_pot"], "most"),
        round_weight_kg_per_l=spread_of(table["round_pot"]["weight_kg_per_l"]),
        proportions={kind: _proportion(table, kind) for kind in table["proportions"]},
        trays=tuple(_tray(table, row) for row in table["trays"]["rows"]),
        least_cells=table["trays"]["least_cells"],
        most_cells=table["trays"]["most_cells"],
        packs={row["cells"]: _tray(table, row) for row in table["packs"]["rows"]},
        cup=_rule(table, "cup"),
        window_box=_box(table, "window_box"),
        tree_pot=_box(table, "tree_pot"),
        bag=_rule(table, "bag"),
        bucket=_rule(table, "bucket"),
        code_c=_rule(table, "code_c"),
        code_p=_rule(table, "code_p"),
        code_p_rows=tuple(
            CodeRow(in_base(row, "width"), in_base(row, "fill"), _origin(table, row))
            for row in code_p["rows"]
        ),
        code_p_least_m=in_base(code_p, "least"),
        code_p_most_m=in_base(code_p, "most"),
        half_barrel=_half_barrel(table, barrel),
        headspaces=tuple(
            (in_base(row, "below") if "below_in" in row else inf, in_base(row, "headspace"))
            for row in table["headspace"]
        ),
    )


def _origin(table: Mapping[str, Any], row: Mapping[str, Any]) -> Origin:
    return Origin(source_text(table, row["source"]), row["grade"], row.get("note", ""))


def _class(table: Mapping[str, Any], row: Mapping[str, Any]) -> ContainerClass:
    low, high = row["band_in3"]
    low_l, high_l = in_base({"x_in3": low}, "x"), in_base({"x_in3": high}, "x")
    digits = row["name"].removeprefix("#")
    return ContainerClass(
        name=row["name"],
        number=int(digits) if digits.isdigit() else None,
        brim_l=Spread(low_l, in_base(row, "likely"), high_l),
        square=row.get("square", False),
        top_m=in_base(row, "top"),
        height_m=in_base(row, "height"),
        headspace_m=in_base(row, "headspace"),
        weight_kg=spread_in_base(row, "weight"),
        origin=_origin(table, row),
    )


def _proportion(table: Mapping[str, Any], kind: str) -> Proportion:
    row = table["proportions"][kind]
    return Proportion(
        square=row.get("square", False),
        height_share=row["height_share"],
        volume_share=spread_of(row["volume_share"]),
        least_m=in_base(row, "least"),
        most_m=in_base(row, "most"),
        weight_kg_per_l=spread_of(row["weight_kg_per_l"]),
        origin=_origin(table, row),
    )


def _tray(table: Mapping[str, Any], row: Mapping[str, Any]) -> TrayRow:
    cell_l, height_m = spread_in_base(row, "cell"), in_base(row, "height")
    packs_a_tray = row.get("packs_a_tray", 1)
    return TrayRow(row["cells"], cell_l, height_m, _origin(table, row), packs_a_tray)


def _box(table: Mapping[str, Any], name: str) -> BoxRow:
    row = table[name]
    usual = {f"{key}_m": in_base(row, key) for key in ("width", "height") if f"{key}_in" in row}
    return BoxRow(
        volume_share=spread_of(row["volume_share"]),
        least_m=in_base(row, "least"),
        most_m=in_base(row, "most"),
        most_deep_m=in_base(row, "most_deep" if "most_deep_in" in row else "height"),
        weight_kg_per_l=spread_of(row["weight_kg_per_l"]),
        origin=_origin(table, row),
        **usual,
    )


def _rule(table: Mapping[str, Any], name: str) -> VolumeRule:
    row = table[name]
    origin = _origin(table, row) if "source" in row else _origin(table, row["rows"][0])
    return VolumeRule(
        share=spread_of(row["share"]),
        height_per_width=row["height_per_width"],
        headspace_m=in_base(row, "headspace") if "headspace_in" in row else 0.0,
        weight_kg_per_l=spread_of(row["weight_kg_per_l"]),
        origin=origin,
    )


def _half_barrel(table: Mapping[str, Any], row: Mapping[str, Any]) -> HalfBarrelRow:
    low, high = row["brim_gal"]
    return HalfBarrelRow(
        rim_m=in_base(row, "rim"),
        bottom_m=in_base(row, "bottom"),
        height_m=in_base(row, "height"),
        headspace_m=in_base(row, "headspace"),
        brim_low_l=in_base({"x_gal": low}, "x"),
        brim_high_l=in_base({"x_gal": high}, "x"),
        weight_kg=spread_in_base(row, "weight"),
        origin=_origin(table, row),
    )
