"""The sessions as plain text: the days at a glance, then what to do on which, with what."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from rootroom.counts import counted, some_of
from rootroom.demand.recipes import given_by_spoon
from rootroom.sessions.session import BedLine, PlantLine
from rootroom.sheets.layout import (
    WIDTH,
    clip,
    day_long,
    day_short,
    fill,
    fitted_table,
    hour,
    item,
    listed,
    ruled_table,
    tidy,
    wrapped,
)
from rootroom.sheets.views.before_and_after import aftercare_text, fetches
from rootroom.sheets.views.season import MOST_LATE, latest_first, left_out_rows, more_rows, move_of
from rootroom.sheets.views.session import care_word, session_view
from rootroom.sheets.views.work_rows import MOST_LINES
from rootroom.sheets.writing import ScreenWriter
from rootroom.units import show_minutes, show_volume

if TYPE_CHECKING:
    from datetime import date

    from rootroom.buying.shopping import Shopping
    from rootroom.plan.model import Plan
    from rootroom.sessions.session import Session
    from rootroom.sessions.timeline import Schedule
    from rootroom.sheets.views.before_and_after import Fetches
    from rootroom.sheets.views.model import BatchView, SessionView, WorkRow
    from rootroom.units import System

WORK_WIDTH, WAY_WIDTH = 25, 28
MOST_NAMES = 4


MOST_NAMES_A_DAY = 8
"""Plants named in a row of the table; a nursery's day has thousands."""


def sessions_text(
    plan: Plan,
    schedule: Schedule,
    *,
    why: bool = False,
    shopping: Shopping | None = None,
    on: date | None = None,
    width: int = WIDTH,
) -> str:
    """Return all sessions as text; with `why` what is proved, and what stands in the way.

    With `shopping` what must be fetched is told in its packages, `on` is the only day shown.
    """
    bought = None if shopping is None else fetches(schedule, shopping)
    shown = [one for one in schedule.sessions if on in (None, one.date)]
    parts = []
    if on is None:
        parts = [headline(schedule), *trouble_texts(schedule)]
        if why:
            parts += [_proof(schedule), _why_these_days(schedule)]
        parts += [days_table(schedule, plan.garden.system, bought, width=width)]
        parts += [aftercare_text(plan, schedule)]
    parts += [_tools(shown), _care(shown)]
    parts = [part for part in parts if part]
    writer = ScreenWriter.of(plan.garden, given_by_spoon(plan))
    views = (session_view(plan, one, writer, bought) for one in shown)
    return "\n\n".join([*parts, *map(session_text, views)])


def headline(schedule: Schedule) -> str:
    """Return how many sessions there are and how much of that is proved."""
    number = len(schedule.sessions)
    if schedule.left_out:
        plants = counted(sum(left.count for left in schedule.left_out), "plant")
        known = "" if schedule.status == "infeasible" else " that was found in the time given"
        proved = ", proved the fewest" if "left_out" in schedule.proved else ""
        rest = f"{counted(number, 'session')} for the rest"
        return fill(f"Not all of the work fits{known}: {plants} left out{proved}; {rest}.")
    if schedule.status == "infeasible":
        return fill("The work does not fit into the work days.")
    if not schedule.found:
        return fill(
            "No schedule was found within the limit, and none was proved impossible; "
            "a longer --seconds may find one."
        )
    if not number:
        return "Nothing to do: no plant moves and no bed is filled."
    text = counted(number, "session")
    if schedule.status == "optimal":
        text += ", proved the fewest"
        text += " at the least lateness" if schedule.late else ", nothing late"
    else:
        text += f", at least {schedule.bound_sessions} needed"
        text += "" if schedule.late else ", nothing late"
    if schedule.clock:
        text += "; the time limit ended the search, so another run may differ"
    if schedule.status != "optimal":
        text += "; a longer --seconds may find fewer"
    return fill(text)


def trouble_texts(schedule: Schedule) -> list[str]:
    """Return what is left out, what is late, and why, as far as there is any."""
    texts = []
    if schedule.left_out:
        texts.append("\n".join(["Left out:", *left_out_rows(schedule)]))
    if schedule.late:
        texts.append(_late(schedule))
    if schedule.why is not None:
        texts.append(_why(schedule))
    return texts


