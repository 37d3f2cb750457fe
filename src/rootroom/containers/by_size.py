"""Containers named by a size and a word, or by a size alone, and what is said of one unknown.

`of_kind(text, "12 in", "pan")`, `volume(text, "15 L")`, `cup(text, "16", "oz")`. Every function is
given the whole text as the user wrote it, for its message.
"""

from __future__ import annotations

import re
from difflib import get_close_matches

from rootroom.catalogue.containers import container_table
from rootroom.containers import usual
from rootroom.containers.container import Container
from rootroom.problems import TextError
from rootroom.tolerances import ROUNDING
from rootroom.units import read_length_m, read_volume_l
from rootroom.visible import visible

LONGEST_TEXT = 200
"""Characters of a container's text; longer ones name none and would only cost time."""

MOST_L = 20_000.0
"""The largest container [L]: more is a bed, or a slip of the finger."""

LEAST_L = 0.0005
"""The smallest [L]: half a millilitre, below the cells of the finest plug tray."""

_NUMBER_WORDS = {"four": "4", "six": "6"}
_METRIC = ("ml", "cl", "l", "litre", "liter", "litres", "liters")
LENGTH_END = re.compile(r"[\d½¼¾⅓⅔⅛]\s*(in|inch|inches|ft|foot|feet|cm|mm|m|\"|')\.?$")
_GALLON = re.compile(r"[\d½¼¾⅓⅔⅛]\s*(?:trade\s+)?(?:gal|gals|gallon|gallons)\.?$")
_TRADE = re.compile(r"\btrade\s+gal")
_WORDS = ("half barrel", "bare root", "cutting", "seed")
_AFTER_NUMBER = (
    *("in pot", "cm pot", "in azalea pot", "cm azalea pot", "in pan", "in basket"),
    *("in square pot", "cm square pot", "cell tray", "gal bag", "gal bucket", "gal true"),
    *("in clay pot", "cm clay pot", "in window box", "cm window box", "in tree pot", "cm tree pot"),
    *("pack", "oz cup", "cm cup"),
)


def shown(text: str) -> str:
    """Return a user's text fit for a message: short, and nothing that cannot be seen."""
    return visible(text[:60]) + ("..." if len(text) > 60 else "")


def of_kind(text: str, size: str, kind: str) -> Container:
    """Return a container of a kind by its width, or a bag, bucket or pot by its volume.

    Raises TextError: unknown-container, ambiguous-container, container-size, or a quantity's.
    """
    if LENGTH_END.search(size):
        if kind in ("bag", "bucket"):
            hint = f"write its volume, as `5 gal {kind}`, or give it a table under [containers]"
            raise unknown(text, hint)
        return _by_width(text, size, kind)
    if kind in ("bag", "bucket"):
        volume_l = _litres(text, size.removesuffix("true").strip())
        spelled = f"{_spell_volume(size, volume_l)} {kind}"
        return usual.by_volume(spelled, volume_l, "bag" if kind == "bag" else "bucket")
    if kind in ("round pot", "clay pot"):
        return volume(text, size)
    side = "length, as `24 in" if kind == "window box" else "width, as `12 in"
    raise unknown(text, f"write its {side} {kind}`")


def _by_width(text: str, size: str, kind: str) -> Container:
    width_m = read_length_m(_plain_inches(size))
    table = container_table()
    if kind == "round pot":
        least_m, most_m = table.round_least_m, table.round_most_m
    elif kind == "window box":
        least_m, most_m = table.window_box.least_m, table.window_box.most_m
    else:
        least_m, most_m = table.proportions[kind].least_m, table.proportions[kind].most_m
    _check_side(text, kind, "length" if kind == "window box" else "width", width_m, least_m, most_m)
    spelled = f"{spell_length(size)} {kind.removeprefix('round ')}"
    if kind == "round pot":
        return usual.round_pot(spelled, width_m)
    if kind == "window box":
        return usual.window_box(spelled, width_m)
    return usual.proportioned(spelled, kind, width_m)


def _check_side(
    text: str, kind: str, side: str, side_m: float, least_m: float, most_m: float
) -> None:
    """Raise TextError for a side [m] beyond what there are figures for."""
    if least_m * (1 - ROUNDING) <= side_m <= most_m * (1 + ROUNDING):
        return
    inches = f"{least_m / 0.0254:.3g} to {most_m / 0.0254:.3g} in"
    form = "box = { length, width, height }"
    if kind not in ("window box", "tree pot"):
        form = "round = { top, bottom, height }"
    raise TextError(
        f"no figure for a {kind} of this {side}, known are {inches}: `{shown(text)}`",
        code="container-size",
        hint=f"give it a table under [containers]: {form}",
    )


