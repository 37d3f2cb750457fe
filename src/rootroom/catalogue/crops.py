"""What is known of a crop by its common name, as typed rows of data/crops.toml."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from functools import cache, lru_cache
from types import MappingProxyType

from attrs import frozen

from rootroom.catalogue.tables import read_table


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
