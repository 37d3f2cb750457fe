"""The season as a calendar file (RFC 5545): one entry a session, with alarms; tasks if asked for.

Fetching and the evening before are alarms of the session, since entries of their own crowd a
calendar; the tasks have them as entries.

An entry keeps its UID from one run to the next, and its SEQUENCE rises by one where it differs from
the file that is already there, so that importing again updates a calendar instead of doubling it.
What is no longer planned stays in the file, marked as cancelled.
No clock is read: DTSTAMP counts minutes from the first work day with the SEQUENCE.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING, Any

from rootroom.sheets.views.before_and_after import due_rows, due_view

if TYPE_CHECKING:
    from rootroom.plan.model import Plan
    from rootroom.season import Season
    from rootroom.sessions.session import Session
    from rootroom.sheets.views.model import SessionView, SheetsView
    from rootroom.sheets.writing import Writer

EVENING = time(18)
"""When the alarm of the evening before rings."""


def calendar_ics(season: Season, view: SheetsView, writer: Writer, before: bytes | None) -> bytes:
    """Return the calendar; `before` is the file that is there already, None for a first one."""
    entries = [
        *_sessions(season, view, writer),
        *_hardening(season, writer),
        *_aftercare(season, writer),
        *_frosts(season.plan),
    ]
    return _file(season.plan, view, entries, before)


def tasks_ics(season: Season, view: SheetsView, writer: Writer, before: bytes | None) -> bytes:
    """Return the tasks: shopping by supplier, each session and the evening before it."""
    plan = season.plan
    entries = [
        _task(_uid(plan, "buy", source), summary, rows, day)
        for source, day, summary, rows in _bought(season, view)
    ]
    for session, shown in zip(season.schedule.sessions, view.sessions, strict=True):
        number, evening = str(shown.number), _evening(shown)
        if evening:
            head, day = f"Evening before {shown.day_short}", session.date - timedelta(1)
            entries.append(_task(_uid(plan, "evening", number), head, evening, day))
        uid = _uid(plan, "work", number)
        entries.append(_task(uid, shown.title, _work(shown), session.date))
    return _file(plan, view, entries, before)


def _task(uid: str, summary: str, description: str, due: date | None) -> Any:
    from icalendar import Todo

    todo = Todo.new(uid=uid, summary=summary, description=description)
    if due is not None:
        todo.add("DUE", due)
    return todo


def _bought(season: Season, view: SheetsView) -> Iterable[tuple[str, date | None, str, str]]:
    """Yield each supplier, the last day to buy there, a line of words, and what is bought."""
    bought: dict[str, list[date]] = {}
    for line in season.shopping.lines:
        bought.setdefault(line.source or "", []).extend([line.by] if line.by else [])
    for (source, days), shop in zip(bought.items(), view.shopping.suppliers, strict=True):
        rows = [f"{row.packs} × {row.what}, {row.pack}" for row in shop.rows]
        summary = f"Shopping: {shop.name}, {shop.total}"
        yield source, min(days, default=None), summary, "\n".join(rows)


def _sessions(season: Season, view: SheetsView, writer: Writer) -> Iterable[Any]:
    from icalendar import Event

    zone = _zone(season.plan)
    orders = _orders(season, view)
    for session, shown in zip(season.schedule.sessions, view.sessions, strict=True):
        start = datetime.combine(session.date, session.start, zone)
        due = [(day, text) for day, first, text in orders if first == session.date]
        told = [f"{text}, by {writer.day_week(day)}" for day, text in due]
        parts = ("\n".join(told), _evening(shown), _work(shown))
        event = Event.new(
            uid=_uid(season.plan, "session", str(shown.number)),
            summary=shown.title,
            description="\n\n".join(part for part in parts if part),
            start=start,
            end=max(datetime.combine(session.date, session.finish, zone), start),
        )
        for day, text in due:
            event.add_component(_alarm(session, day, f"Today at the latest: {text}"))
        what = _evening(shown).replace("\n", "; ") or shown.title
        text = f"Tomorrow {shown.day_short}, {shown.clock.split(',')[0]}: {what}"
        event.add_component(_alarm(session, session.date - timedelta(1), text))
        yield event


def _orders(season: Season, view: SheetsView) -> list[tuple[date, date, str]]:
    """Return each supplier to be called before the evening before: until when, for when, what."""
    found = []
    for _, day, summary, _ in _bought(season, view):
        days = [one.date for one in season.schedule.sessions if day is not None and one.date > day]
        if day is not None and days and min(days) - day > timedelta(1):
            found.append((day, min(days), summary))
    return found


def _alarm(session: Session, day: date, text: str) -> Any:
    """Return an alarm that rings on the evening of a day before the session."""
    from icalendar import Alarm

    alarm = Alarm()
    alarm.add("ACTION", "DISPLAY")
    at = datetime.combine(day, EVENING)
    alarm.add("TRIGGER", at - datetime.combine(session.date, session.start))
    alarm.add("DESCRIPTION", text)
    return alarm


def _evening(shown: SessionView) -> str:
    return "\n".join(f"{group.head}: {', '.join(group.items)}" for group in shown.before)


def _work(shown: SessionView) -> str:
    lines = [f"{batch.title}: {batch.many}, {batch.makes}" for batch in shown.batches]
    for row in shown.grouped or shown.work:
        pot = f"{row.pot} {row.mix} a pot" if row.pot else ""
        details = (row.way, row.counted, row.marks, row.amount, *row.adds, pot)
        text = ", ".join(part for part in details if part)
        lines.append(f"{row.start} {row.name}" + (f": {text}" if text else ""))
    return "\n".join([*lines, *shown.rain])


def _hardening(season: Season, writer: Writer) -> Iterable[Any]:
    for one in season.schedule.hardening:
        uid = _uid(season.plan, "harden", one.plant, str(one.move))
        yield _all_day(uid, f"Harden off: {writer.name(one.plant)}", one.first, one.last)


def _aftercare(season: Season, writer: Writer) -> Iterable[Any]:
    """Yield an entry for each thing to do on a day, numbered so that it keeps its id when moved."""
    numbers: dict[str, int] = {}
    for due in due_rows(season.schedule.aftercare):
        number = numbers[due.step.do] = numbers.get(due.step.do, 0) + 1
        text = due_view(due, writer)
        summary = f"{text[:1].upper()}{text[1:]}"
        uid = _uid(season.plan, "aftercare", due.step.do, str(number))
        yield _all_day(uid, summary, due.date, due.date)


def _frosts(plan: Plan) -> Iterable[Any]:
    frosts = (("last frost", plan.garden.last_frost), ("first frost", plan.garden.first_frost))
    for name, day in frosts:
        if day is not None:
            yield _all_day(_uid(plan, name), f"{name.capitalize()} planned for", day, day)


def _all_day(uid: str, summary: str, first: date, last: date) -> Any:
    from icalendar import Event

    event = Event.new(uid=uid, summary=summary, start=first, end=last + timedelta(1))
    event.add("TRANSP", "TRANSPARENT")
    return event


def _zone(plan: Plan) -> Any:
    """Return the plan's time zone; None lets times float, the same on every clock."""
    if plan.garden.zone is None:
        return None
    from zoneinfo import ZoneInfo

    return ZoneInfo(plan.garden.zone)


