"""The whole season as the terminal shows it: demand, what to buy, and the dated sessions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rootroom.sheets.buying import buying_text
from rootroom.sheets.demand import mixes_text
from rootroom.sheets.plain import clip
from rootroom.sheets.sessions import sessions_text
from rootroom.sheets.wording import words

if TYPE_CHECKING:
    from rootroom.season import Season

__all__ = ["season_text"]


def season_text(season: Season) -> str:
    """Return the answer of all stages as text within 80 columns."""
    plan = season.plan
    parts = [
        words("season.heading", garden=clip(plan.garden.name, 44), file=clip(plan.file, 32)),
        _headed("demand", mixes_text(plan, season.demand)),
        _headed("buying", buying_text(season.shopping)),
        _headed("sessions", sessions_text(plan, season.schedule, shopping=season.shopping)),
    ]
    return "\n\n".join(parts)


def _headed(key: str, body: str) -> str:
    return f"{words(f'season.{key}')}\n\n{body}"
