"""What a container's text means, in the trade's own spellings; the catalogue to look through.

`read_container("#3")`, `"12 in pot"`, `"72-cell tray"`, `"5 gal bag"`, `"C10"`, `"half barrel"`, a
name of the plan's own. Many spellings of one container come back with one `text`.
A bare `3 gal` is refused, since the trade means class #3 by it and a measuring cup three gallons.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from functools import cache, lru_cache
from types import MappingProxyType

from rootroom.catalogue.containers import container_table
from rootroom.containers import usual
from rootroom.containers.by_size import (
    LENGTH_END,
    LONGEST_TEXT,
    cup,
    of_kind,
    pack,
    shown,
    spell_length,
    tree_pot,
    unknown,
    volume,
)
from rootroom.containers.container import Container
from rootroom.problems import TextError
from rootroom.visible import printable

NO_OWN: Mapping[str, Container] = MappingProxyType({})

_NOUN = r"(?:\s*(?:class|nursery|plastic|clay|round))*(?:\s*(?:pots?|containers?|cans?))?"
_CLASS = re.compile(rf"(?:class\s*)?(?:#|no\.?\s*|number\s+)\s*(sp\s*)?(\d+){_NOUN}")
_SMALL_CLASS = re.compile(rf"(?:class\s*)?#?\s*(sp)\s*(\d+){_NOUN}")
_TRAY = re.compile(
    r"(\d+)\s*(?:-\s*)?(?:cells?|plugs?)(?:\s*(?:plug\s*)?(?:trays?|flats?))?"
    r"|(?:(?:plug|cell)\s*)?(?:tray|flat)s?(?: of)? (\d+)(?:\s*cells?)?"
)
_PACK = re.compile(
    r"(\d+|four|six)[\s-]*(?:cells?\s*)?(?:cell\s*)?packs?|(?:cell\s*)?packs? of (\d+|four|six)"
)
_CUP = re.compile(
    r"(\S.*?)\s*(fl\.?\s*oz|oz|(?:fluid\s+)?ounces?|ml|cl|l|lit(?:er|re)s?|cm|mm|in|inch|inches|\")\.?"
    r"\s*(?:(?:plastic|paper|drink|drinking|nursery|yogh?urt)\s+)*cups?"
)
_TREE_POT = re.compile(r"(.*?)\s*(?:deep\s+)?(?:tree|forestry)\s*pots?")
_CODE = re.compile(r"([cp])\s*(\d+(?:\.\d+)?)(?:\s*(?:pots?|containers?))?")
_CODE_COMMA = re.compile(r"([cp])\s*\d+,\d+")
_NOUN_FIRST = re.compile(
    r"((?:(?:fabric|grow|hanging|azalea|square|clay|round) )?"
    r"(?:bag|pot|bucket|basket|pan|window box))s?,? "
    r"((?:[cp] ?|#)?[\d½¼¾⅓⅔⅛].*)"
)
_BARREL = re.compile(r"(?:half|½|1/2)\s*-?\s*(?:(?:whiske?y|wine|oak)\s+)?barrels?")
_DIGIT = re.compile(r"[\d½¼¾⅓⅔⅛]")
_NOTHING = {
    **{name: name for name in ("bare root", "cutting", "seed")},
    **{"bare-root": "bare root", "bareroot": "bare root", "cuttings": "cutting", "seeds": "seed"},
}
_KINDS = {
    "basket": "hanging basket, basket",
    "azalea pot": "azalea pot, azalea",
    "pan": "bulb pan, pan",
    "square pot": "square pot, square",
    "bag": "fabric grow bag, fabric pot, cloth pot, grow bag, fabric bag, fabric, bag",
    "bucket": "bucket, pail",
    "round pot": "standard pot, round pot, round, nursery pot, plastic pot, pot, container",
    "clay pot": "clay pot, clay, terracotta pot, terra cotta pot, terracotta, terra cotta",
    "window box": "window box, windowbox, balcony box, flower box",
}
"""Words at the end of a container's text, by the kind that they mean."""
_SUFFIXES = sorted(
    ((word, kind) for kind, words in _KINDS.items() for word in words.split(", ")),
    key=lambda pair: -len(pair[0]),
)


def read_container(text: str, own: Mapping[str, Container] = NO_OWN) -> Container:
    """Return the container that a text names; a name in `own` wins over the catalogue.

    `own` goes by the text as written and by `Container.text`, so that `#3 pot` finds `#3`.
    Raises TextError: unknown-container, ambiguous-container, container-size, or that of a quantity.
    """
    found = own.get(text) or own.get(text.strip())
    if found is not None:
        return found
    try:
        container = _read_catalogue(text)
    except TextError as error:
        close = get_close_matches(
            text.strip().casefold(), [name.casefold() for name in own], 1, 0.75
        )
        if close:
            name = next(name for name in own if name.casefold() == close[0])
            raise TextError(
                error.message, code=error.code, hint=f"did you mean `{name}`?"
            ) from None
        raise
    return own.get(container.text, container)


