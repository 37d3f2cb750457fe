"""What a plan may say and what the codes of mistakes mean, from the data that the reader uses."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from typing import Any

from rootroom.plan.names import known_name
from rootroom.problems import TextError
from rootroom.sheets.layout import WIDTH, fill

FORMS = (
    'Sizes are inside sizes; quantities are text with a unit, as "2.5 cu ft"; shares are text, as '
    '"12 %" or "1/3"; windows are dates, or text as "4 weeks before last frost".'
)


def keys_text(word: str | None, *, width: int = WIDTH) -> str:
    """Return the keys of a plan that have `word` in their name, table or meaning, all without it.

    TextError where no key has it.
    """
    wanted = (word or "").strip().casefold()
    blocks = []
    for table in _data("keys.toml")["table"]:
        rows = [
            row
            for row in table["keys"]
            if wanted in f"{table['name']} {row['key']} {row['says']}".casefold()
        ]
        if rows:
            lines = [_key(row, width) for row in rows]
            blocks.append("\n".join([table["name"], *lines]))
    if not blocks:
        raise TextError(
            f"no key of a plan has `{word}` in its name or meaning",
            code="unknown-key",
            hint="`rootroom keys` lists all",
        )
    return "\n\n".join([*blocks, fill(FORMS, width=width)])


def explain_text(code: str | None, *, width: int = WIDTH) -> str:
    """Return what a code of a mistake means, every code's meaning without one.

    TextError with the nearest code for one that is not known.
    """
    data = _data("codes.toml")
    codes: dict[str, str] = {**data["codes"], **data["lists"], **data["record"]}
    shown = codes if code is None else [known_name(code.strip("[]` "), codes, "code")]
    lines = [fill(f"{name}: {codes[name]}", hanging="  ", width=width) for name in shown]
    return "\n".join(lines)


def _key(row: dict[str, str], width: int) -> str:
    text = f"{row['key']}: {row['says']}. Without it: {row['default']}."
    return fill(text, indent="  ", hanging="    ", width=width)


def _data(name: str) -> dict[str, Any]:
    return tomllib.loads(files("rootroom.plan").joinpath("data", name).read_text("utf-8"))
