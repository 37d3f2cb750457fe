"""Answers without a plan: what fills a container, which there are, what keys and codes mean."""

from __future__ import annotations

import json
import re
import textwrap
import tomllib
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from rootroom.containers.text import list_containers
from rootroom.plan.names import known_name
from rootroom.problems import TextError
from rootroom.sheets.layout import WIDTH, columns, fill, item, picked, table
from rootroom.units import show_length, show_volume
from rootroom.units.showing import pot_unit

if TYPE_CHECKING:
    from rootroom.catalogue.spread import Spread
    from rootroom.demand.estimates import Estimate
    from rootroom.demand.quick import Asked
    from rootroom.units import System
    from rootroom.units.showing import OwnUnit


FORMS = (
    'Sizes are inside sizes; quantities are text with a unit, as "2.5 cu ft"; shares are text, as '
    '"12 %" or "1/3"; windows are dates, or text as "4 weeks before last frost".'
)


def fill_json(asked: Asked) -> str:
    """Return the answer as one JSON object (litres, rounded to 1e-6)."""
    volumes = {
        name: picked(getattr(asked.answer, name), "~low ~likely ~high ~median")
        for name in ("brim_l", "fill_l", "ball_l", "mix_l")
    }
    return json.dumps({"container": asked.container, **volumes}, ensure_ascii=False)


def fill_text(asked: Asked) -> str:
    """Return the answer for the terminal: two numbers for a spread, in both systems."""
    answer = asked.answer
    bed = answer.brim_l == answer.fill_l and asked.source == ""
    rows = [("filled, once settled" if bed else "to the fill line", answer.fill_l)]
    if not bed:
        rows.insert(0, ("to the brim", answer.brim_l))
    if asked.old is not None:
        rows.append((f"ball from {asked.old}", answer.ball_l))
    what = "mix to have ready" if asked.count == 1 else f"mix for {asked.count}"
    rows.append((what, answer.mix_l))
    heads = ("", "plan on", "up to", "plan on", "up to")
    cells = [[name, *_both(estimate, "us"), *_both(estimate, "metric")] for name, estimate in rows]
    lines = [asked.container, "", *columns(heads, cells, "lllll")]
    lines += ["", *(textwrap.fill(line, 80) for line in (asked.note, asked.source) if line)]
    return "\n".join(lines).rstrip()


def _both(estimate: Estimate, system: System) -> tuple[str, str]:
    return _volume(estimate.median, system), _volume(estimate.high, system, up=True)


def _volume(litres: float, system: System, *, up: bool = False) -> str:
    """Return a volume; below 20 L to a tenth, as the list of containers has it."""
    if system == "metric" and 10 <= litres < 20 and not up:
        return f"{litres:.1f} L"
    return show_volume(litres, system, up=up)


def pots_text(text: str | None) -> str:
    """Return the containers that have `text` in them; TextError where there is none."""
    rows = []
    for one in list_containers(text or ""):
        system: System = "metric" if METRIC.search(one.text) else "us"
        height = show_length(one.height_m, system) if one.height_m else ""
        unit = pot_unit(one.brim_l.likely, system)
        brim, fill = (_spread(spread, unit) for spread in (one.brim_l, one.fill_l))
        rows.append((one.text, brim, f"{fill} {unit.name}", height, one.grade))
    heads = ("container", "to the brim", "filled", "height", "grade")
    return f"{textwrap.dedent(table(heads, rows, 'lrrrl'))}\n\n{LEGEND}"


METRIC = re.compile(r"\bcm\b|\bL\b|^[CP]\d")
"""Containers that are named in centimetres or litres; all others are in inches or gallons."""


LEGEND = """\
Volumes are least, likely and most; a tray's are those of one cell. What is
named in centimetres or litres is told in them, all else in gallons and inches.
Grade: A standard or university, B trade press, C general page, M from memory or
common practice. Write your own volume under [containers] where you have
measured it: it wins."""


def _spread(spread: Spread, unit: OwnUnit) -> str:
    shares = [unit.of(litres) for litres in (spread.low, spread.likely, spread.high)]
    low, likely, high = (f"{share:.0f}" if share >= 100 else f"{share:.3g}" for share in shares)
    return likely if spread.low == spread.high else f"{low}/{likely}/{high}"


def keys_text(word: str | None, *, width: int = WIDTH) -> str:
    """Return the keys of a plan that have `word` in their name, table or meaning, all without it.

    TextError where no key has it.
    """
    wanted = (word or "").strip().casefold()
    blocks = []
    for part in _data("keys.toml")["table"]:
        rows = [
            row
            for row in part["keys"]
            if wanted in f"{part['name']} {row['key']} {row['says']}".casefold()
        ]
        if rows:
            lines = [_key(row, width) for row in rows]
            blocks.append("\n".join([part["name"], *lines]))
    if not blocks:
        raise TextError(
            f"no key of a plan has `{word}` in its name or meaning",
            code="unknown-key",
            hint="`rootroom keys` lists all",
        )
    return "\n\n".join([*blocks, fill(FORMS, width=width)])


def explain_text(code: str | None, *, width: int = WIDTH) -> str:
    """Return what a code of a mistake means, every code's meaning without one.

    TextError with the nearest code for one that is not known.
    """
    data = _data("codes.toml")
    codes: dict[str, str] = {**data["codes"], **data["lists"], **data["record"]}
    shown = codes if code is None else [known_name(code.strip("[]` "), codes, "code")]
    lines = [fill(f"{name}: {codes[name]}", hanging="  ", width=width) for name in shown]
    return "\n".join(lines)


def _key(row: dict[str, str], width: int) -> str:
    text = f"{row['key']}: {row['says']}. Without it: {row['default']}."
    return item(text, width=width)


def _data(name: str) -> dict[str, Any]:
    return tomllib.loads(files("rootroom.plan").joinpath("data", name).read_text("utf-8"))
