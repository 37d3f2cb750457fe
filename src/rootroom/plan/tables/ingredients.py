"""The table [ingredients]: the plan's own beside the shipped ones, found by any spelling.

Additions by weight and by volume meet in one unit only if somebody said what the thing weighs.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Any, NewType

from attrs import evolve, frozen

from rootroom.catalogue.ingredients import TRAITS, Ingredient, find_ingredient, ingredients
from rootroom.catalogue.spread import Spread
from rootroom.plan.diagnostics import Findings, Path
from rootroom.plan.entries import Bed, Supply
from rootroom.plan.measures import Density, Share
from rootroom.plan.model import Mix, Roster
from rootroom.plan.names import meant, shown, suggest, tables_under, tidy
from rootroom.plan.structure import structure
from rootroom.plan.values import READERS, Flag, choice
from rootroom.problems import Location

Trait = NewType("Trait", str)
READERS[Trait] = choice(*sorted(TRAITS))


@frozen(eq=False, repr=False)
class IngredientTable:
    """A table under [ingredients] as written."""

    density: Density | None = None
    dry: Density | None = None
    moisten: Share | None = None
    addition: Flag | None = None
    traits: tuple[Trait, ...] | None = None


@frozen
class Ingredients(Mapping[str, Ingredient]):
    """Every ingredient by name; another spelling of a shipped one finds it too."""

    own: Mapping[str, Ingredient]

    def __getitem__(self, name: str) -> Ingredient:
        own = self.name_of(name)
        if own is None:
            raise KeyError(name)
        return self.own.get(own) or ingredients()[own]

    def name_of(self, text: str) -> str | None:
        """Return the one name of an ingredient that goes by a text; None if there is none."""
        own = meant(text, self.own)
        if own is not None:
            return own
        found = find_ingredient(tidy(text))
        return None if found is None else found.name

    def find(
        self,
        text: str,
        path: Path,
        findings: Findings,
        *,
        mixes: Collection[str] | None = None,
        but: Collection[str] = (),
        with_: str = "",
        key: bool = False,
    ) -> str | None:
        """Return the one name of an ingredient, or of one of `mixes`; note an unknown one.

        The hint names no near name of `but`; else it says to describe a table, `with_` its key.
        """
        name = meant(text, mixes or ()) or self.name_of(text)
        if name is None:
            kind = "ingredient" if mixes is None else "ingredient or mix"
            known = [each for each in (*sorted(self), *(mixes or ())) if each not in but]
            described = f'describe it: `[ingredients."{text}"]`{with_}'
            findings.error(
                path,
                "unknown-ingredient",
                f"unknown {kind}: `{shown(text)}`",
                hint=suggest(text, known, described) if tidy(text) else "name what belongs here",
                key=key,
            )
        return name

    def __iter__(self) -> Iterator[str]:
        return iter({**ingredients(), **self.own})

    def __len__(self) -> int:
        return len({**ingredients(), **self.own})


def additions(
    given: Mapping[str, Any] | None, path: Path, known: Ingredients, findings: Findings
) -> dict[str, Any]:
    """Return rates or amounts by the addition's own name; unknown ones are noted at `path`."""
    found = {}
    for text, amount in (given or {}).items():
        name = known.find(text, (*path, text), findings, but=given or (), key=True)
        if name is None:
            continue
        if name in found:
            findings.error(
                (*path, text),
                "part-twice",
                f"two names of one thing: `{text}` is `{name}`",
                key=True,
            )
        elif amount is not None:
            found[name] = amount
    return found


def read_ingredients(data: dict[str, Any], findings: Findings) -> Ingredients:
    """Return the shipped ingredients and the plan's own; only the keys given are replaced."""
    hint = 'write `[ingredients."rice hulls"]` with its `density`'
    own = {}
    raw = tables_under("ingredients", data, "ingredient", hint, findings)
    for given, entry in raw.items():
        name, path = tidy(given), ("ingredients", given)
        table = structure(IngredientTable, entry, path, findings)
        own[name] = _ingredient(name, table, path, findings)
    return Ingredients(own)


