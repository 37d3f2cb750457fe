"""What plants are grown for and how much air and water is usual there; what is known of a crop.

Rows of data/uses.toml, data/live_loads.toml and data/crops.toml, as published or common practice.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from difflib import get_close_matches
from functools import cache, lru_cache, partial
from types import MappingProxyType
from typing import Literal

from attrs import frozen

from rootroom.catalogue.tables import read_table, record, source_text


@frozen
class Band:
    """A published range of air or water [shares of the volume]; an end that is None is open.

    Measured in a straight core of `core_m`, at one tension [cm], or (neither) in the drained
    container itself. `first` marks the one that a verdict rests on.
    """

    use: str
    of: Literal["air", "water"]
    low: float | None
    high: float | None
    core_m: float | None
    tension_cm: float | None
    source: str
    grade: str
    first: bool

    @property
    def measured(self) -> str:
        """How it was measured, in words."""
        if self.core_m is not None:
            return f"in a {self.core_m * 100:g} cm core"
        if self.tension_cm is not None:
            return f"at {self.tension_cm:g} cm tension"
        return "in the container"


@frozen
class Use:
    """What plants are grown for: its bands, and words where no figures are published."""

    name: str
    bands: tuple[Band, ...]
    words: str
    words_source: str


@frozen
class LimeRate:
    """Published rates of ground limestone [kg/m3 of finished mix] by what a mix is made of."""

    parts: frozenset[str]
    low: float
    high: float
    text: str
    sources: tuple[str, ...]


@frozen
class LiveLoad:
    """A published design live load [kg/m2] and the edition that prints it."""

    place: str
    kg_per_m2: float
    edition: str
    source: str


_table = partial(read_table, "uses")


@cache
def _bands() -> tuple[Band, ...]:
    open_ends = {"low": None, "high": None, "core_m": None, "tension_cm": None, "first": False}
    return tuple(record(Band, _table(), {**open_ends, **row}) for row in _table()["band"])


@cache
def uses() -> dict[str, Use]:
    """Return every use by its name; its own bands come before those that it shares."""
    found = {}
    for name, row in _table()["use"].items():
        bands = [band for use in (name, *row["also"]) for band in _bands() if band.use == use]
        key = row.get("words_source")
        source = source_text(_table(), key) if key else "common practice, no source"
        found[name] = Use(name, tuple(bands), row.get("words", ""), source)
    return found


@cache
def _names() -> tuple[tuple[re.Pattern[str], bool, str], ...]:
    """Return a pattern for each name, whether it names a crop or only a kind, and the use."""
    return tuple(
        (re.compile(rf"\b{re.escape(name)}(s|es)?\b"), is_crop, use)
        for use, row in _table()["use"].items()
        for is_crop, names in ((True, row["crops"]), (False, row.get("kinds", ())))
        for name in names
    )


def use_of(crop: str | None) -> Use:
    """Return what a crop is grown for; plain container plants where it is not known.

    Whole words count, in the singular or plural, and the last one: `cherry tomatoes` are tomatoes.
    A kind, as in `fig tree`, counts only where no crop is named.
    """
    text = (crop or "").casefold()
    best: tuple[bool, int, int] = (False, -1, 0)
    found = "container plants"
    for pattern, is_crop, use in _names():
        for match in pattern.finditer(text):
            rank = (is_crop, match.end(), len(match.group()))
            if rank > best:
                best, found = rank, use
    return uses()[found]


@cache
def coarse_parts() -> tuple[str, ...]:
    """Return the ingredients that open a mix, the usual first."""
    return tuple(_table()["parts"]["coarse"])


@cache
def fine_parts() -> tuple[str, ...]:
    """Return the ingredients that make a mix hold more water, the usual first."""
    return tuple(_table()["parts"]["fine"])


@cache
def lime_rates() -> tuple[LimeRate, ...]:
    """Return the published rates of limestone in the order of the file."""
    return tuple(record(LimeRate, _table(), row) for row in _table()["lime"])


@cache
def most_published() -> Mapping[str, float]:
    """Return the highest published rate of each addition [kg/m3 of finished mix]."""
    return {name: row["most"] for name, row in _table()["rates"].items()}


@cache
def live_loads() -> tuple[LiveLoad, ...]:
    """Return the published design live loads in the order of the file."""
    table = read_table("live_loads")
    factor = table["lb_ft2_to_kg_m2"]
    return tuple(
        LiveLoad(row["place"], row["lb_ft2"] * factor, row["edition"], row["source"])
        for row in table["load"]
    )


@frozen(eq=False, repr=False)
class Crop:
    """A crop: `tender` to frost, `annual`, moved by `small_steps` only, or `woody` and dormant."""

    name: str
    tender: bool = False
    annual: bool = False
    small_steps: bool = False
    woody: bool = False


@cache
def crops() -> Mapping[str, Crop]:
    """Return all known crops by name, read once."""
    table = read_table("crops")
    lists = {key: frozenset(row["names"]) for key, row in table.items() if key != "sources"}
    names = sorted(frozenset().union(*lists.values()))
    return MappingProxyType(
        {
            name: Crop(name, **{key: name in listed for key, listed in lists.items()})
            for name in names
        }
    )


def repot_years(text: str | None) -> int:
    """Return after how many years in one pot a crop is due; what is not known as a woody one."""
    crop = None if text is None else find_crop(text)
    kind = "small_steps" if crop is not None and crop.small_steps else "woody"
    years: int = read_table("crops")[kind]["repot_years"]
    return years


@lru_cache(maxsize=4096)
def find_crop(text: str) -> Crop | None:
    """Return the crop that a text names, or None: `Tomatoes`, `cherry tomato`, `fig tree`.

    The whole text counts first, then its last word, then its first: `sweet potato` is no potato.
    """
    known = crops()
    words = text.casefold().replace(",", " ").split()
    if not words:
        return None
    for phrase in (" ".join(words), words[-1], words[0]):
        for name in _singulars(phrase):
            if name in known:
                return known[name]
    return None


@lru_cache(maxsize=4096)
def near_crop(text: str) -> str | None:
    """Return the known crop that a misspelt one comes close to, if one does."""
    return next(iter(get_close_matches(text.casefold().strip(), list(crops()), 1, 0.83)), None)


def _singulars(word: str) -> tuple[str, ...]:
    """Return the word and what it may be the plural of."""
    forms = [word]
    if word.endswith("ies"):
        forms.append(word[:-3] + "y")
    if word.endswith("es"):
        forms.append(word[:-2])
    if word.endswith("s"):
        forms.append(word[:-1])
    if word == "cacti":
        forms.append("cactus")
    return tuple(forms)
