"""What changes of the posted plan, why, and which dates are missed, as plain text."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

from rootroom.sheets.money import money
from rootroom.sheets.plain import clip, day_long, day_short, tidy
from rootroom.sheets.sessions import left_out_rows

if TYPE_CHECKING:
    from rootroom.replanning.changes import Change, Missed
    from rootroom.replanning.replan import ListChange, Replanned

MOST_LINES = 40

DATE = re.compile(r"\b\d{4}-\d\d-\d\d\b")


def changes_text(found: Replanned) -> str:
    """Return what is different from the posted plan, within 80 columns."""
    schedule, changes, missed = found.season.schedule, found.changes, found.missed
    parts = []
    if not schedule.complete:
        rows = left_out_rows(schedule)
        rest = " Left out, and all else is planned:" if rows else ""
        head = f"Not all that is left fits into the work days that are left.{rest}"
        parts.append("\n".join([textwrap.fill(head, 80), *rows]))
    if schedule.complete and found.holds:
        parts.append("The posted plan still holds.")
    if changes:
        parts.append("\n".join(["What changes of the posted plan", *_rows(changes)]))
        if found.season.plan.posted:
            parts.append(
                "Days are kept where they can be: first nothing later than it must be,\n"
                "then no more sessions, then as few plants as possible on another day."
            )
    if found.list_changes:
        parts.append("\n".join(["What changes of the posted list", *_listed(found.list_changes)]))
    if schedule.why is not None and not schedule.complete:
        reasons = [_fill(f"- {tidy(text)}", first="  ") for text in schedule.why.reasons]
        cures = [_fill(f"- {tidy(text)}", first="  ") for text in schedule.why.cures]
        parts += ["\n".join(["Why", *reasons])] if reasons else []
        parts += ["\n".join(["What would cure it", *cures])] if cures else []
    if missed:
        parts.append("\n".join(["Dates that are missed now", *_missed(missed)]))
    if schedule.found:
        days = [session.date for session in schedule.sessions]
        parts.append(
            f"Sessions left: {len(days)}, the next on {day_long(days[0])}."
            if days
            else "Nothing is left to do."
            if schedule.complete
            else "No session is left."
        )
    parts.append(_cost(found))
    return "\n\n".join(parts)


def _listed(changes: Sequence[ListChange]) -> list[str]:
    rows = []
    for change in changes[:MOST_LINES]:
        rows.append(f"  {clip(change.of, 40)}")
        rows.append(_fill(tidy(f"{change.before} -> {change.after}: {change.reason}")))
    if len(changes) > MOST_LINES:
        rows.append(f"  and {len(changes) - MOST_LINES} more")
    return rows


def _cost(found: Replanned) -> str:
    """Return what the season costs, and where keeping to the posted list costs much."""
    paid, to_pay = found.paid_cents, found.to_pay_cents
    text = f"Cost of the season: {money(paid + to_pay)}, of which {money(paid)} is paid."
    if found.dearer_cents:
        text += (
            f" The list keeps the posted recipes and suppliers; made anew it would cost about "
            f"{money(found.dearer_cents)} less: `--anew` does that."
        )
    return _fill(text, first="").replace("\n      ", "\n")


def _rows(changes: Sequence[Change]) -> list[str]:
    rows = []
    for change in changes[:MOST_LINES]:
        number = "" if change.kind == "fill bed" else f", move {change.number}"
        if change.kind == "fill bed":
            number = f", layer {change.number}"
        where = f"{_days(change.before, change)} -> {_days(change.after, change)}"
        rows.append(f"  {clip(change.name, 40)}{number}")
        rows.append(_fill(f"{where}: {_with_days(tidy(change.reason))}"))
    if len(changes) > MOST_LINES:
        rows.append(f"  and {len(changes) - MOST_LINES} more")
    return rows


def _with_days(text: str) -> str:
    """Return a reason with its dates as they stand elsewhere: `11 Apr`."""
    return DATE.sub(_short, text)


def _short(found: re.Match[str]) -> str:
    try:
        return day_short(date.fromisoformat(found[0]))
    except ValueError:  # a reason in somebody's own words may hold anything
        return found[0]


def _days(days: Mapping[date, int], change: Change) -> str:
    if not days:
        return "none"
    if change.kind == "fill bed":
        return ", ".join(f"{days[day] / 10:.0f} % on {day_short(day)}" for day in sorted(days))
    return ", ".join(f"{days[day]} on {day_short(day)}" for day in sorted(days))


def _missed(missed: Sequence[Missed]) -> list[str]:
    rows = []
    for one in missed[:MOST_LINES]:
        number = "" if one.number is None else f", move {one.number}"
        what = f"{clip(one.name, 40)}{number}: {one.count} after {day_long(one.due)}"
        when = "fits no work day" if one.day is None else f"done by {day_short(one.day)}"
        rows.append(_fill(f"{what}, {when}{'' if one.anew else ' (as before)'}", first="  "))
    if len(missed) > MOST_LINES:
        rows.append(f"  and {len(missed) - MOST_LINES} more")
    return rows


def _fill(text: str, first: str = "    ") -> str:
    return textwrap.fill(
        text, 80, initial_indent=first, subsequent_indent="      ", break_on_hyphens=False
    )
