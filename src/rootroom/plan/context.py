"""What the tables of a plan refer to while they are read: names, caches, and windows of dates."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from datetime import date

from attrs import define, field

from rootroom.containers.container import Container
from rootroom.containers.text import read_container
from rootroom.plan.dates import Window, resolve
from rootroom.plan.diagnostics import Findings, Path
from rootroom.plan.model import Factors, Garden, Mix, Work
from rootroom.plan.names import PLACES, meant, shown, suggest
from rootroom.plan.tables.containers import OwnContainers
from rootroom.plan.tables.ingredients import Ingredients
from rootroom.problems import TextError
from rootroom.units import show_length

_PLACE = re.compile(r"\b(?:bed|border|ground|soil|garden)s?\b", re.IGNORECASE)


UNKNOWN_DATES: Path = ("work", "first and last")
"""Counted as reported where nothing tells when the work begins or ends."""


@define
class Context:
    """The parts of the plan that were read before; names count as known even if broken."""

    findings: Findings
    garden: Garden
    work: Work
    factors: Factors
    containers: OwnContainers
    ingredients: Ingredients
    mixes: Mapping[str, Mix]
    bed_names: Collection[str] = ()
    lists: Mapping[str, str] = {}
    """Lists beside the plan that are being written, by the name that the plan gives them."""
    _meanings: dict[str, Container | TextError | None] = field(factory=dict)
    _frosts_asked: set[str] = field(factory=set)

    @property
    def container_names(self) -> Collection[str]:
        """The names of all containers with a table."""
        return self.containers.names

    @property
    def mix_names(self) -> Collection[str]:
        """The names of all mixes with a table."""
        return self.mixes

    def container(self, text: str, path: Path, *, may_be_place: bool = False) -> Container | None:
        """Return what a container's text means; a text that means nothing is noted at `path`.

        Where a place may stand as well, one that speaks of a bed or the ground is told of those.
        """
        try:
            return self.try_container(text)
        except TextError as error:
            unknown = error.code == "unknown-container"
            if may_be_place and unknown and _PLACE.search(text) and "did you" not in error.hint:
                error = TextError(error.message, code=error.code, hint=self._places())
            self.findings.refuse(path, error)
            return None

    def _places(self) -> str:
        beds = ", ".join(f"`{shown(bed)}`" for bed in list(self.bed_names)[:8])
        known = f"the plan's beds: {beds}" if beds else "the plan has no `[[beds]]`"
        return f'a bed goes by its `name` under `[[beds]]`, open soil is `"ground"`; {known}'

    def try_container(self, text: str) -> Container | None:
        """Return what a text means, None if its own table is broken; else TextError."""
        if text not in self._meanings:
            self._meanings[text] = self._read(text)
        known = self._meanings[text]
        if isinstance(known, TextError):
            raise TextError(known.message, code=known.code, hint=known.hint)
        return known

    def _read(self, text: str) -> Container | TextError | None:
        text = meant(text, self.container_names) or text
        if text in self.container_names and text not in self.containers.known:
            return None
        try:
            return read_container(text, self.containers.known)
        except TextError as error:
            near = suggest(text, [*self.container_names, *self.bed_names, *PLACES])
            if near and error.code == "unknown-container":
                return TextError(error.message, code=error.code, hint=near)
            return error

    def length(self, metres: float) -> str:
        """Return a length [m] in the plan's units."""
        return show_length(metres, self.garden.system)

    def mix(self, name: str, path: Path) -> str | None:
        """Return the mix that a name means; an unknown one is noted at `path`."""
        known = meant(name, self.mix_names)
        if known is not None:
            return known
        if self.ingredients.name_of(name) is not None:
            hint = f"`{name}` is an ingredient: a mix of one part needs its own `[mixes]` table"
        else:
            names = ", ".join(f"`{mix}`" for mix in list(self.mix_names)[:8])
            otherwise = f"the plan's mixes: {names}" if names else "the plan has no `[mixes]`"
            hint = suggest(name, self.mix_names, otherwise)
        self.findings.error(path, "unknown-mix", f"unknown mix: `{shown(name)}`", hint=hint)
        return None

    def day(self, window: Window | None, path: Path) -> date | None:
        """Return the date of a window's end, None where it is not given or cannot be known."""
        if window is None:
            return None
        day = resolve(window, self.garden.last_frost, self.garden.first_frost)
        key = "first_frost" if window.autumn else "last_frost"
        if day is None and key not in self._frosts_asked:
            self._frosts_asked.add(key)
            words, example = key.replace("_", " "), "10-12" if window.autumn else "04-12"
            if not self.findings.seen(("garden", key)):
                self.findings.error(
                    path,
                    f"missing-{words.replace(' ', '-')}",
                    f"the plan counts from the {words} but does not give it",
                    hint=f"write `{key} = 2027-{example}` under `[garden]`",
                )
        return day


def read_window_of(
    opens: Window | None,
    due: Window | None,
    path: Path,
    context: Context,
    *,
    frost_opens: bool = False,
) -> tuple[date, date] | None:
    """Return both ends of the window whose `from` and `by` stand at `path`; None for a mistake.

    What is not given is the first or last work day; `frost_opens` puts the last frost in place of
    the first work day.
    """
    if any(context.findings.seen((*path, key)) for key in ("from", "by")):
        return None
    begin = context.day(opens, (*path, "from"))
    end = context.day(due, (*path, "by"))
    if (opens is not None and begin is None) or (due is not None and end is None):
        return None
    words = ""
    if begin is None and frost_opens and context.garden.last_frost is not None:
        begin, words = context.garden.last_frost, ", the last frost, as it is tender"
    if begin is not None and end is not None and end < begin:
        context.findings.error(
            (*path, "by"),
            "window-reversed",
            f"the window closes before it opens: by `{end}`, from `{begin}`{words}",
            hint="move `from` to an earlier or `by` to a later date",
            related=() if words else [((*path, "from"), "it opens here")],
        )
        return None
    return None if _outside(begin, end, path, context) else _filled(begin, end, context)


def _filled(begin: date | None, end: date | None, context: Context) -> tuple[date, date]:
    work = context.work
    return work.first if begin is None else begin, work.last if end is None else end


def _outside(begin: date | None, end: date | None, path: Path, context: Context) -> bool:
    """Note a window that has no day in common with the work dates."""
    work = context.work
    if context.findings.seen(UNKNOWN_DATES):
        return False
    start, stop = _filled(begin, end, context)
    if stop >= work.first and start <= work.last:
        return False
    if begin is None:
        shown = f"by {end}"
    else:
        shown = f"from {begin}" if end is None else f"{begin} to {end}"
    context.findings.error(
        (*path, "by" if stop < work.first else "from"),
        "outside-work",
        f"the window {shown} lies outside the work dates {work.first} to {work.last}",
        hint="move the window, or `first` and `last` under `[work]`",
    )
    return True
