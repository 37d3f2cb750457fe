"""Labels for pots: one for every pot that a plant is put in first, by session."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rootroom.sheets.plain import clip
from rootroom.sheets.views.session import View
from rootroom.sheets.wording import words

if TYPE_CHECKING:
    from rootroom.sessions.result import Schedule
    from rootroom.sheets.writing import Writer

__all__ = ["labels_view"]

MOST_OF_A_LINE = 24
MOST_IN_ALL = 360


def labels_view(schedule: Schedule, writer: Writer) -> View:
    """Return labels in the order of the work; a label goes along when its plant moves on."""
    labelled: dict[str, int | None] = {}
    labels: list[View] = []
    left_out = 0
    for session in schedule.sessions:
        for line in session.work:
            if line.kind != "move" or not line.pots:
                continue
            if labelled.setdefault(line.name, line.move) != line.move:
                continue
            number = min(line.pots, MOST_OF_A_LINE, MOST_IN_ALL - len(labels))
            left_out += line.pots - number
            label = {
                "name": clip(line.name, 34),
                "what": clip(f"{writer.name(line.new or '')}, {writer.name(line.mix or '')}", 30),
                "day": writer.day(session.date),
            }
            labels += [label] * number
    more = words("labels.more", n=left_out) if left_out else ""
    return {"labels": labels, "more": more}
