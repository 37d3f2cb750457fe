"""Water, air and weight of every filled pot as one JSON object in base units."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from rootroom.sheets.layout import rounded

if TYPE_CHECKING:
    from rootroom.catalogue.spread import Spread
    from rootroom.pot.lifting import PotLift
    from rootroom.pot.report import MovedPot, Pair, PotReport
    from rootroom.pot.verdict import Verdict
    from rootroom.pot.weight import FloorLoad


def drained_json(report: PotReport) -> str:
    """Return the report as the text of one JSON object; numbers are rounded to a millionth."""
    return json.dumps(drained_object(report), ensure_ascii=False)


def drained_object(report: PotReport) -> dict[str, Any]:
    """Return the report as plain lists and dictionaries.

    Shares are of the mix's volume, weights [kg] of one container (of a tray: one cell), loads
    [kg/m2] of saturated pots.
    """
    return {
        "plan": report.file,
        "mixes": {
            name: {
                "basis": figures.basis,
                "unknown": list(figures.unknown),
                "dry_kg_per_m3": _range(figures.dry_kg_per_m3),
                "vessel_kg": _range(report.vessels_kg.get(name)),
            }
            for name, figures in report.mixes.items()
        },
        "pots": [_pair(pair) for pair in report.pairs],
        "moves": [_move(move) for move in report.moves],
        "packs": [
            {
                "supply": supply.number,
                "of": supply.of,
                "pack": supply.pack.text if supply.pack is not None else "",
                "kg": _range(weight),
            }
            for supply, weight in report.bags
        ],
        "live_loads": _live_loads(report),
    }


def _pair(pair: Pair) -> dict[str, Any]:
    found: dict[str, Any] = {
        "mix": pair.mix,
        "container": pair.container.text,
        "fill_height_m": rounded(pair.container.fill_height_m),
    }
    for key, name in (
        ("air_share", "air"),
        ("water_share", "capacity"),
        ("available_share", "available"),
        ("porosity_share", "porosity"),
    ):
        found[key] = None if pair.water is None else _range(getattr(pair.water, name))
    for name in ("pot", "dry", "drained", "saturated"):
        found[f"{name}_kg"] = None if pair.weight is None else _range(getattr(pair.weight, name))
    found["why_not"] = pair.why_not
    return found


def _move(move: MovedPot) -> dict[str, Any]:
    return {
        "plants": list(move.names),
        "move": move.number,
        "count": move.plants,
        "pots": move.pots,
        "mix": move.pair.mix,
        "container": move.pair.container.text,
        "verdict": None if move.verdict is None else _verdict(move.verdict),
        "lift": None if move.lift is None else _lift(move.lift),
        "floor": None if move.floor is None else _floor(move.floor),
    }


def _verdict(verdict: Verdict) -> dict[str, Any]:
    return {
        "use": verdict.use.name,
        "words": verdict.words,
        "compared": [
            {
                "of": one.band.of,
                "measured": one.band.measured,
                "published_low": one.band.low,
                "published_high": one.band.high,
                "source": one.band.source,
                "found": _range(one.found),
                "reading": one.reading,
                "text": one.text,
            }
            for one in verdict.comparisons
        ],
        "changes": [
            {"kind": one.kind, "figure": rounded(one.figure), "text": one.text}
            for one in verdict.remedies
        ],
    }


def _lift(lift: PotLift) -> dict[str, Any]:
    return {
        "kg": rounded(lift.weight_kg),
        "limit_kg": rounded(lift.limit_kg),
        "index": rounded(lift.index),
        "text": lift.text,
        "advice": list(lift.advice),
    }


def _floor(floor: FloorLoad) -> dict[str, Any]:
    return {
        "under_pot_kg_per_m2": _range(floor.under_pot),
        "over_area_kg_per_m2": _range(floor.over_area),
        "area_m2": rounded(floor.area_m2),
    }


def _live_loads(report: PotReport) -> list[dict[str, Any]]:
    """Return the published loads, where some plant says what it stands on."""
    for move in report.moves:
        if move.floor is not None and move.floor.area_m2 is not None:
            return [
                {
                    "place": load.place,
                    "kg_per_m2": rounded(load.kg_per_m2),
                    "edition": load.edition,
                    "source": load.source,
                }
                for load in move.floor.published
            ]
    return []


def _range(spread: Spread | None) -> dict[str, float | None] | None:
    if spread is None:
        return None
    return {key: rounded(getattr(spread, key)) for key in ("low", "likely", "high")}
