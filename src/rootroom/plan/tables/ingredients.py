"""The table [ingredients]: the plan's own beside the shipped ones, found by any spelling."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NewType

from attrs import evolve, frozen

from rootroom.catalogue.ingredients import TRAITS, Ingredient, find_ingredient, ingredients
from rootroom.catalogue.spread import Spread
from rootroom.plan.bed import Bed
from rootroom.plan.diagnostics import Findings, Path
from rootroom.plan.goods import Supply
from rootroom.plan.measures import Density, Share
from rootroom.plan.model import Mix, Roster
from rootroom.plan.names import meant, shown, suggest, tables_under, tidy
from rootroom.plan.structure import structure
from rootroom.plan.values import READERS, Flag, choice

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
        name = known.name_of(text)
        if name is None:
            hint = f'describe it: `[ingredients."{text}"]`'
            findings.error(
                (*path, text),
                "unknown-ingredient",
                f"unknown ingredient: `{shown(text)}`",
                hint=suggest(text, sorted(set(known) - set(given or ())), hint),
                key=True,
            )
        elif name in found:
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
