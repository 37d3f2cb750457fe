"""Runs every number that was printed outside this project against what rootroom computes.

To add a value, no code of the machinery changes:

1. its source, once, in `tests/reference/sources.toml` (append a table; keys in kebab case);
2. the case in `tests/reference/<subject>.toml`:

       [[case]]
       id = "cubic-foot-in-gallons"       # kebab case, used once in the file
       source = "nist-hb44-c"             # key in sources.toml, grade A or B
       where = "table of volumes"         # page, table or line
       read = "source"                    # or "second hand", where it was read quoted elsewhere
       compute = "volume"                 # a function of tests/published/subjects/<subject>.py
       given = { text = "1 cu ft", in = "gal" }
       expected = "7.481"                 # a string, as printed
       unit = "gal"
       # tolerance = "exact", or a number as text; then `reason` says why.
       # Without it: half of the last printed digit.

3. the function, `def volume(given: Mapping[str, Any]) -> float`, in that subject's module: it calls
   rootroom's own code and returns the number in the printed unit.

`[[trap]]` has the same keys, and `wrong` in place of `expected`: a printed mistake that must not
be reproduced. A trap may come from a source of any grade.

`[[known]]` is a printed number that we do not reproduce: `ours` is what we compute, `reason` why.
"""

from __future__ import annotations

import importlib.util
import tomllib
from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from attrs import frozen

HERE = Path(__file__).parent
REFERENCE = HERE.parent / "reference"


@frozen
class Source:
    """Where numbers were printed."""

    key: str
    author: str
    title: str
    publisher: str
    year: str
    address: str
    seen: str
    grade: str


@frozen
class Case:
    """One printed number and how to compute it; for a trap, the printed mistake."""

    subject: str
    id: str
    source: str
    where: str
    read: str
    compute: str
    given: Mapping[str, Any]
    expected: str
    unit: str
    tolerance: str = ""
    reason: str = ""
    note: str = ""
    trap: bool = False
    ours: str = ""

    @property
    def kind(self) -> str:
        """Return `case`, `known` (a difference that has its reason) or `trap`."""
        return "trap" if self.trap else "known" if self.ours else "case"

    @property
    def name(self) -> str:
        """Return what pytest calls the case."""
        return f"{self.subject}-{self.id}"

    def slack(self) -> float:
        """Return how far a value may lie from the printed one."""
        printed = Decimal(self.expected)
        if self.tolerance == "exact":
            return max(abs(float(printed)) * 1e-9, 1e-12)
        if self.tolerance:
            return float(self.tolerance)
        exponent = printed.as_tuple().exponent
        assert isinstance(exponent, int)
        # A value on the edge, as 1.25 printed 1.3, may fall a last digit outside.
        return float(Decimal(5).scaleb(exponent - 1)) * (1 + 1e-9)

    def computed(self) -> float:
        """Return what rootroom makes of it."""
        return float(_function(self.subject, self.compute)(self.given))

    def holds(self, value: float, moved: float = 0.0) -> bool:
        """Return whether `value` agrees with the printed one, `moved` by so many tolerances."""
        slack = self.slack()
        return abs(value - (float(self.expected) + moved * slack)) <= slack


@cache
def sources() -> dict[str, Source]:
    """Return every source by its key."""
    text = (REFERENCE / "sources.toml").read_text(encoding="utf-8")
    return {key: Source(key=key, **row) for key, row in tomllib.loads(text).items()}


@cache
def cases() -> tuple[Case, ...]:
    """Return every case and trap of every subject, in the order of the files."""
    return tuple(_read_all())


def _read_all() -> Iterator[Case]:
    for path in sorted(REFERENCE.glob("*.toml")):
        if path.stem == "sources":
            continue
        table = tomllib.loads(path.read_text(encoding="utf-8"))
        for row in table.get("case", ()):
            yield Case(subject=path.stem, **row)
        for row in table.get("known", ()):
            yield Case(subject=path.stem, **row)
        for row in table.get("trap", ()):
            wrong = row.pop("wrong")
            yield Case(subject=path.stem, expected=wrong, trap=True, **row)


@cache
def _module(subject: str) -> ModuleType:
    path = HERE / "subjects" / f"{subject}.py"
    spec = importlib.util.spec_from_file_location(f"published_{subject}", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def _function(subject: str, name: str) -> Callable[[Mapping[str, Any]], float]:
    function: Callable[[Mapping[str, Any]], float] = getattr(_module(subject), name)
    return function


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Hand the cases to tests that ask for `case`, `known` or `trap`."""
    for argument in ("case", "known", "trap"):
        if argument in metafunc.fixturenames:
            chosen = [case for case in cases() if case.kind == argument]
            metafunc.parametrize(argument, chosen, ids=[case.name for case in chosen])


@pytest.fixture(scope="session")
def all_cases() -> tuple[Case, ...]:
    """Return every case and trap."""
    return cases()


@pytest.fixture(scope="session")
def all_sources() -> dict[str, Source]:
    """Return every source by its key."""
    return sources()
