"""What mixes and beds are made of, as typed rows of data/ingredients.toml.

With them the factors between a pot's volume and the mix to have ready: rows of data/factors.toml.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from types import MappingProxyType
from typing import Any, Final

from attrs import field, frozen

from rootroom.catalogue.spread import Spread
from rootroom.catalogue.tables import read_table, record, spread_of


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
            name: record(FactorRow, table, row, name=name, spread=spread_of(row["value"]))
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


TRAITS: Final = frozenset(
    {
        *("fine", "coarse", "moist", "dusty", "powder", "coated"),
        *("lime", "caustic", "manure", "moss", "sulfur"),
    }
)
"""What an ingredient may be: for shrink, the order of blending, and the cautions."""


BALE_L: Final = (28.0, 170.0)
"""What a bale is sold as [L]: bales of 1, 2.2 and 3.8 cu ft are listed; 6 cu ft is the largest.

A smaller bag is loose, a larger amount is had loose in bulk: common practice, no source.
"""


def _traits(value: Any) -> frozenset[str]:
    traits = frozenset(value)
    if not traits <= TRAITS:
        raise ValueError(f"traits must be of {sorted(TRAITS)}, got {sorted(traits - TRAITS)}")
    return traits


@frozen
class Ingredient:
    """A part of a mix, a layer of a bed, or an addition.

    `density_kg_per_m3` is as handled, loose and at the usual moisture, `dry_density_kg_per_m3`
    without its water; None where nobody said.
    `moisten_l_per_l` is water for a litre of loose ingredient before blending, `soak_l_per_kg` and
    `yields_l_per_kg` are water and loose litres for a kilogram of a pressed block, `swells` the
    loose litres of a compressed bale over those printed on it.
    `addition` tells what goes into finished mix by mass or spoon from what is a part of it.
    """

    name: str
    density_kg_per_m3: Spread | None = None
    dry_density_kg_per_m3: Spread | None = None
    moisten_l_per_l: Spread | None = None
    soak_l_per_kg: Spread | None = None
    yields_l_per_kg: Spread | None = None
    swells: Spread | None = None
    addition: bool = False
    traits: frozenset[str] = field(factory=frozenset, converter=_traits)
    aliases: tuple[str, ...] = ()
    source: str = "the plan's own"
    grade: str = "own"
    note: str = ""

    @property
    def coarse(self) -> bool:
        """Whether its pieces leave gaps that fine parts fall into."""
        return "coarse" in self.traits

    @property
    def moist(self) -> bool:
        """Whether it comes moist."""
        return "moist" in self.traits

    @property
    def dusty(self) -> bool:
        """Whether it raises dust when dry."""
        return "dusty" in self.traits

    @property
    def powder(self) -> bool:
        """Whether it is strewn between the layers of a batch."""
        return "powder" in self.traits

    @property
    def coated(self) -> bool:
        """Whether turning breaks it, so that it goes in last."""
        return "coated" in self.traits

    def bale(self, packed_l: float) -> Spread | None:
        """Return what a pack of so much [L] swells by if it is sold as a bale, or None."""
        least, most = BALE_L
        return self.swells if least <= packed_l <= most else None


@cache
def ingredients() -> Mapping[str, Ingredient]:
    """Return all shipped ingredients and additions by name, read once."""
    table = read_table("ingredients")
    rows = {name: _row(table, name, row) for name, row in table.items() if name != "sources"}
    return MappingProxyType(rows)


@cache
def ingredient_aliases() -> Mapping[str, str]:
    """Return other spellings and what they stand for: `pine bark` for `bark`."""
    found = {alias: row.name for row in ingredients().values() for alias in row.aliases}
    return MappingProxyType(found)


def find_ingredient(text: str) -> Ingredient | None:
    """Return the shipped ingredient that goes by a name or another spelling of it, or None."""
    name = " ".join(text.casefold().split())
    return ingredients().get(ingredient_aliases().get(name, name))


def _row(table: Mapping[str, Any], name: str, row: Mapping[str, Any]) -> Ingredient:
    def figure(key: str) -> Spread | None:
        return spread_of(row[key]) if key in row else None

    soaked = row.get("soak", False)
    return record(
        Ingredient,
        table,
        row,
        name=name,
        density_kg_per_m3=figure("density"),
        dry_density_kg_per_m3=figure("dry"),
        moisten_l_per_l=figure("moisten"),
        soak_l_per_kg=factor("coir_water_l_per_kg") if soaked else None,
        yields_l_per_kg=factor("coir_yield_l_per_kg") if soaked else None,
        swells=factor("swells") if row.get("swells", False) else None,
    )