def _late(schedule: Schedule) -> str:
    ordered = latest_first(schedule.late)
    rows = [
        f"  {clip(late.plant, 30)}{move_of(late.move)}: {late.count} on {day_long(late.date)}, "
        f"{counted(late.days, 'day')} late"
        for late in ordered[:MOST_LATE]
    ]
    rows += more_rows(ordered[MOST_LATE:])
    total = f"Late by {schedule.late_plant_days} plant-days"
    if schedule.late_plant_days > schedule.bound_late_plant_days:
        total += f" (at least {schedule.bound_late_plant_days})"
    return "\n".join([total + ":", *rows])


def _why(schedule: Schedule) -> str:
    assert schedule.why is not None
    lines = ["Why:", *(list_item(reason) for reason in schedule.why.reasons)]
    if not schedule.why.reasons:
        lines = ["No reason is proved: a longer --seconds may find better days."]
    if schedule.why.cures:
        lines += ["What would cure it:", *(list_item(cure) for cure in schedule.why.cures)]
    return "\n".join(lines)


OBJECTIVE_WORDS = {
    "left_out": "fewest plants left out",
    "lateness": "least lateness",
    "sessions": "fewest sessions",
    "torn": "fewest groups torn",
    "setups": "mixes set up least often",
    "bought": "fewest pots bought",
    "reserve": "fewest plants on their last day",
    "early": "earliest days",
}


def _proof(schedule: Schedule) -> str:
    proved = [OBJECTIVE_WORDS[name] for name in schedule.proved]
    lines = [
        f"Sessions: {len(schedule.sessions)}, bound {schedule.bound_sessions} at this lateness.",
        f"Lateness: {schedule.late_plant_days} plant-days, bound {schedule.bound_late_plant_days}.",
        f"Proved: {', '.join(proved) or _nothing(schedule)}.",
        "What is done the evening before lies outside the minutes of a session.",
    ]
    return "\n".join(fill(line) for line in lines)


def _why_these_days(schedule: Schedule) -> str:
    """Return for each session what a work day earlier or later would cost."""
    lines = []
    for one in schedule.reasons:
        texts = []
        if one.too_early and one.before is not None:
            texts.append(f"{day_short(one.before)} is too early for {_few(one.too_early)}")
        elif one.before is None:
            texts.append("it is the first work day")
        elif one.taken:
            texts.append(f"{day_short(one.before)} has a session of its own")
        if one.too_late and one.after is not None:
            texts.append(f"{day_short(one.after)} would be too late for {_few(one.too_late)}")
        elif one.too_late:
            texts.append("it is the last work day")
        elif one.after is not None:
            texts.append(f"no date would be missed on {day_short(one.after)}")
        lines.append(item(f"{day_long(one.day)}: {'; '.join(texts)}."))
    return listed("Why these days", lines)


def _few(names: Sequence[str]) -> str:
    """Return some names, and how many more there are."""
    return some_of((clip(name, 30) for name in names), MOST_NAMES)


def _tools(sessions: Sequence[Session]) -> str:
    """Return the tools of all days, once."""
    tools = dict.fromkeys(tool for session in sessions for tool in session.bring.tools)
    return wrapped("Tools", tools) if tools else ""


def _care(sessions: Sequence[Session]) -> str:
    """Return each caution of these days in full, once, the most urgent first."""
    due = {one.key: one for session in sessions for one in session.cautions}
    ordered = sorted(due.values(), key=lambda one: (one.rank, one.key))
    lines = [item(f"{care_word(one)}: {one.line}") for one in ordered]
    return listed("Take care (the days name these by their first word)", lines)


def _nothing(schedule: Schedule) -> str:
    return "no days will do" if schedule.status == "infeasible" else "nothing"


def days_table(
    schedule: Schedule, system: System, bought: Fetches | None = None, *, width: int = WIDTH
) -> str:
    """Return when, who, which plants, what is blended, and whose goods must be there before."""
    if not schedule.sessions:
        return ""
    rows = [
        [
            f"{_day(session)}\n{hour(session.start)}-{hour(session.finish)}",
            f"{session.people} {'person' if session.people == 1 else 'people'}\n"
            f"{show_minutes(session.minutes)}",
            _names(session),
            "\n".join(
                f"{clip(one.mix, 24)} {show_volume(one.litres, system)}" for one in session.batches
            ),
            _fetched(session, bought),
        ]
        for session in schedule.sessions
    ]
    shown = fitted_table(
        ("day", "work", "plants and beds", "blend", "there before"), rows, "lllll", width=width
    )
    if any(session.rain.cannot for session in schedule.sessions):
        shown += "\n" + fill("* cannot wait for a later day if it rains", indent="  ", width=width)
    return shown


