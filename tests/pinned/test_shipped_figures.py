"""The figures that come with the program change on purpose only.

Each table of the data files is kept here as a digest of its figures. Where one differs, a figure
was changed: say why in the commit, give its source in the data file, and take the new digest.
"""

from __future__ import annotations

import hashlib
import json
import tomllib
from importlib.resources import files
from pathlib import Path

import pytest

pytestmark = pytest.mark.pinned

DATA = files("rootroom.catalogue").joinpath("data")
DIGESTS = tomllib.loads((Path(__file__).parent / "shipped_figures.toml").read_text("utf-8"))


def figures(value):
    """Return a table with its figures alone: no words, sources or notes."""
    if isinstance(value, dict):
        return {key: kept for key, one in value.items() if (kept := figures(one)) is not None}
    if isinstance(value, list):
        return [kept for one in value if (kept := figures(one)) is not None]
    return value if isinstance(value, int | float) else None


def digests(name):
    """Return a digest of each table of a data file."""
    table = tomllib.loads((DATA / f"{name}.toml").read_text("utf-8"))
    return {
        key: hashlib.sha256(json.dumps(figures(value)).encode()).hexdigest()[:12]
        for key, value in table.items()
        if figures(value)
    }


@pytest.mark.parametrize("name", sorted(DIGESTS))
def test_no_shipped_figure_changes_unnoticed(name):
    """Balls, packing, minutes, classes, densities and curves are what they were."""
    assert DIGESTS[name] == digests(name)


def test_every_data_file_is_kept():
    """No data file with figures is left out."""
    names = {path.name.removesuffix(".toml") for path in DATA.iterdir()}
    assert {name for name in names if digests(name)} == set(DIGESTS)
