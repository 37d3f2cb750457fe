"""Hints for keys that a table does not know: a near miss, or a key of another table."""

from __future__ import annotations

from collections.abc import Collection

from rootroom.plan.diagnostics import Findings, Path
from rootroom.plan.names import closest

TOP = (
    "format", "supplies", "garden", "work", "minutes", "factors", "buying", "mixes",
    "ingredients", "containers", "plants", "beds", "suppliers",
)  # fmt: skip
"""The keys of the whole file."""

_TABLES = {
    "[garden]": ("name", "units", "currency", "zone", "last_frost"),
    "[work]": (
        "days", "first", "last", "start", "hours", "people", "off", "spare", "vessel", "scoop",
        "store", "store_days", "setup", "mix_setup",
    ),
    "[factors]": ("packing", "spill", "ball", "settles"),
    "[buying]": ("sure",),
    "a mix": ("parts", "flex", "hold", "shrink", "keeps", "only", "measured"),
    "a supply": ("pack", "swells", "price", "yields", "weighs", "more", "at_most", "have"),
    "a supplier": ("trip", "delivery", "tax", "least", "lead", "carries"),
    "a move": ("to", "mix", "wait", "harden", "per_pot", "into", "keep", "refresh", "big_step"),
    "a plant": ("now", "moves", "crop", "count", "tender", "stands", "rows"),
    "a bed": ("shape", "corners", "already", "top_up", "layers"),
    "a container": ("round", "square", "box", "headspace"),
}  # fmt: skip
HOMES = {key: table for table, keys in _TABLES.items() for key in keys}
"""Where each key belongs, in words."""


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
