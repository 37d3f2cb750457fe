"""What the program needs to run: permissive licences only, and every data file in the package."""

from __future__ import annotations

import re
import tomllib
from importlib.metadata import Distribution, distribution
from pathlib import Path

import pytest
from packaging.requirements import Requirement

ROOT = Path(__file__).parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]

PERMISSIVE = re.compile(
    r"\b(MIT|BSD|Apache|ISC|PSF|Python Software Foundation|0BSD|Unlicense|Zlib|MIT-0|CC0)\b"
    r"|\b(ZPL|Zope Public License)\b",
    re.I,
)
COPYLEFT = re.compile(r"\b(A?GPL|LGPL|MPL|EUPL|CDDL|EPL|OSL|General Public|Mozilla|Reciproc)", re.I)


def needed() -> list[str]:
    """Return the names of all run-time dependencies that are installed, theirs included."""
    found: dict[str, None] = {}
    waiting = [Requirement(text) for text in PROJECT["dependencies"]]
    while waiting:
        one = waiting.pop()
        if one.name.lower() in found or not (
            one.marker is None or one.marker.evaluate({"extra": ""})
        ):
            continue
        found[one.name.lower()] = None
        waiting += [Requirement(text) for text in distribution(one.name).requires or ()]
    return sorted(found)


def licence_of(one: Distribution) -> str:
    """Return what a distribution says of its licence: expression, classifiers, else the field."""
    facts = one.metadata
    words = [facts.get("License-Expression") or "", *facts.get_all("Classifier", [])]
    words = [word for word in words if "License" not in word or "::" not in word] + [
        word.rpartition("::")[2] for word in words if word.startswith("License ::")
    ]
    said = "; ".join(w.strip() for w in words if w and "::" not in w)
    return said or (facts.get("License") or "").strip()[:200]


def verdict(licence: str) -> str:
    """Return `permissive`, `copyleft` or `unknown`."""
    # Of a choice (`A OR B`) one permissive licence is enough; of a sum each counts.
    for choice in re.split(r"\bOR\b|/", licence):
        terms = re.split(r"\bAND\b|;", choice)
        if all(PERMISSIVE.search(term) and not COPYLEFT.search(term) for term in terms):
            return "permissive"
    return "copyleft" if COPYLEFT.search(licence) else "unknown"


@pytest.mark.parametrize("name", needed())
def test_licence_is_permissive(name: str) -> None:
    """Each run-time dependency says that it may be used under a permissive licence."""
    assert "permissive" == verdict(licence_of(distribution(name))), licence_of(distribution(name))


def test_every_dependency_is_listed_with_its_licence() -> None:
    """The list for contributors names each one; what they declare is tested above."""
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    listed = text[text.index("## What it runs on") : text.index("## Decisions")]
    missing = [name for name in needed() if not re.search(rf"\b{re.escape(name)}\b", listed)]

    assert [] == missing


@pytest.mark.parametrize(
    ("licence", "expected"),
    [
        ("GPL-3.0-or-later", "copyleft"),
        ("GNU Lesser General Public License v3", "copyleft"),
        ("MPL-2.0", "copyleft"),
        ("MIT AND LGPL-2.1", "copyleft"),
        ("Apache-2.0 OR GPL-2.0", "permissive"),
        ("BSD-3-Clause", "permissive"),
        ("Proprietary", "unknown"),
        ("MIT AND Proprietary", "unknown"),
        ("", "unknown"),
    ],
)
def test_error_other_licences_are_refused(licence: str, expected: str) -> None:
    """Copyleft and unknown licences are told from permissive ones."""
    assert expected == verdict(licence)


def test_every_dependency_has_a_lower_and_an_upper_bound() -> None:
    """The versions that are known to work are bounded on both sides."""
    for text in PROJECT["dependencies"]:
        signs = {bound.operator for bound in Requirement(text).specifier}
        assert {">=", "<"} <= signs, text
