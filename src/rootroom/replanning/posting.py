"""The posted plan: the season that people work by, kept in the record and found there again.

Days, goods, recipes and suppliers of the posted plan stay when the rest is planned again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from fractions import Fraction
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from attrs import evolve

from rootroom.counts import ceil_count
from rootroom.problems import TextError
from rootroom.record import record_path
from rootroom.record.apply import replay
from rootroom.record.events import Event, holding, new_event
from rootroom.record.file import append, read_record
from rootroom.record.posted import posted_blends, posted_lines, session_rows
from rootroom.season import Season, make_season
from rootroom.sessions.session import BedLine, PlantLine

if TYPE_CHECKING:
    from rootroom.buying.shopping import Line, Shopping, Stage
    from rootroom.plan.entries import Supplier
    from rootroom.plan.model import Plan
    from rootroom.replanning.replan import Replanned
    from rootroom.sessions.session import Session
    from rootroom.sessions.timeline import Schedule

    Dated = tuple[Line, date | None]

FAR = timedelta(days=200)
"""A note that lies further from the plan's work dates has a wrong year; goods come earlier."""


def would_be_posted(path: Path, written: Plan, seconds: float | None = None) -> Sequence[Event]:
    """Return a plan's record, behind it the plan as it was written if it was never posted.

    Nothing is written; `seconds` [s] limits the search.
    """
    events = read_record(record_path(path), written).events
    if any(event.kind == "planned" for event in events):
        return events
    return [*events, *_as_posted(make_season(written, seconds=seconds), written.work.first)]


def make_posted(path: Path, written: Plan, seconds: float | None = None) -> Sequence[Event]:
    """Return a plan's record; a plan that was never posted is, as it was written."""
    before = read_record(record_path(path), written).events
    events = would_be_posted(path, written, seconds)
    append(record_path(path), events[len(before) :])
    return read_record(record_path(path), written).events


def plan_again(
    path: Path, written: Plan, *, seconds: float | None = None, anew: bool = False
) -> Replanned:
    """Plan what is left after the record, and post it where it is not as posted before."""
    from rootroom.replanning.replan import replan

    events = make_posted(path, written, seconds)
    found = replan(written, events, seconds=seconds, anew=anew)
    if not found.holds:
        post(path, found.season, found.state.last or written.work.first)
    return found


def post(path: Path, season: Season, day: date) -> None:
    """Note a season as the posted plan from `day` on; one without an answer is not posted."""
    append(record_path(path), _as_posted(season, day))


def _as_posted(season: Season, day: date) -> list[Event]:
    found = season.schedule.found
    return [new_event("planned", day, posted_data(season))] if found else []


def next_session(written: Plan, events: Iterable[Event]) -> tuple[date, date]:
    """Return the first session of the posted plan that is open yet, and the record's today.

    Raises TextError where none is left.
    """
    events = list(events)
    state = replay(written, events)
    days = sorted(posted_blends(events).keys() - state.worked)
    for day in days:
        if not any(stop.first <= day < stop.end for stop in state.stops):
            return day, state.last or written.work.first
    raise TextError(
        "no session is left in the posted plan",
        code="no-session",
        hint="give --on and what was done",
    )


def session_work(events: Sequence[Event], session: date) -> list[Mapping[str, Any]]:
    """Return the rows of a session that was planned; TextError if none was on that day."""
    rows = session_rows(events, session)
    if not rows:
        days = {line.day for line in posted_lines(events)}
        near = sorted(sorted(days, key=lambda day: (abs(day - session), day))[:3])
        listed = ", ".join(str(day) for day in near)
        raise TextError(
            f"no session was planned on this day: {session}",
            code="no-session",
            hint=(f"the posted plan has {listed}; " if near else "")
            + "of another day, say with --on what was done",
        )
    return rows


def check_not_noted(session: date, events: Iterable[Event]) -> None:
    """Raise TextError where a session was noted before: noted again, it would count twice."""
    for event in holding(events):
        if event.kind == "session" and session == (event.session or event.day):
            raise TextError(
                f"this session was noted before, as {event.data['state']}: {session}",
                code="session-noted",
                hint=f'add what is missing, as --session {session} --moved "Fig=2"; --list shows '
                "what was noted, --instead corrects a line",
            )


def check_season(day: date, written: Plan) -> None:
    """Raise TextError for a day so far from the plan's work that its year must be wrong."""
    first, last = written.work.first, written.work.last
    if not first - FAR <= day <= last + FAR:
        raise TextError(
            f"{day} lies far outside the plan's work dates, {first} to {last}",
            code="far-date",
            hint="is it the right year, and the right plan?",
        )


def fetch_days(schedule: Schedule, shopping: Shopping) -> dict[int, date]:
    """Return the day of the session that each supply is fetched for, by the supply's number.

    What one trip or one delivery brings is there by the first day on which any of it is needed.
    """
    days = [session.date for session in schedule.sessions]
    found: dict[int, date] = {}
    for lines, fees in shopping.by_source.values() if days else ():
        when = {line.supply: schedule.first_use(line.kind, line.of) or days[0] for line in lines}
        if any(fee.times == 1 for fee in fees if fee.kind != "tax"):
            when = dict.fromkeys(when, min(when.values()))
        found |= when
    return found


