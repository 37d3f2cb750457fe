"""The sheet that hangs on the wall, as rows that a record keeps to compare with."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from rootroom.sheets.fetching import fetches

if TYPE_CHECKING:
    from rootroom.season import Season
    from rootroom.sessions.session import Session

__all__ = ["planned_data", "rows_of"]


def planned_data(season: Season) -> dict[str, Any]:
    """Return the data of a `planned` event: rows of work by day, and the goods to buy for each.

    Litres [L] are finished mix, minutes person-minutes, money whole cents.
    """
    rows = [row for session in season.schedule.sessions for row in rows_of(session)]
    first = fetches(season.schedule, season.shopping).by_day
    days = {
        line.supply: day.isoformat()
        for day, some in first.items()
        for one in some
        for line in one.lines
    }
    goods = [
        {
            **({"day": days[line.supply]} if line.supply in days else {}),
            "supply": line.supply,
            "of": line.of,
            "pack": line.pack,
            "from": line.source,
            "packs": line.packs,
            "cents": line.cost_cents,
        }
        for line in season.shopping.lines
    ]
    return {"sessions": rows, "goods": goods}


def rows_of(session: Session) -> Iterator[dict[str, Any]]:
    """Yield a row for each line of a session's work, and one for each mix that is blended."""
    day = session.date.isoformat()
    for line in session.work:
        row: dict[str, Any] = {
            "day": day,
            "kind": line.kind,
            "name": line.name,
            "number": line.move or line.layer,
            "count": line.count if line.plants else 1,
            "share": round(line.share, 6),
            "minutes": round(line.minutes, 3),
        }
        if line.kind == "blend":
            batches = [batch for batch in session.batches if batch.mix == line.name]
            row["l"] = round(sum(batch.litres for batch in batches), 6)
            row["count"] = line.count
        elif line.mix is not None:
            row |= {"mix": line.mix, "l": round(line.mix_l, 6)}
        if line.of is not None:
            row["of"] = line.of
        if line.new is not None:
            row["to"] = line.new
        yield row
    for mix, litres in session.left_l.items():
        row = {"day": day, "kind": "left", "name": mix, "number": 0, "count": 0}
        yield {**row, "l": round(litres, 6)}
