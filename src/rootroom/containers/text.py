"""What a container's text means, in the trade's own spellings.

`read_container("#3")`, `"12 in pot"`, `"72-cell tray"`, `"5 gal bag"`, `"C10"`, `"half barrel"`, a
name of the plan's own. Many spellings of one container come back with one `text`.
A bare `3 gal` is refused, since the trade means class #3 by it and a measuring cup three gallons.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from difflib import get_close_matches
from functools import lru_cache
from types import MappingProxyType

from rootroom.catalogue.containers import container_table
from rootroom.containers import usual
from rootroom.containers.container import Container
from rootroom.problems import TextError
from rootroom.units import read_length_m, read_volume_l
from rootroom.visible import printable, visible

LONGEST_TEXT = 200
MOST_L = 20_000.0
LEAST_L = 0.0005
NO_OWN: Mapping[str, Container] = MappingProxyType({})

_NOUN = r"(?:\s*(?:class|nursery|plastic|clay|round))*(?:\s*(?:pots?|containers?|cans?))?"
_CLASS = re.compile(rf"(?:class\s*)?(?:#|no\.?\s*|number\s+)\s*(sp\s*)?(\d+){_NOUN}")
_SMALL_CLASS = re.compile(rf"(?:class\s*)?#?\s*(sp)\s*(\d+){_NOUN}")
_TRAY = re.compile(
    r"(\d+)\s*cells?(?:\s*(?:plug\s*)?(?:trays?|flats?))?|tray of (\d+)(?:\s*cells?)?"
)
_CODE = re.compile(r"([cp])\s*(\d+(?:\.\d+)?)(?:\s*(?:pots?|containers?))?")
_CODE_COMMA = re.compile(r"([cp])\s*\d+,\d+")
_BARREL = re.compile(r"half\s*-?\s*(?:(?:whiske?y|wine|oak)\s+)?barrels?")
_LENGTH_END = re.compile(r"[\d½¼¾⅓⅔⅛]\s*(in|inch|inches|ft|foot|feet|cm|mm|m|\"|')\.?$")
_GALLON = re.compile(r"[\d½¼¾⅓⅔⅛]\s*(?:trade\s+)?(?:gal|gals|gallon|gallons)\.?$")
_DIGIT = re.compile(r"[\d½¼¾⅓⅔⅛]")
_TRADE = re.compile(r"\btrade\s+gal")
_NOTHING = {
    "bare root": "bare root",
    "bare-root": "bare root",
    "bareroot": "bare root",
    "cutting": "cutting",
    "cuttings": "cutting",
    "seed": "seed",
    "seeds": "seed",
}
_SUFFIXES: tuple[tuple[str, str], ...] = (
    ("hanging basket", "basket"),
    ("basket", "basket"),
    ("azalea pot", "azalea pot"),
    ("azalea", "azalea pot"),
    ("bulb pan", "pan"),
    ("pan", "pan"),
    ("square pot", "square pot"),
    ("square", "square pot"),
    ("fabric grow bag", "bag"),
    ("grow bag", "bag"),
    ("fabric bag", "bag"),
    ("bag", "bag"),
    ("bucket", "bucket"),
    ("pail", "bucket"),
    ("standard pot", "round pot"),
    ("round pot", "round pot"),
    ("nursery pot", "round pot"),
    ("clay pot", "round pot"),
    ("plastic pot", "round pot"),
    ("pot", "round pot"),
    ("container", "round pot"),
)
_WORDS = ("half barrel", "bare root", "cutting", "seed")
_AFTER_NUMBER = (
    *("in pot", "cm pot", "in azalea pot", "cm azalea pot", "in pan", "in basket"),
    *("in square pot", "cm square pot", "cell tray", "gal bag", "gal bucket", "gal true"),
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


def shown(text: str) -> str:
    """Return a user's text fit for a message: short, and nothing that cannot be seen."""
    return visible(text[:60]) + ("..." if len(text) > 60 else "")


@lru_cache(maxsize=4096)
def _read_catalogue(text: str) -> Container:
    """Return the catalogue's container for a text."""
    if len(text) > LONGEST_TEXT:
        raise _unknown(text)
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
    if match := _CODE.fullmatch(clean):
        return _code(text, match[1].upper(), float(match[2]))
    if _CODE_COMMA.match(clean):
        hint = f"write `{clean.upper().replace(',', '.')}`"
        raise _unknown(text, hint)
    return _sized(text, clean)


def _clean(text: str) -> str:
    """Return the text in lower case with single spaces, plain marks and plain hyphens."""
    clean = text.casefold()
    for marks, plain in (("“”″„", '"'), ("‘’′", "'"), ("‐‑‒–", "-")):
        clean = re.sub(f"[{marks}]", plain, clean)
    clean = re.sub(r"(?<=[\d\"'])\s*-\s*(?=[a-z])", " ", clean)
    return " ".join(clean.split())


def _sized(text: str, clean: str) -> Container:
    """Return a container named by a size and a word, or by a volume alone."""
    singular = clean.removesuffix("s") if not clean.endswith("inches") else clean
    for suffix, kind in _SUFFIXES:
        for whole in (clean, singular):
            size = whole.removesuffix(suffix)
            if size != whole and _DIGIT.search(size):
                return _of_kind(text, size.strip(), kind)
    if _LENGTH_END.search(clean):
        size = _spell_length(clean)
        raise TextError(
            f"a size without the kind of container: `{shown(text)}`",
            code="ambiguous-container",
            hint=f"write `{size} pot`, `{size} azalea pot`, `{size} pan`, `{size} basket` or "
            f"`{size} square pot`",
        )
    if _DIGIT.search(clean):
        return _volume(text, clean)
    raise _unknown(text)


