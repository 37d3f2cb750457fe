"""Which letters the fonts of the sheets have, and what is printed in place of others.

A printed box where a letter is lacking would leave a name unread, so a picture is spelled out,
`(seedling)`, and any other letter told by its code point, `(U+6A58)`; whoever prints is told first.
"""

from __future__ import annotations

import struct
import unicodedata
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

FONTS = Path(__file__).parent / "data" / "fonts"

_JOINERS = frozenset("\ufe0f\u200d") | {chr(code) for code in range(0x1F3FB, 0x1F400)}
"""What only joins or colours pictures; it is left out."""


def lacking(texts: Iterable[str]) -> list[str]:
    """Return the texts, each once, that hold a letter which the fonts lack; pictures count not."""
    wanted = dict.fromkeys(text for text in texts if not text.isascii())
    return [text for text in wanted if any(map(_lacks, text)) and "(U+" in spelled(text)]


def spelled(value: Any) -> Any:
    """Return a text, or all texts in lists and mappings, with what the fonts lack written out."""
    if isinstance(value, str):
        if value.isascii():
            return value
        return "".join(_written(c) if _lacks(c) else c for c in value if c not in _JOINERS)
    if isinstance(value, Mapping):
        return {name: spelled(part) for name, part in value.items()}
    return [spelled(part) for part in value] if isinstance(value, list | tuple) else value


def _lacks(letter: str) -> bool:
    hidden = letter < " " or unicodedata.category(letter) in ("Cf", "Zs", "Cc")
    return not hidden and ord(letter) not in _covered()


def _written(letter: str) -> str:
    if "\U0001f000" <= letter <= "\U0001faff":
        return f"({unicodedata.name(letter, 'picture').lower()})"
    return f"(U+{ord(letter):04X})"


@cache
def _covered() -> frozenset[int]:
    """Return the code points that every font has, read from its table of characters.

    OpenType 1.9, `cmap`, subtable format 12: groups of a first and a last code point.
    """
    return frozenset.intersection(
        *(frozenset(_code_points(path.read_bytes())) for path in sorted(FONTS.glob("*.ttf")))
    )


def _code_points(font: bytes) -> Iterable[int]:
    (tables,) = struct.unpack_from(">H", font, 4)
    records = (struct.unpack_from(">4s4xI4x", font, 12 + 16 * n) for n in range(tables))
    start = next(offset for tag, offset in records if tag == b"cmap")
    (count,) = struct.unpack_from(">H", font, start + 2)
    for number in range(count):
        (offset,) = struct.unpack_from(">4xI", font, start + 4 + 8 * number)
        at = start + offset
        if struct.unpack_from(">H", font, at) == (12,):
            (groups,) = struct.unpack_from(">I", font, at + 12)
            for group in range(groups):
                first, last = struct.unpack_from(">II", font, at + 16 + 12 * group)
                yield from range(first, last + 1)
