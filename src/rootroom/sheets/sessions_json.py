"""The sessions as one JSON object, in base units, its keys in the order of the format."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rootroom.sessions.session import Bring, Line, Schedule, Session


def sessions_json(schedule: Schedule) -> str:
    """Return the object that `rootroom sessions --json` prints."""
    answer = {
        "status": schedule.status,
        "late_plant_days": schedule.late_plant_days,
        "bound_late_plant_days": schedule.bound_late_plant_days,
        "bound_sessions": schedule.bound_sessions,
        "sessions": [_session(session) for session in schedule.sessions],
        "late": [
            {"plant": late.plant, "move": late.move, "count": late.count, "days": late.days}
            for late in schedule.late
        ],
        "left_out": [
            {
                "plant": left.plant,
                "move": left.move,
                "count": left.count,
                "minutes": _number(left.minutes),
            }
            for left in schedule.left_out
        ],
    }
    return json.dumps(answer, ensure_ascii=False)


def _session(session: Session) -> dict[str, Any]:
    return {
        "date": session.date.isoformat(),
        "minutes": _number(session.minutes),
        "free_minutes": _number(session.free_minutes),
        "work": [
            {
                "kind": line.kind,
                "name": line.name,
                "move": line.move,
                "count": line.count,
                "minutes": _number(line.minutes),
                **_marks(line),
            }
            for line in session.work
        ],
        "batches": [
            {"mix": batch.mix, "l": _number(batch.litres), "scoops": _numbers(batch.scoops)}
            for batch in session.batches
        ],
        "bring": _bring(session.bring),
        "cautions": [caution.line for caution in session.cautions],
    }


def _marks(line: Line) -> dict[str, Any]:
    """Return sorts, place and tag of a line, those that the plan gives."""
    marks = {"sorts": dict(line.sorts), "place": line.place, "tag": line.tag}
    return {key: value for key, value in marks.items() if value}


def _bring(bring: Bring) -> dict[str, Any]:
    # Ready-made mix, and what goes in by the spoon without a known weight, are litres too.
    litres = {**bring.ingredients_l, **bring.ready_l, **bring.additions_l}
    return {
        "containers": dict(bring.containers),
        "ingredients_l": _numbers(litres),
        "additions_kg": _numbers(bring.additions_kg),
        "water_l": _number(bring.water_l),
        "tools": list(bring.tools),
    }


def _numbers(values: Mapping[str, float]) -> dict[str, float]:
    return {name: _number(value) for name, value in values.items()}


def _number(value: float) -> float:
    """Return a number rounded to 1e-6, whole numbers without a point."""
    rounded = round(value, 6)
    return int(rounded) if rounded == int(rounded) else rounded