def _ingredient(name: str, table: IngredientTable, path: Path, findings: Findings) -> Ingredient:
    shipped = find_ingredient(name)
    base = Ingredient(name) if shipped is None else evolve(shipped, name=name)
    if table.density is not None and table.dry is not None and table.dry > table.density:
        findings.error(
            (*path, "dry"),
            "impossible-measure",
            f"heavier dry than as handled: `{table.dry:.0f} kg/m3` over "
            f"`{table.density:.0f} kg/m3`",
        )
        return base
    changes: dict[str, Any] = {}
    if table.density is not None:
        changes["density_kg_per_m3"] = Spread.exactly(table.density)
    if table.dry is not None:
        changes["dry_density_kg_per_m3"] = Spread.exactly(table.dry)
    if table.moisten is not None:
        changes["moisten_l_per_l"] = Spread.exactly(table.moisten)
    if table.addition is not None:
        changes["addition"] = bool(table.addition)
    if table.traits is not None:
        changes["traits"] = frozenset(str(each) for each in table.traits if each is not None)
    return evolve(base, **changes)


def used_ingredients(
    known: Ingredients,
    mixes: Mapping[str, Mix],
    roster: Roster,
    beds: tuple[Bed, ...],
    supplies: tuple[Supply, ...],
) -> dict[str, Ingredient]:
    """Return every ingredient and addition that the plan names, in order of name."""
    names = {name for mix in mixes.values() for name in (*mix.parts, *mix.add)}
    names |= {name for kind in roster.kinds for move in kind.moves for name in move.add}
    care = (step for kind in roster.kinds for move in kind.moves for step in move.care)
    names |= {step.of for step in care if step.of}
    names |= {layer.of for bed in beds for layer in bed.layers}
    names |= {supply.of for supply in supplies if supply.of_kind in ("ingredient", "addition")}
    names |= set(known.own)
    return {name: known[name] for name in sorted(names - set(mixes)) if name in known}


_HINTS = (
    'write `weighs = "12 oz/cup"` on a supply of it, or `[ingredients."{name}"]` with its '
    '`density = "12 oz/cup"`'
)


def check_weights(
    mixes: Mapping[str, Mix],
    roster: Roster,
    supplies: tuple[Supply, ...],
    ingredients: Ingredients,
    findings: Findings,
) -> None:
    """Note additions whose weight is needed and not known."""
    used: dict[str, dict[str, Location]] = {}
    for name, unit, where in _uses(mixes, roster, findings):
        used.setdefault(name, {}).setdefault(unit, where)
    for name, units in used.items():
        if name not in ingredients or _weight_known(name, supplies, ingredients):
            continue
        if len(units) > 1:
            first, second = sorted(units.values())
            findings.error_at(
                second,
                "needs-weight",
                f"`{name}` is given by weight and by volume, and its weight is not known",
                hint=_HINTS.format(name=name),
                related=((first, "the other is here"),),
            )
            continue
        unit = next(iter(units))
        for supply in supplies:
            if supply.of != name or _in_unit(supply, unit):
                continue
            sold, given = ("volume", "weight") if unit == "kg" else ("weight", "volume")
            findings.error_at(
                supply.where,
                "needs-weight",
                f"`{name}` is had by {sold} and given by {given}, and its weight is not known",
                hint=_HINTS.format(name=name),
                related=((units[unit], "it is given here"),),
            )


def _uses(
    mixes: Mapping[str, Mix], roster: Roster, findings: Findings
) -> Iterator[tuple[str, str, Location]]:
    for mix in mixes.values():
        for name, rate in mix.add.items():
            where = findings.where(("mixes", mix.name, "add", name))
            yield name, "l" if rate.kg_per_l is None else "kg", where
    for kind in roster.kinds:
        for move in kind.moves:
            for name, amount in move.add.items():
                yield name, "l" if amount.kg is None else "kg", move.where
            for step in move.care:
                if step.of is not None and step.amount is not None:
                    yield step.of, "l" if step.amount.kg is None else "kg", move.where


def _weight_known(name: str, supplies: tuple[Supply, ...], ingredients: Ingredients) -> bool:
    if ingredients[name].density_kg_per_m3 is not None:
        return True
    return any(s.of == name and s.mass_kg and s.loose_l is not None for s in supplies)


def _in_unit(supply: Supply, unit: str) -> bool:
    if unit == "kg":
        return supply.mass_kg is not None or supply.have_kg is not None
    return supply.loose_l is not None or supply.have_l is not None