def _uid(plan: Plan, *what: str) -> str:
    """Return an id that stays the same for the same thing of the same plan file."""
    text = "\x1f".join((plan.file, plan.garden.name, *what))
    return f"{hashlib.sha256(text.encode()).hexdigest()[:24]}@rootroom.invalid"


def _file(plan: Plan, view: SheetsView, entries: Sequence[Any], before: bytes | None) -> bytes:
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("PRODID", "-//rootroom//season//EN")
    calendar.add("VERSION", "2.0")
    calendar.add("X-WR-CALNAME", f"{view.garden}: potting")
    old = _old_entries(before)
    stamp = datetime.combine(plan.work.first, time(0), UTC)
    for entry in [*entries, *_cancelled(entries, old)]:
        number = _sequence(entry, old.get(str(entry["UID"])))
        for name in ("SEQUENCE", "DTSTAMP"):
            entry.pop(name, None)
        entry.add("SEQUENCE", number)
        entry.add("DTSTAMP", stamp + timedelta(minutes=number))
        calendar.add_component(entry)
    if plan.garden.zone is not None:
        calendar.add_missing_timezones(plan.work.first, plan.work.last + timedelta(366))
    return bytes(calendar.to_ical())


def _old_entries(before: bytes | None) -> Mapping[str, Any]:
    if before is None:
        return {}
    from icalendar import Calendar

    try:
        calendar = Calendar.from_ical(before)
    except ValueError:  # somebody's editor has been at it: begin again
        return {}
    found = [one for one in calendar.walk() if one.name in ("VEVENT", "VTODO") and "UID" in one]
    return {str(one["UID"]): one for one in found}


def _cancelled(entries: Sequence[Any], old: Mapping[str, Any]) -> list[Any]:
    """Return the entries of the old file that are planned no more, marked as cancelled."""
    kept = {str(entry["UID"]) for entry in entries}
    gone = [entry.copy(recursive=True) for uid, entry in old.items() if uid not in kept]
    for entry in gone:
        entry.subcomponents = []
        entry.pop("STATUS", None)
        entry.add("STATUS", "CANCELLED")
    return gone


def _sequence(entry: Any, old: Any | None) -> int:
    if old is None:
        return 0
    number = int(old.get("SEQUENCE", 0))
    return number if _content(entry) == _content(old) else number + 1


def _content(entry: Any) -> bytes:
    """Return an entry as text, without what changes when it is written again."""
    bare = entry.copy(recursive=True)
    for name in ("SEQUENCE", "DTSTAMP"):
        bare.pop(name, None)
    return bytes(bare.to_ical())
