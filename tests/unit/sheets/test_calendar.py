"""The calendar file, parsed by a second library and imported again after a change."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

import pytest
import vobject
from attrs import evolve

from rootroom.season import Season
from rootroom.sessions.session import BedLine, PlantLine
from rootroom.sheets.calendar import calendar_ics, tasks_ics
from rootroom.sheets.views.season import sheets_view
from rootroom.sheets.writing import Writer
from tests.support.seasons import HOSTILE, PLANS, hostile_season, shipped_season

FIGS = "spring-figs-and-tomatoes"


def made(season: Season, before: bytes | None = None, *, tasks: bool = False) -> bytes:
    """Return the calendar (or the tasks) of a season."""
    writer = Writer.of(season.plan.garden)
    write = tasks_ics if tasks else calendar_ics
    return write(season, sheets_view(season, writer), writer, before)


def events(content: bytes) -> dict[str, Any]:
    """Return the events by UID, as the second library reads them."""
    calendar = vobject.readOne(content.decode())
    return {one.uid.value: one for one in calendar.contents.get("vevent", [])}


def sequences(content: bytes) -> dict[str, int]:
    """Return the SEQUENCE of each event by its UID."""
    return {uid: int(event.sequence.value) for uid, event in events(content).items()}


def moved(season: Season, days: int) -> Season:
    """Return the season with its last session so many days later."""
    *rest, last = season.schedule.sessions
    later = evolve(last, date=last.date + timedelta(days))
    return evolve(season, schedule=evolve(season.schedule, sessions=(*rest, later)))


@pytest.mark.parametrize("stem", PLANS)
def test_every_session_is_an_event_at_its_hour(stem: str) -> None:
    """Each session stands at the plan's start, in the plan's zone, with an alarm the day before."""
    season = shipped_season(stem)
    found = [e for e in events(made(season)).values() if isinstance(e.dtstart.value, datetime)]

    assert len(season.schedule.sessions) == len(found)
    for session, event in zip(season.schedule.sessions, found, strict=True):
        assert (session.date, session.start) == (
            event.dtstart.value.date(), event.dtstart.value.time()
        )  # fmt: skip
        assert season.plan.garden.zone == event.dtstart.params["X-VOBJ-ORIGINAL-TZID"][0]
        rings = [event.dtstart.value + one.trigger.value for one in event.contents["valarm"]]
        assert (session.date - timedelta(1), 18) in {(one.date(), one.hour) for one in rings}


def test_days_to_keep_are_whole_days() -> None:
    """Hardening off and the last frost are all-day events that do not block the day."""
    season = shipped_season(FIGS)
    whole = [e for e in events(made(season)).values() if not isinstance(e.dtstart.value, datetime)]
    hardening = season.schedule.hardening[0]
    spans = {(e.dtstart.value, e.dtend.value) for e in whole}

    assert (hardening.first, hardening.last + timedelta(1)) in spans
    assert season.plan.garden.last_frost in {first for first, _ in spans}
    assert {"TRANSPARENT"} == {event.transp.value for event in whole}


@pytest.mark.parametrize("stem", PLANS)
def test_one_entry_a_session_named_by_its_plants(stem: str) -> None:
    """Beside sessions only hardening off and the frost; a title names the first of the plants."""
    season = shipped_season(stem)
    found = list(events(made(season)).values())
    sessions = season.schedule.sessions

    assert len(sessions) + len(season.schedule.hardening) + 1 == len(found)
    for session, event in zip(sessions, found, strict=False):
        first = next(one for one in session.work if isinstance(one, PlantLine | BedLine))
        assert first.name.split(",")[0] in event.summary.value
        assert event.summary.value.endswith(")")


def test_what_must_be_ordered_days_before_rings_on_that_day() -> None:
    """A supplier with a lead of days rings by its last day; the others on the evening before."""
    season = shipped_season(FIGS)
    lead = {line.by for line in season.shopping.lines if line.source == "Bulk yard"}
    first = season.schedule.sessions[0]
    (event,) = (
        e
        for e in events(made(season)).values()
        if isinstance(e.dtstart.value, datetime) and e.dtstart.value.date() == first.date
    )
    rings = {
        (event.dtstart.value + one.trigger.value).date(): one.description.value
        for one in event.contents["valarm"]
    }

    assert {*lead, first.date - timedelta(1)} == set(rings)
    assert "Shopping: Bulk yard, $" in rings[min(lead)]
    assert "Fetch, Mill Road: " in rings[first.date - timedelta(1)]
    assert "Shopping: Bulk yard" in event.description.value


def test_written_again_without_a_change_it_is_the_same() -> None:
    """The same season over its own file gives the same bytes."""
    season = shipped_season(FIGS)
    first = made(season)

    assert first == made(season, first)


def test_a_change_keeps_the_ids_and_raises_the_sequence() -> None:
    """A moved session keeps its UID with SEQUENCE + 1; the others stay as they are."""
    season = shipped_season(FIGS)
    first = made(season)
    second = made(moved(season, 1), first)
    before, after = sequences(first), sequences(second)
    changed = {uid for uid in after if after[uid] != before[uid]}

    assert set(before) == set(after)
    assert {after[uid] for uid in changed} == {1}
    assert 1 == len(changed)
    last = season.schedule.sessions[-1].date + timedelta(1)
    assert {last} == {events(second)[uid].dtstart.value.date() for uid in changed}
    stamps = [events(content)[next(iter(changed))].dtstamp.value for content in (first, second)]
    assert stamps[0] < stamps[1]


def test_the_sequence_goes_on_rising() -> None:
    """Moved away and back, an event has the first text and a third SEQUENCE."""
    season = shipped_season(FIGS)
    first = made(season)
    third = made(season, made(moved(season, 1), first))

    assert {0, 2} == set(sequences(third).values())


def test_what_is_planned_no_more_is_cancelled_not_dropped() -> None:
    """A session that falls away stays in the file, cancelled, so that calendars take it out."""
    season = shipped_season(FIGS)
    first = made(season)
    fewer = evolve(season, schedule=evolve(season.schedule, sessions=season.schedule.sessions[:-1]))
    second = made(fewer, first)
    cancelled = [
        uid
        for uid, event in events(second).items()
        if "status" in event.contents and event.status.value == "CANCELLED"
    ]

    assert set(sequences(first)) == set(sequences(second))
    assert 1 == len(cancelled)
    assert 1 == sequences(second)[cancelled[0]]
    assert second == made(fewer, second)


def test_a_spoiled_file_is_begun_again() -> None:
    """A file that is no calendar any more does not stand in the way."""
    season = shipped_season("balcony-in-litres")

    assert made(season) == made(season, b"not a calendar")
    assert made(season) == made(season, b"")


def test_lines_are_folded_as_the_standard_says() -> None:
    """No line is longer than 75 octets (RFC 5545, 3.1), and each ends with CR LF."""
    for stem in PLANS:
        lines = made(shipped_season(stem)).split(b"\r\n")

        assert 75 >= max(map(len, lines))
        assert not any(b"\n" in line for line in lines)


def test_hostile_names_are_text() -> None:
    """What the second library reads is the name as typed."""
    found = events(made(hostile_season())).values()
    text = "\n".join(
        part[0].value
        for event in found
        for part in (event.contents["summary"], event.contents.get("description", ()))
        if part
    )

    for key, name in HOSTILE.items():
        assert name in text, key


def test_tasks_on_request() -> None:
    """Tasks are VTODOs: one a supplier, one an evening before, one a session."""
    season = shipped_season(FIGS)
    todos = vobject.readOne(made(season, tasks=True).decode()).contents["vtodo"]
    suppliers = {line.source for line in season.shopping.lines}
    evenings = sum(bool(session.before) for session in season.schedule.sessions)
    due = {todo.due.value for todo in todos}

    assert len(suppliers) + evenings + len(season.schedule.sessions) == len(todos)
    assert {session.date for session in season.schedule.sessions} <= due
    assert all(isinstance(day, date) for day in due)


def test_without_a_zone_times_float() -> None:
    """A plan without a zone gives local times that hold on any clock."""
    season = shipped_season("balcony-in-litres")
    floating = evolve(
        season, plan=evolve(season.plan, garden=evolve(season.plan.garden, zone=None))
    )

    content = made(floating)

    assert b"TZID" not in content
    assert b"DTSTART:20270" in content