def _of_kind(text: str, size: str, kind: str) -> Container:
    if _LENGTH_END.search(size):
        if kind in ("bag", "bucket"):
            hint = f"write its volume, as `5 gal {kind}`, or give it a table under [containers]"
            raise _unknown(text, hint)
        return _by_width(text, size, kind)
    if kind in ("bag", "bucket"):
        volume_l = _litres(text, size.removesuffix("true").strip())
        spelled = f"{_spell_volume(size, volume_l)} {kind}"
        return usual.bag(spelled, volume_l) if kind == "bag" else usual.bucket(spelled, volume_l)
    if kind == "round pot":
        return _volume(text, size)
    raise _unknown(text, f"write its width, as `12 in {kind}`")


def _by_width(text: str, size: str, kind: str) -> Container:
    width_m = read_length_m(_plain_inches(size))
    table = container_table()
    if kind == "round pot":
        least_m, most_m = table.round_least_m, table.round_most_m
    else:
        least_m, most_m = table.proportions[kind].least_m, table.proportions[kind].most_m
    if not least_m * (1 - 1e-9) <= width_m <= most_m * (1 + 1e-9):
        inches = f"{least_m / 0.0254:.0f} to {most_m / 0.0254:.0f} in"
        raise TextError(
            f"no figure for a {kind} of this width, known are {inches}: `{shown(text)}`",
            code="container-size",
            hint="give it a table under [containers]: round = { top, bottom, height }",
        )
    spelled = f"{_spell_length(size)} {kind.removeprefix('round ')}"
    if kind == "round pot":
        return usual.round_pot(spelled, width_m)
    return usual.proportioned(spelled, kind, width_m)


def _volume(text: str, size: str) -> Container:
    """Return a plain volume; bare gallons are the trade's class or true gallons, so neither."""
    bare = re.sub(r"\s*\btrue\b\s*", " ", size).strip()
    if bare == size and _GALLON.search(size):
        raise _ambiguous_gallons(text, size)
    volume_l = _litres(text, bare)
    spelled = _spell_volume(bare, volume_l)
    gallons = spelled.endswith(" gal") and bool(_GALLON.search(bare))
    if gallons:
        spelled += " true"
    return usual.plain_volume(spelled, volume_l, gallons=gallons)


def _ambiguous_gallons(text: str, size: str) -> TextError:
    number = re.split(r"\s*(?:trade\s+)?gal", size)[0].strip()
    class_name = f"#{number}"
    known = class_name in container_table().classes
    if known:
        words = f"write `{class_name}` for the nursery class"
    else:
        words = f"there is no class {class_name}: write a class, as `#3`"
    if not _TRADE.search(size):
        words += f", or `{number} gal true` for {number} true gallons"
    return TextError(
        f"gallons may be a nursery class or a true volume: `{shown(text)}`",
        code="ambiguous-container",
        hint=words,
    )


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
        return usual.code_c(spelled, number)
    width_m = number / 100
    if not table.code_p_least_m <= width_m <= table.code_p_most_m:
        least, most = table.code_p_least_m * 100, table.code_p_most_m * 100
        raise TextError(
            f"a P code is the width in cm, {least:.0f} to {most:.0f}: `{shown(text)}`",
            code="container-size",
        )
    return usual.code_p(spelled, width_m)


def _litres(text: str, size: str) -> float:
    try:
        volume_l = read_volume_l(size)
    except TextError as error:
        if error.code == "unknown-unit":
            raise _unknown(text) from None
        raise
    if not LEAST_L <= volume_l <= MOST_L:
        raise TextError(
            f"a container holds 0.5 mL to 20,000 L: `{shown(text)}`", code="container-size"
        )
    return volume_l


def _plain_inches(size: str) -> str:
    """Return a width with inch marks written out."""
    return re.sub(r"\s*(?:\"|'')$", " in", size)


def _spell_length(size: str) -> str:
    """Return a width as the catalogue spells it: inches or centimetres."""
    width_m = read_length_m(_plain_inches(size))
    if re.search(r"(in|inch|inches|ft|foot|feet|\"|')\.?$", size):
        return f"{round(width_m / 0.0254, 6):.10g} in"
    return f"{round(width_m * 100, 6):.10g} cm"


def _spell_volume(size: str, volume_l: float) -> str:
    """Return a volume in one spelling for gallons and litres, else as it was written."""
    if _GALLON.search(size):
        return f"{round(volume_l / 3.785411784, 6):.10g} gal"
    if re.search(r"\d\s*(l|lit(?:er|re)s?|ltr)\.?$", size):
        return f"{round(volume_l, 6):.10g} L"
    return size


def _unknown(text: str, hint: str = "") -> TextError:
    return TextError(
        f"unknown container: `{shown(text)}`",
        code="unknown-container",
        hint=hint or _nearest(" ".join(text[:LONGEST_TEXT].split())),
    )


def _nearest(text: str) -> str:
    """Return a hint: the nearest spelling with the user's own number in it, or all of them."""
    if close := get_close_matches(text, _WORDS, 1, 0.7):
        return f"did you mean `{close[0]}`?"
    number, words = re.fullmatch(r"([\d\s./½¼¾⅓⅔⅛-]*)(.*)", text, re.DOTALL).groups()  # type: ignore[union-attr]
    close = get_close_matches(words.casefold(), _AFTER_NUMBER, 1, 0.7)
    if number.strip(" -") and close:
        joint = "-" if close[0].startswith("cell") else " "
        return f"did you mean `{number.strip(' -')}{joint}{close[0]}`?"
    return (
        "write it as `#3`, `12 in pot`, `4 in square pot`, `72-cell tray`, `5 gal bag`, `C10`, "
        "`15 L`, or give it a table under [containers]"
    )
