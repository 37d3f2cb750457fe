"""The record as plain text: what it holds and teaches, and what changes of the posted plan."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from rootroom.counts import counted, some_of
from rootroom.record.events import holding
from rootroom.sheets.layout import clip, day_long, day_short, listed, ruled_table, tidy, wrap
from rootroom.sheets.views.season import left_out_rows
from rootroom.sheets.writing import money
from rootroom.units import show_minutes, show_volume
from rootroom.units.showing import PLAIN, OwnUnit, pot_unit, three_digits

if TYPE_CHECKING:
    from rootroom.plan.model import Garden, Plan
    from rootroom.record.events import Event
    from rootroom.record.learned_figures import Figure
    from rootroom.record.mix_and_goods import Paid
    from rootroom.replanning.changes import Change, Missed
    from rootroom.replanning.replan import ListChange, Replanned
    from rootroom.units import System


PART_OF = {"fill bed": ", layer {}", "blend": ", blended"}
"""What a changed line is of, by its kind; any other kind is a move."""

MOST_LINES = 40
DATE = re.compile(r"\b\d{4}-\d\d-\d\d\b")


def record_list(plan: Plan, events: Sequence[Event]) -> str:
    """Return the events that hold, oldest first, each with the id that a correction names."""
    held = sorted(holding(events), key=lambda event: (event.day, event.line))
    if not held:
        return "The record is empty."
    rows = [
        clip(f"{event.day}  {event.id[:16]:<16}  {event.kind:<9}  {told(event, plan.garden)}", 110)
        for event in held
    ]
    gone = len(events) - len(held)
    tail = f"\n\n{gone} more line{'s were' if gone != 1 else ' was'} corrected or taken back."
    return "\n".join(rows) + (tail if gone else "")


def told(event: Event, garden: Garden) -> str:
    """Return what an event tells in a few words."""
    data: Mapping[str, Any] = event.data
    system = garden.system
    if "plant" in data:
        until = f" until {data['until']}" if "until" in data else ""
        sort = f"/{data['sort']}" if data.get("sort") else ""
        return f"{data['count']} {tidy(data['plant'] + sort)}, move {data['move']}{until}"
    if event.kind == "cared":
        return _cared(data)
    if event.kind == "filled":
        return f"{tidy(data['bed'])}, layer {data['layer']}: {data['share']:.0%}"
    if "mix" in data:
        return f"{tidy(data['mix'])}: {show_volume(data['l'], system)}"
    if event.kind == "taken out":
        of = f" of {tidy(data['of'])}" if "of" in data else ""
        return f"{show_volume(data['l'], system)}{of}"
    if event.kind == "bought":
        cents = data["paid_cents"]
        paid = "" if cents is None else f" for {money(cents, garden.currency)}"
        source = f" at {tidy(data['from'])}" if data.get("from") else ""
        return f"{data['packs']:g} {tidy(data['of'])}{paid}{source}"
    if event.kind == "in stock":
        there = f"{data['packs']:g} of" if data["packs"] is not None else ""
        return f"{there or show_volume(data['l'] or 0.0, system)} {tidy(data['of'])}"
    if "container" in data and "count" in data and event.kind != "timed":
        return f"{data['count']} {tidy(data['container'])}"
    if event.kind == "timed":
        what = f"{data['work']} {tidy(data.get('container', ''))}".strip()
        return f"{what}: {data['count']} in {show_minutes(data['minutes'])}"
    if event.kind == "worked":
        by = f" by {tidy(event.by)}" if event.by else ""
        return f"{show_minutes(data['minutes'])}{by}"
    if event.kind == "measured":
        times = f" (mean of {data['times']})" if "times" in data else ""
        value = data["value"]
        shown = show_volume(value, system) if data["what"] == "fill" else f"{value:g}"
        return f"{data['what']} {tidy(data['of'])}".strip() + f" = {shown}{times}"
    if event.kind == "planned":
        days = {row.get("day") for row in data["sessions"]}
        return f"a posted plan of {counted(len(days), 'session')}"
    return ", ".join(tidy(str(value)) for value in data.values())


def _cared(data: Mapping[str, Any]) -> str:
    names = some_of(map(tidy, data["plants"]))
    return f"{tidy(data['do'])} {names} ({counted(data['count'], 'plant')}), due {data['due']}"


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
        parts.append(_table(figures, plan.garden.system))
        parts.append(
            "Published figures move with evidence: one rough measurement a little, a season's\n"
            "worth far. `80 %` is the range that holds in 8 seasons of 10. How far single\n"
            "measurements scatter is our guess, without a source; it matters less the more\n"
            "there are of them."
        )
    if why:
        parts += [_why(figure, plan.garden.system) for figure in figures]
    lines = _lines(figures)
    lines += _prices(plan, paid)
    parts.append("\n".join(["Lines for the plan (it is not changed by itself)", "", *lines]))
    return "\n\n".join(parts)


def _table(figures: Iterable[Figure], system: System) -> str:
    heads = ["figure", "published", "measured", "now", "80 %"]
    rows = []
    for figure in figures:
        learned, unit = figure.learned, _unit(figure, system)
        prior, seen = learned.prior, learned.measured
        measured = "" if seen is None else f"{_joined((seen,), unit)} ({learned.count}x)"
        published = _joined((prior.low, prior.likely, prior.high), unit)
        now = _joined((learned.result.likely,), unit)
        between = _joined((learned.low, learned.high), unit)
        rows.append([_name(figure), published, measured, now, between])
    return ruled_table(heads, rows, "lllrl")


def _name(figure: Figure) -> str:
    return clip(f"{figure.what} {figure.of}".strip(), 24)


def _joined(ends: Sequence[float], unit: OwnUnit) -> str:
    texts = dict.fromkeys(three_digits(unit.of(end)) for end in ends)
    return "-".join(texts) + (unit.name if unit.name == "%" else f" {unit.name}".rstrip())


def _unit(figure: Figure, system: System) -> OwnUnit:
    if figure.what == "fill":
        return pot_unit(figure.learned.result.likely, system)
    if figure.what in ("spill", "shrink"):
        return OwnUnit("%", 0.01)
    return OwnUnit("min", 1.0) if figure.what == "minutes" else PLAIN


def _why(figure: Figure, system: System) -> str:
    learned, unit = figure.learned, _unit(figure, system)
    rows = [f"{_name(figure)}", f"  published: {clip(figure.source, 66)}"]
    for one in figure.evidence:
        line = f", line {one.line}" if one.line else ""
        weight = one.measured.weight
        counted = "" if weight == 1 else f", counts {weight:g}"
        value = _joined((one.measured.value,), unit)
        rows.append(f"  {day_long(one.day)}{line}: {value} {tidy(one.how)}{counted}")
    scatter = _joined((figure.scatter,), unit)
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
        price = money(round(one.cents_each), plan.garden.currency)
        of = tidy(one.of)
        lines.append(f"# paid on {one.day}:")
        lines.append(f'# {{ of = "{of}"{size}, price = {price}{source} }}')
    return ["# prices paid, for `supplies`:", *lines] if lines else []


def changes_text(found: Replanned) -> str:
    """Return what is different from the posted plan, within 80 columns."""
    schedule, changes, missed = found.season.schedule, found.changes, found.missed
    parts = []
    if not schedule.complete:
        rows = left_out_rows(schedule)
        rest = " Left out, and all else is planned:" if rows else ""
        head = f"Not all that is left fits into the work days that are left.{rest}"
        parts.append("\n".join([wrap(head), *rows]))
    if schedule.complete and found.holds:
        parts.append("The posted plan still holds.")
    if changes and found.holds:
        parts.append(listed("What is blended otherwise on its days", _rows(changes)))
    elif changes:
        parts.append(listed("What changes of the posted plan", _rows(changes)))
        if found.season.plan.posted:
            parts.append(
                "Days are kept where they can be: first nothing later than it must be,\n"
                "then no more sessions, then as few plants as possible on another day."
            )
    parts.append(listed("What changes of the posted list", _listed(found.list_changes)))
    if schedule.why is not None and not schedule.complete:
        for head, texts in (
            ("Why", schedule.why.reasons),
            ("What would cure it", schedule.why.cures),
        ):
            parts.append(listed(head, (_fill(f"- {tidy(text)}", first="  ") for text in texts)))
    parts.append(listed("Dates that are missed now", _missed(missed)))
    if schedule.found:
        days = [session.date for session in schedule.sessions]
        parts.append(
            f"Sessions left: {len(days)}, the next on {day_long(days[0])}."
            if days
            else "Nothing is left to do."
            if schedule.complete
            else "No session is left."
        )
    parts.append(_cost(found))
    return "\n\n".join(part for part in parts if part)


def _listed(changes: Sequence[ListChange]) -> Iterator[str]:
    for change in changes[:MOST_LINES]:
        yield f"  {clip(change.of, 40)}"
        yield _fill(tidy(f"{change.before} -> {change.after}: {change.reason}"))
    yield from _rest(changes)


def _rest(rows: Sequence[object]) -> Iterator[str]:
    if len(rows) > MOST_LINES:
        yield f"  and {len(rows) - MOST_LINES} more"


def _cost(found: Replanned) -> str:
    """Return what the season costs, and where keeping to the posted list costs much."""
    paid, to_pay = found.paid_cents, found.to_pay_cents
    currency = found.season.shopping.currency
    text = (
        f"Cost of the season: {money(paid + to_pay, currency)}, "
        f"of which {money(paid, currency)} is paid."
    )
    if found.dearer_cents:
        text += (
            f" The list keeps the posted recipes and suppliers; made anew it would cost about "
            f"{money(found.dearer_cents, currency)} less: `--anew` does that."
        )
    return _fill(text, first="").replace("\n      ", "\n")


def _rows(changes: Sequence[Change]) -> Iterator[str]:
    for change in changes[:MOST_LINES]:
        number = PART_OF.get(change.kind, ", move {}").format(change.number)
        where = f"{_days(change.before, change)} -> {_days(change.after, change)}"
        yield f"  {clip(change.name, 40)}{number}"
        yield _fill(f"{where}: {_with_days(tidy(change.reason))}")
    yield from _rest(changes)


def _with_days(text: str) -> str:
    """Return a reason with its dates as they stand elsewhere: `11 Apr`."""
    return DATE.sub(_short, text)


def _short(found: re.Match[str]) -> str:
    try:
        return day_short(date.fromisoformat(found[0]))
    except ValueError:  # a reason in somebody's own words may hold anything
        return found[0]


def _days(days: Mapping[date, int], change: Change) -> str:
    if not days:
        return "none"
    if change.kind == "fill bed":
        return ", ".join(f"{days[day] / 10:.0f} % on {day_short(day)}" for day in sorted(days))
    return ", ".join(
        f"{days[day]}{_batches(change, days[day])} on {day_short(day)}" for day in sorted(days)
    )


def _batches(change: Change, count: int) -> str:
    if change.kind != "blend":
        return ""
    return " batch" if count == 1 else " batches"


def _missed(missed: Sequence[Missed]) -> Iterator[str]:
    for one in missed[:MOST_LINES]:
        number = "" if one.number is None else f", move {one.number}"
        what = f"{clip(one.name, 40)}{number}: {one.count} after {day_long(one.due)}"
        when = "fits no work day" if one.day is None else f"done by {day_short(one.day)}"
        yield _fill(f"{what}, {when}{'' if one.anew else ' (as before)'}", first="  ")
    yield from _rest(missed)


def _fill(text: str, first: str = "    ") -> str:
    return wrap(text, indent=first, hanging="      ")
