"""Everything that the sheets of a season say, and the page of the season itself."""

from __future__ import annotations

import hashlib
import json
from typing import TYPE_CHECKING

from attrs import asdict, evolve

from rootroom.counts import counted, some_of
from rootroom.sheets.layout import WIDTH, clip
from rootroom.sheets.views.before_and_after import due_record, due_rows, due_view
from rootroom.sheets.views.demand import additions_view, check_line, figures_view
from rootroom.sheets.views.model import (
    Cost,
    Doubt,
    FullCaution,
    SeasonView,
    SessionRow,
    SheetsView,
    Ticked,
)
from rootroom.sheets.views.session import session_views
from rootroom.sheets.views.shopping import NOBODY, shopping_view
from rootroom.sheets.writing import per_volume, volume_name
from rootroom.units import show_minutes

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rootroom.season import Season
    from rootroom.sessions.session import Session
    from rootroom.sessions.timeline import Late, LeftOut, Schedule
    from rootroom.sheets.writing import Writer

MOST_LATE = 12
"""Late moves shown one by one, the latest first."""
MOST_HARDENING = 12


def season_view(season: Season, writer: Writer) -> SeasonView:
    """Return the season page as a view; its charts are added by who lays it out."""
    demand, schedule = season.demand, season.schedule
    check = check_line(season.plan, demand)
    return SeasonView(
        mixes=figures_view(demand.mixes, writer),
        ingredients=figures_view(demand.ingredients, writer),
        additions=additions_view(demand.additions, writer),
        check=f"To check against memory: {check}." if check else "",
        doubts=_doubts(season, writer),
        costs=_costs(season, writer),
        saved=_saved(season, writer),
        sessions=[_session_row(n, one, writer) for n, one in enumerate(schedule.sessions, 1)],
        session_notes=_notes(schedule),
        late=_late(schedule, writer),
        dates=_dates(schedule, writer),
        care=[
            Ticked(f"{writer.day_week(due.date)}: {due_view(due, writer)}", due_record(due))
            for due in due_rows(schedule.aftercare)
        ],
        why=list(schedule.why.reasons) if schedule.why else [],
        cures=list(schedule.why.cures) if schedule.why else [],
        cautions=_cautions(schedule),
    )


def _doubts(season: Season, writer: Writer) -> list[Doubt]:
    from rootroom.demand.doubts import doubts

    return [
        Doubt(
            text=(
                f"{writer.name(one.factor)} ({writer.share(one.share)} of the doubt): "
                f"{writer.name(one.measure)}. Then write into the plan:"
            ),
            line=writer.name(one.line),
        )
        for one in doubts(season.plan, season.demand)
    ]


def _costs(season: Season, writer: Writer) -> list[Cost]:
    """Return what each supplier gets, fees with it, and the sum."""
    totals = season.shopping.totals
    rows = [
        Cost(NOBODY if source is None else writer.name(source, WIDTH), writer.money(cents))
        for source, cents in totals.items()
    ]
    return [*rows, Cost("in all", writer.money(season.shopping.cost_cents))] if rows else []


def _saved(season: Season, writer: Writer) -> list[str]:
    """Return a sentence for each own mix and ready-made one: the share saved first of all."""
    system = season.plan.garden.system
    found = []
    for one in season.shopping.compare:
        for ready in one.ready:
            if ready.saved_share is None:
                continue
            share = writer.share(abs(float(ready.saved_share)))
            so = f"saves {share} beside" if ready.saved_share >= 0 else f"costs {share} more than"
            pack = writer.name(ready.pack + (f", {ready.source}" if ready.source else ""))
            price = per_volume(ready.cents_per_l, system, writer.currency)
            per = f"{writer.currency}/{volume_name(system)}"
            mix = writer.name(one.mix)
            found.append(f"Blending {mix} yourself {so} {pack} at {price} {per}.")
    return found


def _session_row(number: int, session: Session, writer: Writer) -> SessionRow:
    plants = sum(line.count for line in session.plant_lines)
    beds = len({line.name for line in session.work if line.kind == "fill bed"})
    what = []
    if session.batches:
        names = some_of(dict.fromkeys(writer.name(one.mix) for one in session.batches), 3, "; ")
        what.append(f"blend {names}")
    if beds:
        what.append(counted(beds, "bed"))
    if plants:
        what.append(counted(plants, "plant"))
    return SessionRow(
        number=str(number),
        day=writer.day_week(session.date),
        time=writer.hour(session.start),
        people=str(session.people),
        work=show_minutes(session.minutes),
        what=", ".join(what),
    )