def _day(session: Session) -> str:
    return day_long(session.date).rsplit(" ", 1)[0]


def _names(session: Session) -> str:
    """Return what is worked on, a star behind what cannot wait."""
    cannot = {one.name for one in session.rain.cannot}
    named = dict.fromkeys(
        line.name for line in session.work if isinstance(line, PlantLine | BedLine)
    )
    shown = [clip(name, 30) + ("*" if name in cannot else "") for name in named]
    more = f" and {len(shown) - MOST_NAMES_A_DAY:,} more" if len(shown) > MOST_NAMES_A_DAY else ""
    return ", ".join(shown[:MOST_NAMES_A_DAY]) + more


def _fetched(session: Session, bought: Fetches | None) -> str:
    """Return from whom goods must have come by the evening before."""
    if bought is None:
        return ""
    return ", ".join(one.head or "what is bought" for one in bought.on(session.date))


def session_text(session: SessionView) -> str:
    """Return one session as text."""
    head = f"{session.day}, {session.clock}"
    lines = [
        head,
        "=" * len(head),
        f"{session.minutes} of {session.may_take} of work for {session.people}",
    ]
    if session.before:
        lines += ["", "The evening before"]
        for group in session.before:
            who = f"{group.who}: " if group.who else ""
            lines.append(wrapped(f"  {group.kind}", [who + group.items[0], *group.items[1:]]))
    if session.batches:
        lines += ["", *(line for batch in session.batches for line in _batch(batch))]
    lines += ["", _work(session), ""]
    brought = [
        f"{one.amount} {one.what}" + (f" ({one.source})" if one.source else "")
        for one in session.materials
    ]
    named = (
        ("Bring", brought), ("Weight", session.moved), ("Care", session.care),
        *(("" if number else "Rain", [text]) for number, text in enumerate(session.rain)),
        ("After", session.after), ("Empty", session.empties), ("Left", session.left),
    )  # fmt: skip
    return "\n".join([*lines, *(wrapped(head, texts) for head, texts in named if texts)])


def _batch(batch: BatchView) -> Iterable[str]:
    yield f"{batch.title}: {batch.many}, {batch.makes}"
    first, *others = (f"{row.batch} {row.part}" for row in batch.rows)
    yield wrapped("  a batch", [f"{batch.scoop}: {first}", *others])
    if batch.last:
        yield wrapped("  last", [f"{row.last} {row.part}" for row in batch.rows])
    for head, texts in (("with", batch.adds), ("water", [batch.water]), ("then", [batch.tip])):
        yield from (wrapped(f"  {head}", [text]) for text in texts if text)


def _work(session: SessionView) -> str:
    """Return the lines of work with their times as a table, and what no column has room for."""
    every = session.grouped or session.work
    rows = every[:MOST_LINES]
    heads = ["time", "work", "count", "from and to", "mix a pot"]
    cells = [
        [row.start, _label(row), row.number, _in_column(row.way), row.pot or row.amount]
        for row in rows
    ]
    lines = [ruled_table(heads, cells, "llrll")]
    if len(every) > len(rows):
        more = counted(len(every) - len(rows), "more line")
        lines.append(f"and {more} (sessions --json has them all)")
    if session.grouped:
        lines.append(
            "Rows that make the same move are added together; sessions --json has every row."
        )
    told: list[str] = []
    for row in rows:
        told += [f"{row.what}: {x}" for x in (row.marks, row.shared, *row.adds) if x]
        told += [f"{row.what}, {row.checkpoint}"] if row.checkpoint else []
    return "\n".join([*lines, *map(item, told)])


def _label(row: WorkRow) -> str:
    if not row.what:
        return row.name[:1].lower() + row.name[1:]
    return clip(f"{row.kind}: {row.what}", WORK_WIDTH)


def _in_column(way: str) -> str:
    """Return a way within its column; names are read in full, on two lines."""
    old, to, new = way.partition(" to ")
    parts = [way] if len(way) <= WAY_WIDTH or not to else [old, f"  to {new}"]
    lines = (
        textwrap.wrap(part, WAY_WIDTH, subsequent_indent="  ", break_on_hyphens=False)
        for part in parts
    )
    return "\n".join(line for several in lines for line in several)


def list_item(text: str) -> str:
    """Return one item of a list, wrapped under its dash."""
    return fill(tidy(text), indent="  - ", hanging="    ")
