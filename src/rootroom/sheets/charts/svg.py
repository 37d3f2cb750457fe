"""Drawing in one plain style: black on white, patterns in place of colours, text that is text.

Lengths are units of the drawing; the font size is set so that a drawing printed at the width it is
meant for shows text of 12 points.
"""

from __future__ import annotations

from collections.abc import Sequence
from xml.sax.saxutils import escape, quoteattr

from rootroom.sheets.layout import clip

FONT = "DejaVu Sans, system-ui, sans-serif"
SIZE = 15.0

# Told apart in black and white: plain ones, then what stands in a tile of 8 by 8 units.
_PLAIN = ("#000", "#fff")
PATTERNS: Sequence[str] = (
    '<path d="M-2,2 2,-2 M0,8 8,0 M6,10 10,6" stroke="#000" stroke-width="1.6"/>',
    '<circle cx="2" cy="2" r="1.5"/><circle cx="6" cy="6" r="1.5"/>',
    '<path d="M0,2H8M0,6H8" stroke="#000" stroke-width="1.2"/>',
    '<path d="M-2,6 2,10 M0,0 8,8 M6,-2 10,2 M-2,2 2,-2 M0,8 8,0 M6,10 10,6" '
    'stroke="#000" stroke-width="1"/>',
    '<path d="M2,0V8M6,0V8" stroke="#000" stroke-width="1.2"/>',
    '<circle cx="4" cy="4" r="2.8" fill="none" stroke="#000"/>',
)

# Rough advance widths of the font in shares of its size: enough to break and clip lines.
_NARROW, _WIDE = set("iIl.,:;'|!fjrt() "), set("mwMW@%")


def text_width(text: str, size: float = SIZE) -> float:
    """Return about how wide a text is [units]."""
    shares = (0.33 if c in _NARROW else 0.86 if c in _WIDE else 0.58 for c in text)
    return size * sum(shares)


def fitted(text: str, most: int, room: float, *, size: float = SIZE, wider: float = 1.0) -> str:
    """Return a name of at most `most` letters, cut short until it has room [units].

    Its letters are `wider` than plain ones by so much; four of them stay in any case.
    """
    shown = clip(text, most)
    while len(shown) > 4 and text_width(shown, size) * wider > room:
        shown = clip(shown, len(shown) - 1)
    return shown


class Drawing:
    """An SVG that grows as it is drawn; `name` keeps its pattern ids apart from other drawings'."""

    def __init__(self, name: str, title: str, width: float) -> None:
        self.name, self.title, self.width = name, title, width
        self.height = 0.0
        self._parts: list[str] = []
        self._patterns: set[int] = set()

    def reach(self, y: float) -> None:
        """Let the drawing be at least so high."""
        self.height = max(self.height, y)

    def text(
        self, x: float, y: float, text: str, *, anchor: str = "start", size: float = SIZE,
        bold: bool = False, white: bool = False, clear: bool = False,
    ) -> None:  # fmt: skip
        """Write a text whose base line begins (or ends, or has its middle) at x, y.

        With `clear` lines below it stop short of the letters.
        """
        weight = ' font-weight="bold"' if bold else ""
        fill = ' fill="#fff"' if white else ""
        fill += ' stroke="#fff" stroke-width="5" paint-order="stroke"' if clear else ""
        side = "" if anchor == "start" else f' text-anchor="{anchor}"'
        scale = "" if size == SIZE else f' font-size="{_n(size)}"'
        said = escape(_drawn(text))
        self._add(f'<text x="{_n(x)}" y="{_n(y)}"{side}{scale}{weight}{fill}>{said}</text>')
        self.reach(y + size * 0.3)

    def bar(
        self, x: float, y: float, width: float, height: float, pattern: int | None = None
    ) -> None:
        """Draw a box, filled with a pattern (white if None)."""
        fill = "#fff"
        if pattern is not None:
            pattern %= len(PATTERNS) + 2
            fill = _PLAIN[pattern] if pattern < 2 else f"url(#{self.name}-{pattern})"
            self._patterns.update({pattern} - {0, 1})
        self._add(
            f'<rect x="{_n(x)}" y="{_n(y)}" width="{_n(max(width, 0.0))}" height="{_n(height)}" '
            f'fill="{fill}" stroke="#000" stroke-width="1.2"/>'
        )
        self.reach(y + height + 1)

    def line(
        self, x: float, y: float, to_x: float, to_y: float, *, width: float = 1.0, dashes: str = ""
    ) -> None:
        """Draw a line, dashed as SVG counts dashes if `dashes` is given."""
        dash = f' stroke-dasharray="{dashes}"' if dashes else ""
        self._add(
            f'<path d="M{_n(x)},{_n(y)} {_n(to_x)},{_n(to_y)}" stroke="#000" '
            f'stroke-width="{_n(width)}"{dash} fill="none"/>'
        )
        self.reach(max(y, to_y) + 1)

    def disc(self, x: float, y: float, radius: float, label: str) -> None:
        """Draw a black disc with a white label in it."""
        self._add(f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(radius)}"/>')
        size = radius * (1.53 if len(label) < 2 else 1.25 if len(label) < 3 else 0.9)
        self.text(x, y + size * 0.36, label, anchor="middle", size=size, bold=True, white=True)

    def __str__(self) -> str:
        """Return the drawing as an SVG element."""
        tiles = "".join(
            f'<pattern id="{self.name}-{n}" width="8" height="8" patternUnits="userSpaceOnUse">'
            f'<rect width="8" height="8" fill="#fff"/>{PATTERNS[n - 2]}</pattern>'
            for n in sorted(self._patterns)
        )
        size = f"{_n(self.width)} {_n(self.height + 2)}"
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size}" '
            f'width="{_n(self.width)}" height="{_n(self.height + 2)}" role="img" '
            f"aria-label={quoteattr(self.title)} font-family={quoteattr(FONT)} "
            f'font-size="{_n(SIZE)}">'
            + (f"<defs>{tiles}</defs>" if tiles else "")
            + "".join(self._parts)
            + "</svg>"
        )

    def _add(self, part: str) -> None:
        self._parts.append(part)


def _n(number: float) -> str:
    return f"{number + 0.0:.1f}".removesuffix(".0")


def _drawn(text: str) -> str:
    """Return text without characters that XML forbids."""
    return "".join(c for c in text if c >= " " and c not in "\ufffe\uffff")
