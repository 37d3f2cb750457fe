"""From when something may be done and by when it should be: both ends, and whether they can be."""

from __future__ import annotations

from datetime import date

from rootroom.plan.context import Context
from rootroom.plan.dates import Window
from rootroom.plan.diagnostics import Path
from rootroom.plan.tables.work import UNKNOWN_DATES


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
