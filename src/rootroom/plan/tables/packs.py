"""An entry of `supplies` as written, and what one of its packages comes to.

That is loose litres, kilograms, and the water that it takes.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Literal, NewType

from attrs import frozen

from rootroom.catalogue.ingredients import Ingredient, factor
from rootroom.catalogue.spread import Spread
from rootroom.plan.context import Context
from rootroom.plan.diagnostics import Path
from rootroom.plan.entries import Pack
from rootroom.plan.measures import Density, Factor, Litres
from rootroom.plan.values import MOST, READERS, Cents, Count, Number, Text, exact, read_count, show
from rootroom.problems import TextError
from rootroom.units import read_amount

PackText = NewType("PackText", Pack)
Kind = Literal["ingredient", "addition", "container", "mix"]


def read_pack(value: object) -> Pack:
    """Return what one package holds: pieces, litres or kilograms."""
    if isinstance(value, int | Decimal) and not isinstance(value, bool):
        pieces = read_count(value)
        return Pack(str(pieces), pieces=pieces)
    if not isinstance(value, str):
        raise TextError(
            f"a package needs its size: {show(value)}",
            code="needs-unit",
            hint='write `pack = "2 cu ft"`, `"5 kg"`, or a bare number of pieces',
        )
    if value.strip().isdecimal():
        raise TextError(
            f"an amount needs a unit: {show(value)}",
            code="missing-unit",
            hint=f'write its unit, `"{value.strip()} L"`, or pieces without quotes: '
            f"`{value.strip()}`",
        )
    amount = read_amount(value)
    size = amount.l if amount.l is not None else amount.kg
    if size is None or size <= 0:
        raise TextError(f"a size must be above zero: {show(value)}", code="zero-size")
    if size > MOST:
        raise TextError(f"a size beyond any garden: {show(value)}", code="too-large")
    if amount.l is not None:
        return Pack(value, litres=exact(amount.l))
    return Pack(value, kilograms=exact(size))


READERS[PackText] = read_pack


@frozen(eq=False, repr=False)
class BreakTable:
    """A quantity price as written."""

    packs: Count | None = None
    price: Cents | None = None


@frozen(eq=False, repr=False)
class SupplyTable:
    """An entry of `supplies` as written."""

    of: Text | None = None
    pack: PackText | None = None
    price: Cents | None = None
    from_: Text | None = None
    on_hand: Number | None = None
    have: PackText | None = None
    swells: Factor | None = None
    yields: Litres | None = None
    water: Litres | None = None
    weighs: Density | None = None
    more: tuple[BreakTable, ...] | None = None
    at_most: Count | None = None


def units_fit(table: SupplyTable, kind: Kind, path: Path, context: Context) -> bool:
    """Note a size that does not suit the thing."""
    fine = True
    for key in ("pack", "have"):
        size: Pack | None = getattr(table, key)
        if size is None:
            continue
        if kind == "container" and size.pieces is None:
            hint = f"write the number in a package: `{key} = 10`"
            message = f"containers are counted in pieces: `{size.text}`"
        elif kind != "container" and size.pieces is not None:
            hint = f'write its unit: `{key} = "{size.text} L"`, `"{size.text} cu ft"` or a weight'
            message = f"a size needs its unit: `{size.text}`"
        elif kind == "mix" and size.litres is None:
            hint = "write the volume that stands on the bag"
            message = f"a mix is had by volume: `{size.text}`"
        else:
            continue
        context.findings.error((*path, key), "needs-unit", message, hint=hint)
        fine = False
    return fine


def pack_content(
    table: SupplyTable,
    kind: Kind,
    ingredient: Ingredient | None,
    path: Path,
    context: Context,
) -> tuple[Spread | None, float | None] | None:
    """Return what one pack comes to: loose litres and kilograms; None where that is not known."""
    findings = context.findings
    size = table.pack or table.have
    if any(findings.seen((*path, key)) for key in ("pack", "have", "swells", "yields", "weighs")):
        return None
    if kind == "container" or size is None:
        return (None, None) if size is not None else None
    if table.swells is not None and table.swells.low < 1:
        findings.error(
            (*path, "swells"),
            "bad-swelling",
            f"what is loosened does not shrink: `{table.swells.low:g}`",
            hint="`swells` is loose volume over packed volume, at least 1",
        )
        return None
    if table.swells is not None and table.yields is not None:
        findings.error(
            (*path, "yields"),
            "swells-and-yields",
            "a pack `swells` or `yields`, not both",
            key=True,
        )
        return None
    return _litres_and_mass(table, size, kind, ingredient, path, context)


def _litres_and_mass(
    table: SupplyTable,
    size: Pack,
    kind: Kind,
    ingredient: Ingredient | None,
    path: Path,
    context: Context,
) -> tuple[Spread | None, float | None] | None:
    density = _density(table, ingredient)
    if size.litres is not None:
        loose = _loosened(table, ingredient, float(size.litres))
        return loose, None if density is None else loose.likely * density.likely / 1000
    kilograms = float(size.kilograms or 0)
    if table.swells is not None:
        context.findings.error(
            (*path, "swells"),
            "bad-swelling",
            f"a pack by weight does not swell: `{size.text}`",
            hint='write what it comes to: `yields = "65 L"`',
            key=True,
        )
        return None
    if table.yields is not None:
        return Spread.exactly(table.yields), kilograms
    if table.weighs is None and ingredient is not None and ingredient.yields_l_per_kg is not None:
        return ingredient.yields_l_per_kg.map(lambda x: x * kilograms), kilograms
    if density is not None:
        litres = (kilograms / x * 1000 for x in (density.high, density.likely, density.low))
        return Spread(*litres), kilograms
    if kind == "addition":
        return None, kilograms
    context.findings.error(
        (*path, "pack" if table.pack is not None else "have"),
        "needs-weight",
        f"`{table.of}` is had by weight and measured by volume: `{size.text}`",
        hint='write `weighs = "12 oz/cup"`, or what the pack comes to: `yields = "65 L"`',
    )
    return None


def _loosened(table: SupplyTable, ingredient: Ingredient | None, litres: float) -> Spread:
    """Return what a pack by volume comes to: swollen, as stated, or as full as bags are [L]."""
    if table.yields is not None:
        return Spread.exactly(table.yields)
    swells = table.swells or bale_swelling(table, ingredient)
    if swells is not None:
        return swells.map(lambda x: x * litres)
    if table.pack is not None:
        return factor("contents").map(lambda x: x * litres)
    return Spread.exactly(litres)


def bale_swelling(table: SupplyTable, ingredient: Ingredient | None) -> Spread | None:
    """Return the shipped swelling of a pack that is sold as a bale and says nothing of it."""
    pack = table.pack
    told = table.swells is not None or table.yields is not None
    if told or ingredient is None or pack is None or pack.litres is None:
        return None
    return ingredient.bale(float(pack.litres))


def taken_for_granted(
    table: SupplyTable, ingredient: Ingredient | None, swells: Spread | None
) -> Literal["", "swells", "yields"]:
    """Return the key that was left out where the shipped range stands for it."""
    if swells is not table.swells:
        return "swells"
    by_weight = table.pack is not None and table.pack.kilograms is not None
    told = table.yields is not None or table.weighs is not None
    soaked = by_weight and not told and ingredient is not None and ingredient.yields_l_per_kg
    return "yields" if soaked else ""


def water_l(table: SupplyTable, ingredient: Ingredient | None) -> float | None:
    """Return the water that one pack is soaked with [L]."""
    if table.water is not None:
        return table.water
    by_weight = table.pack is not None and table.pack.kilograms is not None
    if not by_weight or ingredient is None or ingredient.soak_l_per_kg is None:
        return None
    assert table.pack is not None
    return ingredient.soak_l_per_kg.likely * float(table.pack.kilograms or 0)


def _density(table: SupplyTable, ingredient: Ingredient | None) -> Spread | None:
    if table.weighs is not None:
        return Spread.exactly(table.weighs)
    return None if ingredient is None else ingredient.density_kg_per_m3
