"""Names that users make up: what they may hold, and the nearest known one to a misspelt one."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from rootroom.problems import TextError

if TYPE_CHECKING:
    from rootroom.plan.findings import Findings, Path

__all__ = ["LONGEST", "NUMBER_WORDS", "check_name", "closest", "note_bad_name", "shown", "suggest"]

LONGEST = 500
"""Characters of a name or any other text; more is a slip or an attack, and fits no sheet."""


NUMBER_WORDS = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8,
    "nine": 9, "ten": 10, "eleven": 11, "twelve": 12,
}  # fmt: skip
"""Numbers that people write as words where a plan wants digits."""


def check_name(text: str, *, empty: bool) -> None:
    """Refuse a text that cannot stand on a sheet: too long, or with characters that hide.

    Line breaks, control characters and marks that turn the direction of writing are refused;
    `/`, `..`, `<`, quotes and all else pass, and the sheets escape them.
    """
    if len(text) > LONGEST:
        raise TextError(
            f"a text has at most {LONGEST} characters, this one {len(text):,}: `{shown(text)}`",
            code="text-too-long",
        )
    if not text.isprintable():
        raise TextError(
            f"a character that cannot be printed: `{shown(text)}`",
            code="hidden-character",
            hint="type the text anew on one line: line breaks, tabs and marks that turn the "
            "direction of writing cannot stand in a name",
        )
    if not empty and not text.strip():
        raise TextError('an empty text: `""`', code="empty-text", hint="leave the key out")


def note_bad_name(name: str, path: Path, findings: Findings) -> None:
    """Note the name of a table that no sheet can show."""
    try:
        check_name(name, empty=False)
    except TextError as error:
        findings.refuse(path, error, key=True)


def shown(text: str) -> str:
    """Return a text cut to fit a line, with every hidden character written out."""
    short = text if len(text) <= 60 else text[:57] + "..."
    return "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in short)


def closest(name: str, known: Iterable[str]) -> str | None:
    """Return the known name that a misspelt one comes close to, if one does."""
    from difflib import get_close_matches

    folded: dict[str, str] = {}
    for other in known:
        folded.setdefault(other.casefold(), other)
    near = get_close_matches(name[:LONGEST].casefold(), list(folded), n=1, cutoff=0.7)
    return folded[near[0]] if near else None


def suggest(name: str, known: Iterable[str], otherwise: str = "") -> str:
    """Return a hint that names the nearest known name, or what else to do."""
    near = closest(name, known)
    return f"did you mean `{near}`?" if near else otherwise
