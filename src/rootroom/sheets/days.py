"""The days of a season at a glance: one row a session, for the screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rootroom.sheets.layout import WIDTH, fill, fitted_table
from rootroom.sheets.plain import clip, day_long, hour
from rootroom.units import show_minutes, show_volume

if TYPE_CHECKING:
    from rootroom.sessions.session import Schedule, Session
    from rootroom.sheets.fetching import Fetches
    from rootroom.units import System

MOST_NAMES = 8
"""Plants named in a row of the table; a nursery's day has thousands."""


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
        line.name for line in session.work if line.plants or line.kind == "fill bed"
    )
    shown = [clip(name, 30) + ("*" if name in cannot else "") for name in named]
    more = f" and {len(shown) - MOST_NAMES:,} more" if len(shown) > MOST_NAMES else ""
    return ", ".join(shown[:MOST_NAMES]) + more


def _fetched(session: Session, bought: Fetches | None) -> str:
    """Return from whom goods must have come by the evening before."""
    if bought is None:
        return ""
    return ", ".join(one.head or "what is bought" for one in bought.on(session.date))
