"""A plan's text on its way to another one: values set, rows noted on, nothing set that is wrong."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from decimal import Decimal
from pathlib import Path as FilePath
from typing import Any

from attrs import define, field

from rootroom.plan.drafts import toml_text
from rootroom.plan.editing import remove, set_value
from rootroom.plan.reader import read_plan_text
from rootroom.plan.toml.mending import Edit
from rootroom.plan.toml.splicing import Path, apply, read
from rootroom.problems import TextError

WIDTH = 96
"""A comment line is no longer than this."""


@define
class Draft:
    """The text of a plan that is being changed; `notes` tell what whoever reads it should look at.

    `year` is that of the new season; `file` is where the plan lies, so that lists beside it are
    found; `lists` are those that belong beside the new one, by name.
    """

    text: str
    file: FilePath
    year: int
    notes: list[str] = field(factory=list)
    lists: dict[str, str] = field(factory=dict)

    @property
    def data(self) -> dict[str, Any]:
        """What the text says now."""
        return tomllib.loads(self.text, parse_float=Decimal)

    def at(self, path: Path) -> Any:
        """Return what stands at a path, None if nothing does."""
        here: Any = self.data
        for step in path:
            try:
                here = here[step]
            except (KeyError, IndexError, TypeError):
                return None
        return here

    def set(self, path: Path, value: Any) -> None:
        """Set a value; one that is there already is left as it is written."""
        if self.at(path) != value:
            self.text = set_value(self.text, path, toml_text(value), make=True)

    def drop(self, *paths: Path) -> None:
        """Take away keys, as far as they are there."""
        for path in paths:
            if self.at(path) is not None:
                self.text = remove(self.text, path)

    def set_if_right(self, path: Path, raw: str) -> bool:
        """Set a value written as TOML unless the plan would be wrong with it; tell whether."""
        try:
            text = set_value(self.text, path, raw, make=True)
        except TextError:
            return False
        plan, _ = read_plan_text(text, self.file)
        if plan is None:
            return False
        self.text = text
        return True

    def comment(self, path: Path, lines: Sequence[str]) -> None:
        """Write comment lines above a row that has a line of its own, else among the notes."""
        page = read(self.text)
        spans = [span for span, name in page.scan.headers if name == path]
        start = spans[0][0] if spans else page.scan.values[path][0]
        begin = page.text.rfind("\n", 0, start) + 1
        indent = page.text[begin:start]
        if indent.strip():
            self.notes += lines
            return
        text = "".join(f"{indent}# {line}\n" for line in lines)
        self.text = apply(self.text, [Edit(begin, begin, text)])
