"""Names that users make up, and the nearest known one to a misspelt name or key."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from itertools import islice
from typing import TYPE_CHECKING, Any

from rootroom.problems import TextError
from rootroom.visible import printable, visible

if TYPE_CHECKING:
    from rootroom.plan.diagnostics import Findings, Path

LONGEST = 500
"""Characters of a name or any other text; more is a slip or an attack, and fits no sheet."""

_MOST_COMPARED = 20_000
"""Names that a misspelt one is compared with; to try a million of them would take half a minute."""

NUMBER_WORDS = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8,
    "nine": 9, "ten": 10, "eleven": 11, "twelve": 12,
}  # fmt: skip
"""Numbers that people write as words where a plan wants digits."""


CARRIED = ("shelter", "outdoors")
"""Places that plants are carried to in their pots."""

PLACES = ("ground", "sold", *CARRIED)
"""Words for where a move without mix goes, beside the names of beds."""

TOP = (
    "format", "supplies", "garden", "work", "minutes", "factors", "buying", "mixes",
    "ingredients", "containers", "plants", "beds", "suppliers", "places",
)  # fmt: skip
"""The keys of the whole file."""
_TABLES = {
    "[garden]": ("name", "units", "currency", "zone", "last_frost", "first_frost"),
    "[work]": (
        "days", "first", "last", "start", "hours", "people", "off", "spare", "vessel", "scoop",
        "store", "store_days", "setup", "mix_setup", "pace", "room",
    ),
    "[factors]": ("packing", "spill", "ball", "settles"),
    "[buying]": ("sure",),
    "a mix": ("parts", "flex", "hold", "shrink", "keeps", "only", "measured"),
    "a supply": ("pack", "swells", "price", "yields", "weighs", "more", "at_most", "have"),
    "a supplier": ("trip", "delivery", "tax", "least", "lead", "carries"),
    "a move": ("to", "mix", "wait", "harden", "per_pot", "into", "keep", "refresh", "big_step"),
    "a plant": ("now", "moves", "crop", "count", "tender", "stands", "since", "spacing", "rows"),
    "a bed": ("shape", "corners", "already", "top_up", "layers", "blend"),
    "a place": ("area", "gap"),
    "a container": ("round", "square", "box", "headspace"),
}  # fmt: skip
HOMES = {key: table for table, keys in _TABLES.items() for key in keys}
"""Where each key belongs, in words."""


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
    if not printable(text):
        raise TextError(
            f"a character that cannot be printed: `{shown(text)}`",
            code="hidden-character",
            hint="type the text anew on one line: line breaks, tabs and marks that turn the "
            "direction of writing cannot stand in a name",
        )
    if not empty and not text.strip():
        raise TextError(
            f"an empty text: `{shown(text)}`",
            code="empty-text",
            hint="write what belongs there; a key that may be without goes as a whole",
        )


def tables_under(
    kind: str, data: Mapping[str, Any], one: str, hint: str, findings: Findings
) -> dict[str, Any]:
    """Return the tables of a `kind`, each `one` by its name; note names that cannot be."""
    raw = data.get(kind, {})
    if not isinstance(raw, dict):
        message = f"`{kind}` holds a table for each {one}"
        findings.error((kind,), "wrong-kind", message, hint=hint)
        return {}
    check_spellings(
        raw,
        (kind,),
        findings,
        twice=f"two spellings of one name under `{kind}`",
        hint="write both under one, or give one another name",
        without=f'give it a name: `[{kind}."..."]`',
    )
    return raw


def check_spellings(
    names: Iterable[str],
    path: Path,
    findings: Findings,
    *,
    twice: str,
    hint: str,
    without: str = "",
) -> None:
    """Note names, the keys at `path`, that no sheet can show, and two that are one name.

    `twice` and `hint` tell of two that are one, `without` what to do about an empty one.
    """
    first: dict[str, str] = {}
    for name in names:
        try:
            check_name(tidy(name), empty=False)
        except TextError as error:
            if error.code == "empty-text":
                error.hint = without or error.hint
            findings.refuse((*path, name), error, key=True)
        other = first.setdefault(one_name(name), name)
        if other != name:
            findings.error(
                (*path, name),
                "duplicate-name",
                f"{twice}: `{shown(other)}` and `{shown(name)}`",
                hint=hint,
                key=True,
                related=[((*path, other), "the first is here")],
            )


def note_twice(
    name: str, path: Path, named: dict[str, Path], findings: Findings, *, of: str, hint: str
) -> None:
    """Note a name at `path` that another thing `of` its kind has; `named` holds all so far."""
    first = named.setdefault(one_name(name), path)
    if first != path:
        findings.error(
            path,
            "duplicate-name",
            f"two {of} of one name: `{name}`",
            hint=hint,
            related=[(first, "the first is here")],
        )


def shown(text: str) -> str:
    """Return a text cut to fit a line, with every hidden character written out."""
    return visible(text, 60)


def tidy(text: str) -> str:
    """Return a name as it is kept: one normal form, plain spaces, none at its ends or doubled.

    Line breaks stay, so that they are refused.
    """
    if text.isascii() and "  " not in text:
        return text.strip(" ")
    import unicodedata

    plain = unicodedata.normalize("NFC", text)
    plain = "".join(" " if unicodedata.category(c) == "Zs" else c for c in plain)
    return re.sub(" +", " ", plain).strip(" ")


def one_name(text: str) -> str:
    """Return what two spellings of one name have in common: `Fig`, `Fig ` and `FIG` are one."""
    return tidy(text).casefold()


def meant(text: str, known: Collection[str]) -> str | None:
    """Return the known name that a text is another spelling of; None if there is none."""
    if text in known:
        return text
    wanted = one_name(text)
    return next((name for name in known if one_name(name) == wanted), None)


def closest(name: str, known: Iterable[str]) -> str | None:
    """Return the known name that a misspelt one comes close to, if one does."""
    from difflib import get_close_matches

    folded: dict[str, str] = {}
    for other in islice(known, _MOST_COMPARED):
        folded.setdefault(one_name(other), other)
    # A near miss is about as long as what it misses; the rest would only cost time.
    wanted = one_name(name)[:LONGEST]
    least, most = 7 * len(wanted) / 13, 13 * len(wanted) / 7
    near = get_close_matches(wanted, [n for n in folded if least <= len(n) <= most], 1, 0.7)
    return folded[near[0]] if near else None


def suggest(name: str, known: Iterable[str], otherwise: str = "") -> str:
    """Return a hint that names the nearest known name, or what else to do."""
    near = closest(name, known)
    return f"did you mean `{near}`?{_difference(name, near)}" if near else otherwise


def _difference(name: str, near: str) -> str:
    """Return in which letter two names differ that look alike; nothing where it can be seen."""
    import unicodedata

    pairs = [(a, b) for a, b in zip(name, near, strict=False) if a.casefold() != b.casefold()]
    if len(name) != len(near) or all(a.isascii() and b.isascii() for a, b in pairs):
        return ""
    words = [unicodedata.name(c, "a sign without a name").lower() for c in pairs[0]]
    return f" here is {words[0]} where that has {words[1]}"


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


def note_unknown_key(
    findings: Findings, path: Path, known: tuple[str, ...], given: Collection[str]
) -> None:
    """Note a key that stands where it means nothing, with where it would mean something.

    `given` are the keys that stand beside it: none of them is what it was meant to be.
    """
    name = str(path[-1])
    near = closest(name, [key for key in known if key not in given])
    if near is not None:
        findings.suppress((*path[:-1], near))
        hint = f"did you mean `{near}`?"
    elif twin := closest(name, [key for key in known if key in given]):
        hint = f"`{twin}` is given already: write all of it under that"
    elif name in TOP and len(path) > 1:
        hint = f"`{name}` belongs to no table: move it above the first line that starts with `[`"
    elif name in HOMES:
        hint = f"`{name}` belongs to {HOMES[name]}: a key counts for the header above it"
    elif len(path) == 1 and (top := closest(name, [key for key in TOP if key not in given])):
        hint = f"did you mean `{top}`?"
    else:
        hint = "known here: " + ", ".join(f"`{key}`" for key in known)
    code = "misplaced-key" if near is None and (name in TOP or name in HOMES) else "unknown-key"
    words = "key under the wrong header" if code == "misplaced-key" else "unknown key"
    findings.error(path, code, f"{words}: `{name}`", hint=hint, key=True)