def is_container(text: str) -> bool:
    """Return whether a text names a container of the catalogue."""
    try:
        read_container(text)
    except TextError:
        return False
    return True


@lru_cache(maxsize=4096)
def _read_catalogue(text: str) -> Container:
    """Return the catalogue's container for a text."""
    if len(text) > LONGEST_TEXT:
        raise unknown(text)
    if not printable(" ".join(text.split())):
        raise TextError(
            f"a container's text holds a character that cannot be seen: `{shown(text)}`",
            code="hidden-character",
            hint="type the text anew rather than pasting it",
        )
    clean = _clean(text)
    if clean in _NOTHING:
        return usual.no_container(_NOTHING[clean])
    if _BARREL.fullmatch(clean):
        return usual.half_barrel()
    if match := _CLASS.fullmatch(clean) or _SMALL_CLASS.fullmatch(clean):
        return _class(text, "SP" if match[1] else "", match[2])
    if match := _TRAY.fullmatch(clean):
        return _tray(text, match[1] or match[2])
    if match := _PACK.fullmatch(clean):
        return pack(text, match[1] or match[2])
    if (match := _CUP.fullmatch(clean)) and _DIGIT.search(match[1]):
        return cup(text, match[1], match[2])
    if match := _TREE_POT.fullmatch(clean):
        return tree_pot(text, match[1])
    if match := _CODE.fullmatch(clean):
        return _code(text, match[1].upper(), float(match[2]))
    if _CODE_COMMA.match(clean):
        hint = f"write `{clean.upper().replace(',', '.')}`"
        raise unknown(text, hint)
    return _sized(text, clean)


def _clean(text: str) -> str:
    """Return the text in lower case with single spaces, plain marks and plain hyphens."""
    clean = text.casefold()
    for marks, plain in (("“”″„", '"'), ("‘’′", "'"), ("‐‑‒–", "-")):
        clean = re.sub(f"[{marks}]", plain, clean)
    clean = " ".join(re.sub(r"(?<=[\d\"'])\s*-\s*(?=[a-z])", " ", clean).split())
    noun_first = _NOUN_FIRST.fullmatch(clean)
    return f"{noun_first[2]} {noun_first[1]}" if noun_first else clean


def _sized(text: str, clean: str) -> Container:
    """Return a container named by a size and a word, or by a volume alone."""
    singular = clean if clean.endswith("inches") else clean.removesuffix("s")
    singular = singular.removesuffix("e") if clean.endswith("boxes") else singular
    for suffix, kind in _SUFFIXES:
        for whole in (clean, singular):
            size = whole.removesuffix(suffix)
            if size != whole and (_DIGIT.search(size) or kind == "window box"):
                return of_kind(text, size.strip(), kind)
    if LENGTH_END.search(clean):
        size = spell_length(clean)
        raise TextError(
            f"a size without the kind of container: `{shown(text)}`",
            code="ambiguous-container",
            hint=f"write `{size} pot`, `{size} azalea pot`, `{size} pan`, `{size} basket` or "
            f"`{size} square pot`",
        )
    if _DIGIT.search(clean):
        return volume(text, clean)
    raise unknown(text)


def _class(text: str, small: str, digits: str) -> Container:
    classes = container_table().classes
    name = f"#{small}{digits.lstrip('0') or '0'}"
    if name in classes:
        return usual.class_pot(classes[name])
    names = [key for key in classes if key.startswith("#SP") == bool(small)]
    raise TextError(
        f"no such container class: `{shown(text)}`",
        code="unknown-container",
        hint=f"classes are {', '.join(names)}; another needs its table: "
        f'[containers."{name}"] volume = ".."',
    )


def _tray(text: str, digits: str) -> Container:
    table = container_table()
    cells = int(digits) if len(digits) < 9 else 0
    if not table.least_cells <= cells <= table.most_cells:
        raise TextError(
            f"cells of a tray must be {table.least_cells} to {table.most_cells}: `{shown(text)}`",
            code="container-size",
        )
    return usual.tray(f"{cells}-cell tray", cells)


def _code(text: str, letter: str, number: float) -> Container:
    spelled = f"{letter}{number:g}"
    table = container_table()
    if letter == "C":
        if not 0.05 <= number <= 2000:
            raise TextError(
                f"a C code is the litres filled, 0.05 to 2000: `{shown(text)}`",
                code="container-size",
            )
        return usual.by_volume(spelled, number, "code_c")
    width_m = number / 100
    if not table.code_p_least_m <= width_m <= table.code_p_most_m:
        least, most = table.code_p_least_m * 100, table.code_p_most_m * 100
        raise TextError(
            f"a P code is the width in cm, {least:.0f} to {most:.0f}: `{shown(text)}`",
            code="container-size",
        )
    return usual.code_p(spelled, width_m)


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
