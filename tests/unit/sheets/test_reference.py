"""Keys and codes as they are looked up."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from rootroom.plan import reader
from rootroom.problems import TextError
from rootroom.sheets.answers.without_plan import explain_text, keys_text

DATA = Path(reader.__file__).parent / "data"


def test_every_key_is_listed() -> None:
    """Each key of the data is printed, within 80 columns."""
    tables = tomllib.loads((DATA / "keys.toml").read_text("utf-8"))["table"]
    text = keys_text(None)

    assert [] == [row["key"] for one in tables for row in one["keys"] if row["key"] not in text]
    assert 80 >= max(map(len, text.splitlines()))


def test_a_word_picks_keys() -> None:
    """Only keys that have the word in them, under the name of their table."""
    assert "[suppliers.NAME]\n  lead: time from ordering to having it. Without it: 0 days." in (
        keys_text("LEAD")
    )
    assert "vessel" not in keys_text("lead")


def test_every_code_is_explained() -> None:
    """Each code of plan and record stands in the list, one alone by its name or as printed."""
    data = tomllib.loads((DATA / "codes.toml").read_text("utf-8"))
    lines = explain_text(None).splitlines()

    assert [] == [
        code
        for code in (*data["codes"], *data["record"])
        if not any(line.startswith(f"{code}: ") for line in lines)
    ]
    assert "no-file: there is no such file" == explain_text("[no-file]")


def test_error_word_and_code_that_are_not_known() -> None:
    """A word that no key has, and a code with a slip in it, which is told the nearest."""
    with pytest.raises(TextError, match="no key of a plan has `zebra`"):
        keys_text("zebra")
    with pytest.raises(TextError, match="unknown code: `unknown-contaner`") as found:
        explain_text("unknown-contaner")
    assert "unknown-container" in found.value.hint
