"""Labels for pots: one for every pot that a plant is put in first, by session."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from rootroom.sheets.plain import clip
from rootroom.sheets.views.session import View
from rootroom.sheets.wording import words

if TYPE_CHECKING:
    from rootroom.sessions.session import Schedule
    from rootroom.sheets.writing import Writer

__all__ = ["labels_view"]

MOST_OF_A_LINE = 24
MOST_IN_ALL = 360
MOST_NAMED = 6


def labels_view(schedule: Schedule, writer: Writer) -> View:
    """Return labels in the order of the work; a label goes along when its plant moves on."""
    labelled: dict[str, int | None] = {}
    labels: list[View] = []
    left_out: dict[str, int] = {}
    moves_on = False
    for session in schedule.sessions:
        for line in session.work:
            if line.kind != "move" or not line.pots:
                continue
            if labelled.setdefault(line.name, line.move) != line.move:
                moves_on = True
                continue
            number = min(line.pots, MOST_OF_A_LINE, MOST_IN_ALL - len(labels))
            if line.pots > number:
                left_out[line.name] = left_out.get(line.name, 0) + line.pots - number
            label = {
                "name": clip(line.name, 34),
                "what": clip(f"{writer.name(line.new or '')}, {writer.name(line.mix or '')}", 30),
                "day": writer.day(session.date),
            }
            labels += [label] * number
    notes = []
    if left_out:
        notes.append(words("labels.more", n=sum(left_out.values()), which=_which(left_out)))
    if labels and moves_on:
        notes.append(words("labels.along"))
    return {"labels": labels, "more": " ".join(notes)}


def _which(left_out: Mapping[str, int]) -> str:
    """Return how many pots of which plants have no label, the first few by name."""
    named = [f"{number:,} × {clip(name, 34)}" for name, number in left_out.items()]
    others = len(named) - MOST_NAMED
    if others > 0:
        named[MOST_NAMED:] = [words("labels.others", n=others)]
    return ", ".join(named)