def fetched(schedule: Schedule, shopping: Shopping) -> list[tuple[Line, date | None]]:
    """Return the packages of the list with the day of the session that they are fetched for.

    A line that is fetched in stages comes once for each of its days, with its part of all figures.
    """
    days = fetch_days(schedule, shopping)
    stages: dict[int, list[Stage]] = {}
    for stage in shopping.stages:
        stages.setdefault(stage.supply, []).append(stage)
    found: list[tuple[Line, date | None]] = []
    for line in shopping.lines:
        parts = stages.get(line.supply, [])
        if len(parts) < 2:
            day = parts[0].day if parts else days.get(line.supply)
            found.append((line, day))
            continue
        packs = cents = 0
        for part in parts:
            packs += part.packs
            so_far = round(line.cost_cents * packs / line.packs)
            share = part.packs / line.packs
            found.append((
                evolve(
                    line, packs=part.packs, cost_cents=so_far - cents,
                    contents=line.contents * share, room_l=line.room_l * share,
                    mass_kg=line.mass_kg * share,
                ),
                part.day,
            ))  # fmt: skip
            cents = so_far
    return found


def posted_data(season: Season) -> dict[str, Any]:
    """Return the data of a `planned` event: work by day, goods to buy, and how mixes are made.

    Litres [L] are finished mix, minutes person-minutes, money whole cents.
    """
    made = {name: how for name, how in season.shopping.made.items() if how.blended_l + how.ready_l}
    mixes = [
        {
            "mix": name,
            "ready": round(how.ready_l / (how.blended_l + how.ready_l), 6),
            "parts": {part.of: str(part.share) for part in how.parts},
            "bags": {
                session.date.isoformat(): round(session.bring.ready_l[name], 6)
                for session in season.schedule.sessions
                if how.blended_l and name in session.bring.ready_l
            },
        }
        for name, how in made.items()
    ]
    rows = [row for session in season.schedule.sessions for row in _rows(session)]
    return {"sessions": rows, "goods": _goods(season), "mixes": mixes}


def _rows(session: Session) -> Iterator[dict[str, Any]]:
    """Yield a row for each line of a session's work, and one for each mix that is left."""
    day = session.date.isoformat()
    for line in session.work:
        row: dict[str, Any] = {
            "day": day,
            "kind": line.kind,
            "name": line.name,
            "number": 0,
            "count": line.count if isinstance(line, PlantLine) else 1,
            "share": round(line.share, 6),
            "minutes": round(line.minutes, 3),
        }
        if line.kind == "blend":
            batches = [batch for batch in session.batches if batch.mix == line.name]
            row["l"] = round(sum(batch.litres for batch in batches), 6)
            row["count"] = line.count
        elif line.mix is not None:
            row |= {"mix": line.mix, "l": round(line.mix_l, 6)}
        if isinstance(line, BedLine):
            row |= {"number": line.layer, "of": line.of, "to": line.name}
        elif isinstance(line, PlantLine):
            row["number"] = line.move
            row |= {"sorts": dict(line.sorts)} if line.sorts else {}
            row |= {} if line.new is None else {"to": line.new}
        yield row
    for mix, litres in session.left_l.items():
        row = {"day": day, "kind": "left", "name": mix, "number": 0, "count": 0}
        yield {**row, "l": round(litres, 6)}


def _goods(season: Season) -> list[dict[str, Any]]:
    """Return a row for each line of the list, each with its share of tax and fees.

    A row's share is what would not be paid any more if only the rows after it were bought, so what
    was paid for some of them and what is then still to pay come to the same as before.
    """
    parts = fetched(season.schedule, season.shopping)
    rows = [_good(line, day) for line, day in parts]
    order = sorted(range(len(parts)), key=lambda at: parts[at][1] or date.max)
    for source in dict.fromkeys(line.source for line in season.shopping.lines):
        own = [at for at in order if parts[at][0].source == source]
        supplier = season.plan.suppliers.get(source or "")
        for name, due in _charges(season.shopping, supplier):
            for place, at in enumerate(own):
                left = [parts[one] for one in own[place:]]
                cents = due(left) - due(left[1:])
                if cents > 0:
                    rows[at][name] = cents
    return rows


def _good(line: Line, day: date | None) -> dict[str, Any]:
    when = {} if day is None else {"day": day.isoformat()}
    return {
        **when,
        "supply": line.supply,
        "of": line.of,
        "pack": line.pack,
        "from": line.source,
        "packs": line.packs,
        "cents": line.cost_cents,
    }


def _charges(
    shopping: Shopping, supplier: Supplier | None
) -> Iterator[tuple[str, Callable[[Sequence[Dated]], int]]]:
    """Yield what a supplier charges beside the goods, each as what some lines come to [cents]."""
    if supplier is None:
        return
    for fee in shopping.fees:
        if fee.source == supplier.name and fee.kind == "tax":
            yield "tax_cents", partial(_tax, supplier=supplier)
        elif fee.source == supplier.name:
            most = (supplier.carries_l, supplier.carries_kg) if fee.kind == "trip" else (None, None)
            each = fee.cents // max(fee.times, 1)
            staged = bool(shopping.stages) and fee.kind == "trip"
            yield "fee_cents", partial(_ways, each_cents=each, most=most, staged=staged)


def _tax(lines: Sequence[Dated], *, supplier: Supplier) -> int:
    return supplier.tax_cents(sum(line.cost_cents for line, _ in lines))


def _ways(
    lines: Sequence[Dated],
    *,
    each_cents: int,
    most: tuple[Fraction | None, Fraction | None],
    staged: bool = False,
) -> int:
    """Return what fetching some lines costs; so many litres as packed and kilograms go along.

    In stages each day is a trip of its own.
    """
    if not lines:
        return 0
    if staged:
        return each_cents * len({day for _, day in lines})
    loads = (sum(line.room_l for line, _ in lines), sum(line.mass_kg for line, _ in lines))
    trips = [ceil_count(load, float(x)) for load, x in zip(loads, most, strict=True) if x]
    return each_cents * max([1, *trips])
