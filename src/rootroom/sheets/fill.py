"""The answer to a quick question: what fills a container, or a bed."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from rootroom.units import show_volume

if TYPE_CHECKING:
    from rootroom.demand.ask import Asked
    from rootroom.demand.estimates import Estimate
    from rootroom.units import System


def fill_json(asked: Asked) -> str:
    """Return the answer as one JSON object (litres, rounded to 1e-6)."""
    answer = asked.answer
    return json.dumps(
        {
            "container": asked.container,
            "brim_l": _range(answer.brim_l),
            "fill_l": _range(answer.fill_l),
            "ball_l": _range(answer.ball_l),
            "mix_l": _range(answer.mix_l),
        },
        ensure_ascii=False,
    )


def _range(estimate: Estimate) -> dict[str, float]:
    return {
        "low": round(estimate.low, 6),
        "likely": round(estimate.likely, 6),
        "high": round(estimate.high, 6),
        "median": round(estimate.median, 6),
    }


def fill_text(asked: Asked) -> str:
    """Return the answer for the terminal: two numbers for a spread, in both systems."""
    from tabulate import tabulate

    answer = asked.answer
    bed = answer.brim_l == answer.fill_l and asked.source == ""
    rows = [("filled, once settled" if bed else "to the fill line", answer.fill_l)]
    if not bed:
        rows.insert(0, ("to the brim", answer.brim_l))
    if asked.old is not None:
        rows.append((f"ball from {asked.old}", answer.ball_l))
    what = "mix to have ready" if asked.count == 1 else f"mix for {asked.count}"
    rows.append((what, answer.mix_l))
    table = tabulate(
        [[name, *_both(estimate, "us"), *_both(estimate, "metric")] for name, estimate in rows],
        headers=["", "plan on", "up to", "plan on", "up to"],
        tablefmt="plain",
        disable_numparse=True,
    )
    lines = [asked.container, "", table]
    lines += ["", *(line for line in (_sentence(asked.note), _sentence(asked.source)) if line)]
    return "\n".join(lines).rstrip()


def _sentence(text: str) -> str:
    import textwrap

    return textwrap.fill(text, width=80)


def _both(estimate: Estimate, system: System) -> tuple[str, str]:
    return _volume(estimate.median, system), _volume(estimate.high, system, up=True)


def _volume(litres: float, system: System, *, up: bool = False) -> str:
    """Return a volume; below 20 L to a tenth, as the list of containers has it."""
    if system == "metric" and 10 <= litres < 20 and not up:
        return f"{litres:.1f} L"
    return show_volume(litres, system, up=up)