def _notes(schedule: Schedule) -> list[str]:
    if schedule.left_out:
        proved = " (fewer would not do, proved)" if "left_out" in schedule.proved else ""
        return [
            f"Not all of the work fits. Left out{proved}, and all else is planned:",
            *(row.strip() for row in left_out_rows(schedule)),
        ]
    if schedule.status == "infeasible":
        return ["The work does not fit into the work days."]
    if not schedule.found:
        return ["No schedule was found within the limit."]
    if not schedule.sessions:
        return ["Nothing to do: no plant moves and no bed is filled."]
    if schedule.status == "optimal":
        return ["Fewer sessions would not do (proved)."]
    notes = [f"At least {counted(schedule.bound_sessions, 'session')} needed."]
    clock = ["The time limit ended the search, so another run may differ."]
    return notes + clock * schedule.clock


def _late(schedule: Schedule, writer: Writer) -> list[str]:
    rows = [
        (
            f"{writer.name(late.plant)}: {writer.number(late.count)} on "
            f"{writer.day_week(late.date)}, {counted(late.days, 'day')} late"
        )
        for late in latest_first(schedule.late)
    ]
    return _first(rows, MOST_LATE)


def _dates(schedule: Schedule, writer: Writer) -> list[str]:
    rows = [
        f"{writer.name(one.plant)} {writer.day_short(one.first)} to {writer.day_short(one.last)}"
        for one in schedule.hardening
    ]
    return _first(rows, MOST_HARDENING)


def _first(rows: list[str], most: int) -> list[str]:
    """Return the first rows, and of the others how many there are."""
    if len(rows) <= most:
        return rows
    return [*rows[:most], f"and {counted(len(rows) - most, 'more row')}"]


def _cautions(schedule: Schedule) -> list[FullCaution]:
    """Return every caution that concerns any session, each once, the most urgent first."""
    found = {one.key: one for session in schedule.sessions for one in session.cautions}
    ranked = sorted(found.values(), key=lambda one: one.rank)
    return [FullCaution(one.line, one.more) for one in ranked]


def sheets_view(season: Season, writer: Writer) -> SheetsView:
    """Return the view of all sheets.

    `digest` changes with anything that the sheets say, so that a phone does not take ticks made on
    an older sheet for its own.
    """
    plan = season.plan
    view = SheetsView(
        language=writer.language,
        garden=writer.name(plan.garden.name),
        file=writer.name(plan.file),
        made_by=f"Printed from {writer.name(plan.file)}",
        scoop_l=round(plan.work.scoop_l, 6),
        season=season_view(season, writer),
        shopping=shopping_view(season.shopping, writer),
        sessions=session_views(season, writer),
    )
    text = json.dumps(asdict(view), ensure_ascii=True, sort_keys=True)
    return evolve(view, digest=hashlib.sha256(text.encode()).hexdigest()[:12])


def left_out_rows(schedule: Schedule) -> list[str]:
    """Return what is left out, a row a move, with the time that it would take."""
    rows = [
        f"  {clip(left.plant, 30)}{move_of(left.move)}: {left.count}, "
        f"{show_minutes(left.minutes)} of work"
        for left in schedule.left_out[:MOST_LATE]
    ]
    return rows + more_rows(schedule.left_out[MOST_LATE:])


def more_rows(rest: Sequence[Late | LeftOut]) -> list[str]:
    """Return a line for the rows that are not shown, none where all are."""
    plants = counted(sum(one.count for one in rest), "plant")
    more = counted(len(rest), "more row")
    return [f"  and {more}, {plants} (sessions --json has them all)"] if rest else []


def latest_first(late: Sequence[Late]) -> list[Late]:
    """Return what is late: the latest first, then the most plants, then as in the plan."""
    return sorted(late, key=lambda one: (-one.days, -one.count))


def move_of(move: int | None) -> str:
    """Return `, move 2`, nothing for a bed."""
    return "" if move is None else f", move {move}"