def pack(text: str, cells: str) -> Container:
    """Return a pack by its number of cells in digits or as a word; else TextError."""
    number = _NUMBER_WORDS.get(cells, cells)
    packs = container_table().packs
    count = int(number) if len(number) < 9 else 0
    if count not in packs:
        known = ", ".join(f"{each}-pack" for each in packs)
        raise TextError(
            f"no figure for a pack of this many cells, known are {known}: `{shown(text)}`",
            code="container-size",
            hint="name the tray that it comes from, as `36-cell tray`",
        )
    return usual.pack(f"{count}-pack", count)


def cup(text: str, number: str, unit: str) -> Container:
    """Return a cup by fluid ounces or another volume, or by the width across its top."""
    size = f"{number} {unit}"
    if LENGTH_END.search(size):
        return _by_width(text, size, "cup")
    if unit not in _METRIC:
        volume_l = _litres(text, f"{number} fl oz")
        ounces = round(volume_l / read_volume_l("1 fl oz"), 6)
        return usual.by_volume(f"{ounces:.10g} oz cup", volume_l, "cup")
    volume_l = _litres(text, size)
    return usual.by_volume(f"{_spell_volume(size, volume_l)} cup", volume_l, "cup")


def tree_pot(text: str, sizes: str) -> Container:
    """Return a tree pot by its width and depth, which may be the last of three sizes."""
    sides = re.split(r"\s*[x×]\s*", sizes)
    unit = re.search(r"[^\d\s./½¼¾⅓⅔⅛]+$", sides[-1])
    spelled = [_spell_side(side, unit[0]) for side in sides] if unit else []
    if len(spelled) == 3 and spelled[0] == spelled[1]:
        spelled = spelled[1:]
    if len(spelled) != 2:
        raise unknown(text, "write its width and its depth, as `4 x 14 in tree pot`")
    width_m, height_m = (read_length_m(side) for side in spelled)
    row = container_table().tree_pot
    _check_side(text, "tree pot", "width", width_m, row.least_m, row.most_m)
    _check_side(text, "tree pot", "depth", height_m, row.least_m, row.most_deep_m)
    (width, width_unit), (deep, deep_unit) = (side.split() for side in spelled)
    sizes = f"{width}x" if width_unit == deep_unit else f"{width} {width_unit} x "
    return usual.tree_pot(f"{sizes}{deep} {deep_unit} tree pot", width_m, height_m)


def _spell_side(side: str, unit: str) -> str:
    return spell_length(side if LENGTH_END.search(side) else f"{side} {unit}")


def volume(text: str, size: str) -> Container:
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
    if not re.fullmatch(r"[\d\s./½¼¾⅓⅔⅛]+", number):
        return unknown(text)
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


def _litres(text: str, size: str) -> float:
    try:
        volume_l = read_volume_l(size)
    except TextError as error:
        if error.code == "unknown-unit" or re.search(r"\d\s*[x×]\s*\d", size):
            raise unknown(text) from None
        raise
    if not LEAST_L <= volume_l <= MOST_L:
        raise TextError(
            f"a container holds 0.5 mL to 20,000 L: `{shown(text)}`", code="container-size"
        )
    return volume_l


def _plain_inches(size: str) -> str:
    """Return a width with inch marks written out."""
    return re.sub(r"\s*(?:\"|'')$", " in", size)


def spell_length(size: str) -> str:
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


def unknown(text: str, hint: str = "") -> TextError:
    """Return the error of a text that names no container, with the nearest one that does."""
    return TextError(
        f"unknown container: `{shown(text)}`",
        code="unknown-container",
        hint=hint or _nearest(" ".join(text[:LONGEST_TEXT].split())),
    )


def _nearest(text: str) -> str:
    """Return a hint: the nearest spelling with the user's own number in it, or all of them."""
    if close := get_close_matches(text, _WORDS, 1, 0.7):
        return f"did you mean `{close[0]}`?"
    number, words = re.fullmatch(r"([\d\sx×./½¼¾⅓⅔⅛-]*)(.*)", text, re.DOTALL).groups()  # type: ignore[union-attr]
    close = get_close_matches(words.casefold(), _AFTER_NUMBER, 1, 0.7)
    if number.strip(" -") and close:
        joint = "-" if close[0].startswith(("cell", "pack")) else " "
        return f"did you mean `{number.strip(' -')}{joint}{close[0]}`?"
    return (
        "write it as `#3`, `12 in pot`, `4 in square pot`, `72-cell tray`, `5 gal bag`, `C10`, "
        "`15 L`, or give it a table under [containers]"
    )
