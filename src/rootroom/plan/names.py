"""Names that users make up: what they may hold, and the nearest known one to a misspelt one."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import islice
from typing import TYPE_CHECKING

from rootroom.problems import TextError

if TYPE_CHECKING:
    from rootroom.plan.diagnostics import Findings, Path

__all__ = [
    "LONGEST",
    "NUMBER_WORDS",
    "check_name",
    "closest",
    "known_name",
    "note_bad_name",
    "shown",
    "suggest",
]

LONGEST = 500
"""Characters of a name or any other text; more is a slip or an attack, and fits no sheet."""

_MOST_COMPARED = 20_000
"""Names that a misspelt one is compared with; to try a million of them would take half a minute."""

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
    for other in islice(known, _MOST_COMPARED):
        folded.setdefault(other.casefold(), other)
    near = get_close_matches(name[:LONGEST].casefold(), list(folded), n=1, cutoff=0.7)
    return folded[near[0]] if near else None


def suggest(name: str, known: Iterable[str], otherwise: str = "") -> str:
    """Return a hint that names the nearest known name, or what else to do."""
    near = closest(name, known)
    return f"did you mean `{near}`?" if near else otherwise


def known_name(text: str, known: Iterable[str], what: str) -> str:
    """Return the known name that is meant: the same, in any case, or the only one so begun.

    Raises TextError with the nearest known one; `what` says of what kind the names are.
    """
    names = list(dict.fromkeys(known))
    wanted = text.strip()
    if wanted in names:
        return wanted
    folded = wanted.casefold()
    alike = [name for name in names if name.casefold() == folded] or [
        name for name in names if folded and name.casefold().startswith(folded)
    ]
    if len(alike) == 1:
        return alike[0]
    if alike:
        both = ", ".join(f"`{shown(name)}`" for name in sorted(alike)[:4])
        hint = f"it begins {both}; write one of them whole"
    else:
        listed = ", ".join(f"`{shown(name)}`" for name in names[:6])
        more = ", ..." if len(names) > 6 else ""
        hint = suggest(wanted, names, f"known are {listed}{more}" if names else "there is none")
    message = f"{'more than one' if alike else 'unknown'} {what}: `{shown(wanted)}`"
    raise TextError(message, code="unknown-name", hint=hint)
