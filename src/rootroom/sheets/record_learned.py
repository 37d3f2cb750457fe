"""What the record teaches, as plain text: published range, measurements, the lines to paste."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from rootroom.sheets.money import money
from rootroom.sheets.plain import clip, day_long, tidy

if TYPE_CHECKING:
    from rootroom.plan.model import Plan
    from rootroom.record.learned_figures import Figure
    from rootroom.record.mix_and_goods import Paid


def learned_text(
    plan: Plan, figures: Sequence[Figure], paid: Sequence[Paid], *, why: bool = False
) -> str:
    """Return what was learned within 80 columns; with `why` every measurement and its source."""
    if not figures and not paid:
        return (
            "The record has nothing to learn from yet. Note a measurement or a time, as\n"
            "`--measured 'packing=1.2'`, `--timed '#3=18 in 95 min'` or `--worked '150 min'`."
        )
    parts = []
    if figures:
        parts.append(_table(figures))
        parts.append(
            "Published figures move with evidence: one rough measurement a little, a season's\n"
            "worth far. `80 %` is the range that holds in 8 seasons of 10. How far single\n"
            "measurements scatter is our guess, without a source; it matters less the more\n"
            "there are of them."
        )
    if why:
        parts += [_why(figure) for figure in figures]
    lines = _lines(figures)
    lines += _prices(plan, paid)
    parts.append("\n".join(["Lines for the plan (it is not changed by itself)", "", *lines]))
    return "\n\n".join(parts)


def _table(figures: Iterable[Figure]) -> str:
    from tabulate import tabulate

    heads = ["figure", "published", "measured", "now", "80 %"]
    rows = []
    for figure in figures:
        learned, what = figure.learned, figure.what
        prior, seen = learned.prior, learned.measured
        measured = "" if seen is None else f"{_number(seen, what)} ({learned.count}x)"
        published = _joined((prior.low, prior.likely, prior.high), what)
        now = _number(learned.result.likely, what)
        between = _joined((learned.low, learned.high), what)
        rows.append([_name(figure), published, measured, now, between])
    table = tabulate(
        [heads, *rows],
        tablefmt="plain",
        disable_numparse=True,
        colalign=("left", "left", "left", "right", "left"),
    )
    lines = [line.rstrip() for line in table.splitlines()]
    lines.insert(1, "-" * max(len(line) for line in lines))
    return "\n".join(lines)


def _name(figure: Figure) -> str:
    return clip(f"{figure.what} {figure.of}".strip(), 24)


def _joined(ends: Sequence[float], what: str) -> str:
    texts = dict.fromkeys(_plain(end, what) for end in ends)
    return "-".join(texts) + _unit(what)


def _number(value: float, what: str) -> str:
    return _plain(value, what) + _unit(what)


def _plain(value: float, what: str) -> str:
    shown = 100 * value if what in ("spill", "shrink") else value
    return f"{shown:.3g}" if shown < 1000 else f"{shown:.0f}"


def _unit(what: str) -> str:
    return {"fill": " L", "minutes": " min", "spill": "%", "shrink": "%"}.get(what, "")


def _why(figure: Figure) -> str:
    learned, what = figure.learned, figure.what
    rows = [f"{_name(figure)}", f"  published: {clip(figure.source, 66)}"]
    for one in figure.evidence:
        line = f", line {one.line}" if one.line else ""
        weight = one.measured.weight
        counted = "" if weight == 1 else f", counts {weight:g}"
        value = _number(one.measured.value, what)
        rows.append(f"  {day_long(one.day)}{line}: {value} {tidy(one.how)}{counted}")
    scatter = _number(figure.scatter, what)
    rows.append(f"  one measurement is taken to scatter by {scatter}: our guess, no source")
    rows.append(f"  the measurements count {learned.weight:.0%}, the published range the rest")
    return "\n".join(rows)


def _lines(figures: Iterable[Figure]) -> list[str]:
    """Return the lines to paste, those of one header together."""
    headers: dict[str, list[str]] = {}
    for figure in figures:
        headers.setdefault(figure.header, []).append(figure.line)
    lines = []
    for header, below in headers.items():
        head = header if header.startswith("[") else f"# {header}:"
        lines += [head, *(below if header.startswith("[") else [f"# {one}" for one in below]), ""]
    return lines


def _prices(plan: Plan, paid: Iterable[Paid]) -> list[str]:
    """Return the newest price paid for each supply, to start next year's plan from."""
    newest: dict[tuple[str, str | None, int | None], Paid] = {}
    for one in paid:
        if one.cents_each is not None:
            newest[one.of, one.source, one.supply] = one
    packs: Mapping[int, str] = {
        supply.number: supply.pack.text for supply in plan.supplies if supply.pack is not None
    }
    lines = []
    for one in newest.values():
        assert one.cents_each is not None
        pack = packs.get(one.supply or 0)
        size = f', pack = "{pack}"' if pack and not pack.isdigit() else ""
        source = f', from = "{tidy(one.source)}"' if one.source else ""
        price = money(round(one.cents_each))
        of = tidy(one.of)
        lines.append(f"# paid on {one.day}:")
        lines.append(f'# {{ of = "{of}"{size}, price = {price}{source} }}')
    return ["# prices paid, for `supplies`:", *lines] if lines else []
