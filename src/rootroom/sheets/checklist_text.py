"""A session's checklist as a plain text file: boxes to tick with a pencil, within 80 columns."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rootroom.sheets.layout import WIDTH, listed, wrap
from rootroom.sheets.views.model import BatchView, Evening, SessionView, WorkRow

BOX = "[ ] "
BLANK = "_" * 8


def checklist_text(session: SessionView, *, garden: str, made_by: str) -> str:
    """Return the checklist of a session as text."""
    head = f"{session.day}, {session.clock}"
    kinds = "  ".join(BOX + kind for kind in ("dry", "rain", "wind", "frost", "heat"))
    parts = [
        f"{garden}: {session.of}\n{head}\n{'=' * min(len(head), WIDTH)}\n"
        f"{session.people}, {session.minutes} of work\nWeather:  {kinds}",
        _evening(session.before),
        *(_batch(batch) for batch in session.batches),
        _work(session.grouped or session.work),
        _materials(session),
        _list("Weights", session.weights),
        _list("Take care", _cautions(session)) if session.cautions else "",
        _list("If it rains", session.rain),
        _list("Afterwards", session.after, box=True),
        _list("Empty pots", session.empties),
        _list("Should be left", session.left),
        _used(session),
        made_by,
    ]
    return "\n\n".join(part for part in parts if part) + "\n"


def _evening(groups: Sequence[Evening]) -> str:
    if not groups:
        return ""
    lines = ["The evening before"]
    for group in groups:
        lines.append(f"  {group.head}")
        lines += [_hang(item, f"  {BOX}") for item in group.items]
    return "\n".join(lines)


def _batch(batch: BatchView) -> str:
    boxes = "[ ]" * batch.boxes
    last = batch.last
    header = ("part", "a batch", "the last", "in all")
    rows = [[row.part, row.batch, *([row.last] if last else []), row.all] for row in batch.rows]
    columns = header if last else (header[0], header[1], header[3])
    lines = [
        _hang(f"{batch.title}: {batch.many}, {batch.makes}  {boxes}", ""),
        f"  {batch.scoop}",
        _table(columns, rows),
        *(_hang(add, "  ") for add in batch.adds),
    ]
    if batch.order:
        lines.append(_hang(batch.order, "  "))
    return "\n".join(lines)


def _work(rows: Sequence[WorkRow]) -> str:
    lines = ["Work"]
    for row in rows:
        counted = f", {row.counted}" if row.counted else ""
        way = f": {row.way}" if row.way else ""
        marks = f" ({row.marks})" if row.marks else ""
        lines.append(_hang(f"{row.start}  {row.name}{marks}{way}{counted}".lstrip(), BOX))
        details = [_each(row), row.amount, *row.adds, row.people, row.weight]
        lines += [_hang(", ".join(part for part in details if part), "      ")] * any(details)
        if row.boxes:
            lines.append(_hang("[ ]" * row.boxes, "      "))
        elif row.tally:
            lines.append(f"      {BLANK} {row.tally}")
        if row.checkpoint:
            lines.append(_hang(row.checkpoint, "      -> "))
        if row.names:
            # A box stays beside its name: a character that no name holds stands for their spaces.
            boxes = [(BOX + name).replace(" ", "\0") for name in row.names]
            lines.append(_hang("  ".join(boxes), "      ").replace("\0", " "))
            lines += [f"      {row.more_names}"] * bool(row.more_names)
    return "\n".join(lines)


def _each(row: WorkRow) -> str:
    if not row.pot:
        return ""
    text = f"{row.pot} {row.mix} a pot"
    return f"{text} ({row.pot_exact})" if row.pot_exact else text


def _materials(session: SessionView) -> str:
    rows = [
        [f"{BOX}{row.amount}", row.what + (f" ({row.source})" if row.source else "")]
        for row in session.materials
    ]
    tools = _hang(f"Tools: {session.tools}", "  ") if session.tools else ""
    if not rows and not tools:
        return ""
    width = max((len(amount) for amount, _ in rows), default=0)
    lines = [_hang(f"{amount:<{width}}  {what}", "  ") for amount, what in rows]
    return "\n".join(["Bring", *lines, *([tools] if tools else [])])


def _cautions(session: SessionView) -> list[str]:
    more = "in full, and more, on the season page" if session.more_cautions else ""
    return [*session.cautions, more or "in full on the season page"]


def _used(session: SessionView) -> str:
    texts = [*(one.text for one in session.used), *session.counts]
    lines = [f"{BLANK} {text}" for text in texts]
    lines.append(f"Notes {'_' * 60}")
    return "\n".join(["Really used", *(f"  {line}" for line in lines)])


def _list(head: str, items: Iterable[str], *, box: bool = False) -> str:
    return listed(head, (_hang(item, f"  {BOX}" if box else "  - ") for item in items))


def _hang(text: str, head: str) -> str:
    return wrap(text, indent=head, hanging=" " * len(head))


def _table(header: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    widths = [max(len(row[place]) for row in (header, *rows)) for place in range(len(header))]
    widths[0] = min(widths[0], 40)
    lines = []
    for row in (header, *rows):
        first = row[0] if len(row[0]) <= widths[0] else row[0][: widths[0] - 1] + "…"
        rest = [f"{cell:>{width}}" for cell, width in zip(row[1:], widths[1:], strict=True)]
        lines.append("    " + "  ".join([f"{first:<{widths[0]}}", *rest]).rstrip())
    return "\n".join(lines)
