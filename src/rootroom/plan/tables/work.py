"""The tables [work] and [minutes]: on which days, for how long, with what, and how fast."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from datetime import date, time, timedelta
from decimal import Decimal
from typing import Any, NewType, cast

from attrs import frozen

from rootroom.catalogue.minutes import PACES, Pace, minutes, minutes_rows
from rootroom.catalogue.spread import Spread
from rootroom.counts import ceil_count
from rootroom.plan.context import UNKNOWN_DATES, Context
from rootroom.plan.diagnostics import Findings, Path
from rootroom.plan.measures import (
    Litres,
    LitresOrZero,
    MinutesText,
    Run,
    ShareBelow,
    read_minutes_by_run,
)
from rootroom.plan.model import Garden, Roster, Work, WorkDay
from rootroom.plan.names import suggest
from rootroom.plan.structure import structure
from rootroom.plan.values import (
    READERS,
    Clock,
    Day,
    Days,
    choice,
    read_count,
    read_day,
    read_hours,
    read_hours_of_a_day,
    show,
)
from rootroom.problems import TextError

BY_RUN = ("up-pot", "refresh", "top up", "plant out")
"""Kinds of work of which many are done alike."""

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_LONGEST_DAYS = 1100  # three years: more days than a season of potting has
_WEEKS = 8
_PATH = ("work",)

WorkDayName = NewType("WorkDayName", object)
HoursByDay = NewType("HoursByDay", object)
PeopleByDay = NewType("PeopleByDay", object)
PaceName = NewType("PaceName", str)
READERS[PaceName] = choice(*PACES)


@frozen(eq=False, repr=False)
class WorkTable:
    """The table [work] as written."""

    days: tuple[WorkDayName, ...] | None = None
    first: Day | None = None
    last: Day | None = None
    start: Clock | None = None
    hours: HoursByDay | None = None
    people: PeopleByDay | None = None
    off: tuple[Day, ...] | None = None
    spare: ShareBelow | None = None
    vessel: Litres | None = None
    scoop: Litres | None = None
    store: LitresOrZero | None = None
    store_days: Days | None = None
    setup: MinutesText | None = None
    mix_setup: MinutesText | None = None
    pace: PaceName | None = None
    room: Litres | None = None


def _read_day_name(value: object) -> int | date:
    """Return a weekday (0 is Monday) or a date."""
    if isinstance(value, str):
        short = value.strip().lower()
        for number, name in enumerate(WEEKDAYS):
            if short.startswith(name) and _FULL[number].startswith(short):
                return number
        if not any(character.isdigit() for character in short):
            raise TextError(
                f"unknown weekday: {show(value)}",
                code="unknown-weekday",
                hint='write `"sat", "sun"`'
                if short.startswith("weekend")
                else suggest(short, (*WEEKDAYS, *_FULL), "weekdays are " + ", ".join(WEEKDAYS)),
            )
    return read_day(value)


_FULL = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def _by_day(value: object, read: Any) -> dict[int | date | None, Any]:
    """Return values by weekday, date, or None for the default."""
    if not isinstance(value, Mapping):
        return {None: read(value)}
    found: dict[int | date | None, Any] = {}
    for key, item in value.items():
        if key == "default":
            found[None] = read(item)
            continue
        try:
            day: int | date = date.fromisoformat(key)
        except ValueError:
            day = _read_day_name(key)
        found[day] = read(item)
    return found


def _read_people(value: object) -> int:
    """Return how many work on a day: at least one."""
    try:
        return read_count(value)
    except TextError as error:
        if value == 0:
            error.hint = "write how many work, at least 1; a day without anybody goes into `off`"
        raise


READERS[WorkDayName] = _read_day_name
READERS[HoursByDay] = lambda value: _by_day(
    value, read_hours_of_a_day if isinstance(value, Mapping) else read_hours
)
READERS[PeopleByDay] = lambda value: _by_day(value, _read_people)


def read_work(data: dict[str, Any], garden: Garden, findings: Findings) -> Work:
    """Return the work days and their defaults; an empty table is a fine one."""
    table = structure(WorkTable, data.get("work"), _PATH, findings)
    if table.days == ():
        findings.error(
            (*_PATH, "days"),
            "no-work-days",
            "a list of work days with none in it",
            hint='write `days = ["sat", "sun"]`, which also counts without this key',
        )
    given = [cast("int | date", day) for day in table.days or (5, 6) if day is not None]
    first, last = _season(table, given, garden, findings)
    days = _work_days(table, given, first, last)
    if not days and not any(findings.seen((*_PATH, key)) for key in ("days", "first", "last")):
        findings.error(
            (*_PATH, "days") if table.days is not None else _PATH,
            "no-work-days",
            f"no work day is left from {first} to {last}",
            hint="add weekdays or dates to `days`, or take some out of `off`",
        )
    us = garden.system == "us"
    vessel_l = table.vessel or (70.792116480 if us else 70.0)
    scoop_l = table.scoop or (18.92705892 if us else 10.0)
    _check_scoop(table, vessel_l, scoop_l, findings)
    return Work(
        days=days,
        first=first,
        last=last,
        start=table.start or time(9),
        spare_share=0.15 if table.spare is None else table.spare,
        vessel_l=vessel_l,
        scoop_l=scoop_l,
        store_l=table.store if table.store is not None else (169.901079552 if us else 170.0),
        store_days=table.store_days if table.store_days is not None else 14,
        setup_min=minutes("setup").likely if table.setup is None else table.setup,
        mix_setup_min=minutes("mix setup").likely if table.mix_setup is None else table.mix_setup,
        off=frozenset(table.off or ()),
        room_l=table.room,
        pace=cast("Pace", table.pace) if table.pace is not None else "home",
    )


def _season(
    table: WorkTable, given: list[int | date], garden: Garden, findings: Findings
) -> tuple[date, date]:
    """Return the first and last day, in this order and not too far apart; note what was not so."""
    first, last = _ends(table, given, garden, findings)
    if first > last:
        findings.error(
            (*_PATH, "last"),
            "window-reversed",
            f"the work ends before it begins: `{last}` is before `{first}`",
            hint="write the earlier date as `first`, the later one as `last`",
            related=[((*_PATH, "first"), "it begins here")],
        )
        findings.suppress(UNKNOWN_DATES)
        first, last = last, first
    elif (last - first).days > _LONGEST_DAYS:
        findings.error(
            (*_PATH, "last"),
            "too-large",
            f"a plan is for one season, this one has {(last - first).days} days",
        )
        last = first + timedelta(days=_LONGEST_DAYS)
    _check_inside(table, first, last, findings)
    return first, last


def _check_scoop(table: WorkTable, vessel_l: float, scoop_l: float, findings: Findings) -> None:
    """Warn of a scoop that the vessel cannot take: the cards then measure with a smaller one."""
    if vessel_l >= scoop_l:
        return
    findings.warning(
        (*_PATH, "scoop" if table.scoop is not None else "vessel"),
        "scoop-too-large",
        "the vessel that mix is blended in is smaller than the scoop"
        + ("" if table.scoop is not None else ", 5 gal or 10 L unless given"),
        hint="write the `scoop` that you measure with, as `1 gal` or `4 L`, or a larger `vessel`",
    )


def _ends(
    table: WorkTable, given: list[int | date], garden: Garden, findings: Findings
) -> tuple[date, date]:
    """Return the first and last day; without them eight weeks either side of the frosts."""
    dates = [day for day in given if isinstance(day, date)]
    only_dates = len(dates) == len(given) and dates
    first, last = table.first, table.last
    if only_dates:
        return first or min(dates), last or max(dates)
    frosts = [day for day in (garden.last_frost, garden.first_frost) if day is not None]
    if (first is None or last is None) and not frosts:
        keys = (_PATH, ("garden", "last_frost"), ("garden", "first_frost"))
        if not any(map(findings.seen, keys)):
            findings.error(
                ("garden",),
                "missing-dates",
                "a plan needs the last frost, or the first and last day of work",
                hint="write `last_frost = 2027-04-12` under `[garden]`",
            )
        findings.suppress(UNKNOWN_DATES)
        some = first or last or date(2000, 1, 1)
        return first or some, last or some
    weeks = timedelta(weeks=_WEEKS)
    if first is not None and last is not None:
        return first, last
    return first or min(frosts) - weeks, last or max(frosts) + weeks


def _check_inside(table: WorkTable, first: date, last: date, findings: Findings) -> None:
    """Note dates outside the work dates, which would count for nothing."""
    if findings.seen(UNKNOWN_DATES):
        return
    for key in ("days", "off"):
        for index, day in enumerate(getattr(table, key) or ()):
            if isinstance(day, date) and not first <= day <= last:
                findings.error(
                    (*_PATH, key, index),
                    "outside-work",
                    f"a day outside the work dates {first} to {last}: `{day}`",
                )


def _work_days(
    table: WorkTable, given: list[int | date], first: date, last: date
) -> tuple[WorkDay, ...]:
    hours = cast("dict[int | date | None, Decimal]", table.hours or {})
    people = cast("dict[int | date | None, int]", table.people or {})
    off = set(table.off or ())
    wanted = set(given)
    days = []
    for offset in range((last - first).days + 1):
        day = first + timedelta(days=offset)
        weekday = day.weekday()
        if day in off or not (day in wanted or weekday in wanted):
            continue
        its_hours = hours.get(day, hours.get(weekday, hours.get(None, Decimal(4))))
        if not its_hours:
            continue
        its_people = people.get(day, people.get(weekday, people.get(None, 1)))
        days.append(WorkDay(day, float(its_hours * 60), its_people))
    return tuple(days)


def read_own_minutes(data: dict[str, Any], context: Context) -> dict[str, Run]:
    """Return minutes by the container's text, the kind of work, or kind and container.

    A container is written in its one spelling: `refresh half barrel`, `#5`.
    """
    raw = data.get("minutes", {})
    if not isinstance(raw, dict):
        context.findings.error(
            ("minutes",),
            "wrong-kind",
            "`minutes` holds numbers by container or kind of work",
            hint='write `"#5" = 8` under `[minutes]`',
        )
        return {}
    own = {}
    for key, value in raw.items():
        path: Path = ("minutes", key)
        name = _name(key, path, context)
        try:
            steps = read_minutes_by_run(value)
        except TextError as error:
            context.findings.refuse(path, error)
            continue
        if name is not None:
            own[name] = steps
            if len(steps) > 1 and _kind_of(name) not in BY_RUN:
                context.findings.error(
                    path,
                    "no-run",
                    f"nothing of this is done in a run: `{key}`",
                    hint="a number in the run counts for pots and plants: "
                    '`"#5" = { 1 = 8, 20 = 5 }`',
                )
    return own


def minutes_of_runs(own: Mapping[str, Run], roster: Roster) -> dict[str, Spread]:
    """Return the minutes that count for as many as the plan has: pots filled, plants moved out."""
    if all(len(steps) == 1 for steps in own.values()):
        return {name: steps[0][1] for name, steps in own.items()}
    runs = _runs(roster)
    return {
        name: next(each for first, each in reversed(steps) if first <= max(runs[name], 1))
        for name, steps in own.items()
    }


def _runs(roster: Roster) -> Counter[str]:
    """Return how often each work is done that minutes may be given for."""
    runs: Counter[str] = Counter()
    for move, plants, groups in roster.moves_alike():
        if move.to is not None:
            pots = ceil_count(plants, move.per_pot) * groups
            runs.update({move.to.text: pots, "up-pot": pots, f"up-pot {move.to.text}": pots})
            continue
        many = plants * groups
        kinds = ("refresh", "top up") if move.place is None else ("plant out",)
        for work in ("carry",) if move.carried else kinds:
            runs.update({work: many, f"{work} {move.old.text}": many})
    return runs


def _kind_of(name: str) -> str:
    """Return the kind of work of a name under [minutes]; a container alone is up-potting."""
    kinds = sorted(minutes_rows(), key=len, reverse=True)
    return next((one for one in kinds if name == one or name.startswith(f"{one} ")), "up-pot")


def _name(key: str, path: Path, context: Context) -> str | None:
    """Return the key in its one spelling; an unknown one is noted."""
    kinds = sorted(minutes_rows(), key=len, reverse=True)
    if key in kinds:
        return key
    kind = next((each for each in kinds if key.startswith(f"{each} ")), "")
    text = key.removeprefix(f"{kind} ")
    try:
        container = context.try_container(text)
    except TextError as error:
        otherwise = "a container as above, or one of " + ", ".join(f"`{each}`" for each in kinds)
        hint = suggest(key, kinds) or (suggest(text, ()) if kind else "") or otherwise
        code = "unknown-work" if error.code == "unknown-container" else error.code
        message = f"neither a container nor a kind of work: `{key}`"
        context.findings.error(
            path, code, message if code == "unknown-work" else error.message, hint=hint, key=True
        )
        return None
    if container is None:
        return None
    return f"{kind} {container.text}" if kind else container.text
