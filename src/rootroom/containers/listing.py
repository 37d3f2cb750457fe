"""The catalogue as a list to look through: every shipped container, or those that a text names."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches
from functools import cache

from rootroom.catalogue.containers import container_table
from rootroom.containers.by_size import shown
from rootroom.containers.container import Container
from rootroom.containers.text import read_container
from rootroom.problems import TextError

_WIDTHS_IN = {
    "azalea pot": (4, 5, 6, 8, 10, 12, 14),
    "pan": (6, 8, 10, 12, 14),
    "basket": (8, 10, 12, 14, 16),
    "square pot": (2, 2.5, 3, 3.5, 4, 5, 6),
    "clay pot": (3, 4, 6, 8, 10, 12, 14),
    "window box": (18, 24, 30, 36, 48),
}
_CUPS = ("8 oz cup", "12 oz cup", "16 oz cup", "18 oz cup", "20 oz cup", "7 cm cup", "9 cm cup")
_TREE_POTS_IN = ("2x7", "3x6", "3x9", "4x10", "4x14", "6x16")
_GALLONS = {"bag": (1, 2, 3, 5, 7, 10, 15, 20, 25, 30), "bucket": (1, 2, 3.5, 5)}
_LITRES = (1, 1.5, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 50)
_P_CODES = (7, 8, 9, 10, 11, 12, 13, 15)


@cache
def shipped_containers() -> tuple[Container, ...]:
    """Return the usual sizes of every kind of container, in the order of the trade's lists.

    Sizes between them are read just as well; this is what is worth printing.
    """
    table = container_table()
    texts = list(table.classes)
    texts += [f"{row.top_m / 0.0254:g} in pot" for row in table.round_pots]
    texts += [f"{width:g} in {kind}" for kind, widths in _WIDTHS_IN.items() for width in widths]
    texts += [f"{sizes} in tree pot" for sizes in _TREE_POTS_IN]
    texts += [f"{cells}-pack" for cells in table.packs]
    texts += [f"{row.cells}-cell tray" for row in table.trays]
    texts += _CUPS
    texts += [f"{size:g} gal {kind}" for kind, sizes in _GALLONS.items() for size in sizes]
    texts += [f"C{litres:g}" for litres in _LITRES]
    texts += [f"P{width}" for width in _P_CODES]
    texts.append("half barrel")
    return tuple(read_container(text) for text in texts)


def list_containers(text: str = "") -> tuple[Container, ...]:
    """Return the containers that a text names: one by its spelling, or all that hold its words.

    Without a text, all of them. Raises TextError where nothing fits.
    """
    words = text.casefold().split()
    if not words:
        return shipped_containers()
    try:
        return (read_container(text),)
    except TextError as error:
        found = _with(words)
        if found:
            return found
        if error.code != "unknown-container":
            raise
        raise TextError(
            f"no container has this in its name: `{shown(text)}`",
            code=error.code,
            hint=_nearest(words) or error.hint,
        ) from None


def _with(words: Sequence[str]) -> tuple[Container, ...]:
    return tuple(
        container
        for container in shipped_containers()
        if all(_matches(word, container) for word in words)
    )


def _nearest(words: Sequence[str]) -> str:
    """Return a hint with every word replaced by the nearest one of the list, if that finds any."""
    known = {
        word: None
        for container in shipped_containers()
        for word in f"{container.text} {container.kind}".casefold().split()
        if word.isalpha()
    }
    right = [
        word
        if word in known or not word.isalpha()
        else (get_close_matches(word, known, 1) or [word])[0]
        for word in words
    ]
    return f"did you mean `{' '.join(right)}`?" if right != list(words) and _with(right) else ""


def _matches(word: str, container: Container) -> bool:
    """Whether a word, singular or plural, stands in the container's text or kind.

    A number is a whole word: `3 gal` is not `30 gal bag`.
    """
    names = f"{container.text} {container.kind}".casefold()
    if word[0].isdigit():
        return word in names.split()
    singular = word.removesuffix("es") if word.endswith("boxes") else word.rstrip("s")
    return (singular or word) in names
