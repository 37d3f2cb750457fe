"""Everything that the sheets of one season say, written once and laid out by each kind of paper."""

from __future__ import annotations

import hashlib
import json
from typing import TYPE_CHECKING

from attrs import asdict, evolve

from rootroom.sheets.views.model import SheetsView
from rootroom.sheets.views.season import season_view
from rootroom.sheets.views.session import session_views
from rootroom.sheets.views.shopping import shopping_view

if TYPE_CHECKING:
    from rootroom.season import Season
    from rootroom.sheets.writing import Writer


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
