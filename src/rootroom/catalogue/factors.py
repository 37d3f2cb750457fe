"""The factors between a pot's volume and the mix to have ready: rows of data/factors.toml."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from types import MappingProxyType

from attrs import frozen

from rootroom.catalogue.spread import Spread
from rootroom.catalogue.tables import read_table, source_text, spread_of


@frozen(eq=False, repr=False)
class FactorRow:
    """One factor: its spread, where it comes from, and how a grower replaces it.

    `measure` says what to measure and `line` what to write in the plan then.
    """

    name: str
    spread: Spread
    source: str
    grade: str
    note: str
    measure: str
    line: str


@cache
def factor_rows() -> Mapping[str, FactorRow]:
    """Return all factors by name, read once."""
    table = read_table("factors")
    return MappingProxyType(
        {
            name: FactorRow(
                name=name,
                spread=spread_of(row["value"]),
                source=source_text(table, row["source"]),
                grade=row["grade"],
                note=row["note"],
                measure=row["measure"],
                line=row["line"],
            )
            for name, row in table.items()
            if name != "sources"
        }
    )


def factor_row(name: str) -> FactorRow:
    """Return one factor with its source; ValueError for a name that is not shipped."""
    rows = factor_rows()
    if name not in rows:
        raise ValueError(f"factor must be one of {', '.join(rows)}, got {name!r}")
    return rows[name]


def factor(name: str) -> Spread:
    """Return the shipped spread of one factor; ValueError for a name that is not shipped."""
    return factor_row(name).spread


def usual_shrink(coarse: Iterable[bool]) -> FactorRow | None:
    """Return the shrink of a mix that nobody measured, from which of its parts are coarse.

    None for a mix of one part, which loses nothing; the larger loss where coarse meets fine.
    """
    kinds = tuple(coarse)
    if len(kinds) < 2:
        return None
    return factor_row("shrink_unlike" if any(kinds) and not all(kinds) else "shrink_like")
