"""Containers of the trade, as typed rows of data/containers.toml.

Lengths [m], volumes [L], masses [kg]; each row carries its source in words and its grade.
A row is made once from its file, so it does without methods that compare or print it: attrs would
compile them for every class at each start.
What a container's text means is decided in `rootroom.containers`.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from functools import cache
from math import exp, inf, log
from typing import Any, TypeVar

from attrs import frozen

from rootroom.catalogue.spread import Spread
from rootroom.catalogue.tables import Record, in_base, read_table, record, source_text, spread_of
from rootroom.tolerances import ROUNDING

Row = TypeVar("Row")


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
    top_m: float
    height_m: float
    headspace_m: float
    weight_kg: Spread
    origin: Origin
    square: bool = False

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

    height_share: float
    volume_share: Spread
    least_m: float
    most_m: float
    weight_kg_per_l: Spread
    origin: Origin
    square: bool = False


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
    weight_kg_per_l: Spread
    origin: Origin
    headspace_m: float = 0.0


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
        below, above = _beside(rows, [row.top_m for row in rows], top_m)
        t = min(max((top_m - below.top_m) / (above.top_m - below.top_m), 0.0), 1.0)

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
        below, above = _beside(rows, [row.cells for row in rows], cells)
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
        below, above = _beside(rows, [row.width_m for row in rows], width_m)
        t = (width_m - below.width_m) / (above.width_m - below.width_m)
        t = min(max(t, 0.0), 1.0)
        low, high = below.fill_l / below.width_m**3, above.fill_l / above.width_m**3
        note = "no published figure for this width: in proportion to the codes beside it"
        origin = Origin(below.origin.source, "C", note)
        return (low + t * (high - low)) * width_m**3, origin


def _beside(rows: Sequence[Row], sizes: Sequence[float], size: float) -> tuple[Row, Row]:
    """Return the two rows that a size lies between, or the two at the end that it lies beyond."""
    upper = min(max(bisect_right(sizes, size), 1), len(rows) - 1)
    return rows[upper - 1], rows[upper]


@cache
def container_table() -> ContainerTable:
    """Return the catalogue of containers, read once."""
    table = read_table("containers")
    round_pot, code_p, box = table["round_pot"], table["code_p"], table["window_box"]
    barrel = table["half_barrel"]
    low_l, high_l = (in_base({"brim_gal": one}, "brim") for one in barrel["brim_gal"])

    def row(cls: type[Record], given: Mapping[str, Any], **own: Any) -> Record:
        origin = _origin(table, given if "source" in given else given["rows"][0])
        return record(cls, table, given, origin=origin, **own)

    def rows(cls: type[Record], name: str) -> tuple[Record, ...]:
        return tuple(row(cls, each) for each in table[name]["rows"])

    return ContainerTable(
        classes={one["name"]: row(ContainerClass, **_class(one)) for one in table["classes"]},
        round_pots=rows(RoundPotRow, "round_pot"),
        round_least_m=in_base(round_pot, "least"),
        round_most_m=in_base(round_pot, "most"),
        round_weight_kg_per_l=spread_of(round_pot["weight_kg_per_l"]),
        proportions={kind: row(Proportion, one) for kind, one in table["proportions"].items()},
        trays=rows(TrayRow, "trays"),
        least_cells=table["trays"]["least_cells"],
        most_cells=table["trays"]["most_cells"],
        packs={pack.cells: pack for pack in rows(TrayRow, "packs")},
        window_box=row(BoxRow, box, most_deep_m=in_base(box, "height")),
        tree_pot=row(BoxRow, table["tree_pot"]),
        cup=row(VolumeRule, table["cup"]),
        bag=row(VolumeRule, table["bag"]),
        bucket=row(VolumeRule, table["bucket"]),
        code_c=row(VolumeRule, table["code_c"]),
        code_p=row(VolumeRule, code_p),
        code_p_rows=rows(CodeRow, "code_p"),
        code_p_least_m=in_base(code_p, "least"),
        code_p_most_m=in_base(code_p, "most"),
        half_barrel=row(HalfBarrelRow, barrel, brim_low_l=low_l, brim_high_l=high_l),
        headspaces=tuple(
            (in_base(row, "below") if "below_in" in row else inf, in_base(row, "headspace"))
            for row in table["headspace"]
        ),
    )


def _origin(table: Mapping[str, Any], row: Mapping[str, Any]) -> Origin:
    return Origin(source_text(table, row["source"]), row["grade"], row.get("note", ""))


def _class(row: Mapping[str, Any]) -> dict[str, Any]:
    """Return a class with its number and its brim, given as a band and a likely figure."""
    low_l, high_l = (in_base({"brim_in3": end}, "brim") for end in row["band_in3"])
    digits = row["name"].removeprefix("#")
    return {
        "given": row,
        "number": int(digits) if digits.isdigit() else None,
        "brim_l": Spread(low_l, in_base(row, "likely"), high_l),
    }
