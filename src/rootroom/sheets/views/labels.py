"""Labels for pots: one for every pot that a plant is put in first, in the order of the work.

They are laid out for any sheet of labels, told by its rows, columns and margins, and listed for
label printers with how many of each are wanted.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from attrs import frozen

from rootroom.counts import ceil_count
from rootroom.plan.names import shown
from rootroom.problems import TextError
from rootroom.sheets.layout import clip, csv_text
from rootroom.units import read_length_m

if TYPE_CHECKING:
    from rootroom.sessions.session import PlantLine
    from rootroom.sessions.timeline import Schedule
    from rootroom.sheets.writing import Writer

PAPER_M = {"a4": (0.210, 0.297), "letter": (0.2159, 0.2794)}
LEAST_M = (0.020, 0.008)
"""A label is at least so wide and high [m]."""


@frozen
class Label:
    """What stands on a label, and how many of it are wanted."""

    name: str
    container: str
    mix: str
    day: str
    count: int
    sort: str = ""
    place: str = ""
    tag: str = ""

    @property
    def lines(self) -> list[str]:
        """What is printed, from above."""
        return [
            self.name,
            *([self.sort] if self.sort else []),
            ", ".join(part for part in (self.container, self.mix) if part),
            ", ".join(part for part in (self.day, self.place, self.tag) if part),
        ]


@frozen
class LabelSheet:
    """A sheet of labels: their rows and columns, the margins and the gap between columns [m].

    Lines to cut along are drawn where the sheet was not told.
    """

    rows: int = 9
    columns: int = 3
    top_m: float = 0.012
    side_m: float = 0.012
    gap_m: float = 0.0
    cut: bool = True

    def label_m(self, paper: str) -> tuple[float, float]:
        """Return how wide and high a label is on a paper [m]."""
        width, height = PAPER_M[paper]
        across = width - 2 * self.side_m - (self.columns - 1) * self.gap_m
        return across / self.columns, (height - 2 * self.top_m) / self.rows


def read_label_sheet(text: str, paper: str) -> LabelSheet:
    """Return a sheet from `10 x 3, 0.5 in x 0.2 in, 0.12 in`: margins and gap may be left out.

    Raises TextError for what cannot be read and for labels too small to write on.
    """
    sizes = r"(?:\s*,\s*([^,x×]+)[x×]([^,x×]+)(?:,\s*([^,x×]+))?)?"
    found = re.fullmatch(rf"\s*(\d{{1,3}})\s*[x×]\s*(\d{{1,3}}){sizes}\s*", text)
    hint = "rows x columns, then the margins above x beside and the gap between columns: "
    hint += "`10 x 3, 0.5 in x 0.2 in, 0.12 in`"
    if found is None or "0" in (found[1].lstrip("0") or "0", found[2].lstrip("0") or "0"):
        message = f"no sheet of labels: `{shown(text)}`"
        raise TextError(message, code="unknown-label-sheet", hint=hint)
    top, side, gap = (read_length_m(one) if one else 0.0 for one in found.groups()[2:])
    sheet = LabelSheet(int(found[1]), int(found[2]), top, side, gap, cut=False)
    if any(is_ < least for is_, least in zip(sheet.label_m(paper), LEAST_M, strict=True)):
        message = f"labels too small to write on: `{shown(text)}` on {paper}"
        raise TextError(message, code="small-labels", hint="a label is at least 20 x 8 mm")
    return sheet


def labels_of(schedule: Schedule, writer: Writer) -> list[Label]:
    """Return the labels in the order of the work; a label goes along when its plant moves on."""
    labelled: dict[str, int | None] = {}
    found = []
    for session in schedule.sessions:
        for line in session.plant_lines:
            if line.kind != "move" or not line.pots:
                continue
            if labelled.setdefault(line.name, line.move) == line.move:
                day = writer.day(session.date)
                new, mix = writer.name(line.new or ""), writer.name(line.mix or "")
                place, tag = writer.marks(line.place), writer.marks(line.tag)
                found += [
                    Label(clip(line.name, 34), new, mix, day, count, clip(sort, 34), place, tag)
                    for sort, count in _by_sort(line)
                ]
    return found


def _by_sort(line: PlantLine) -> list[tuple[str, int]]:
    """Return each sort of a line with its labels, one a pot; plants of no sort have their own.

    Cells of a tray that stay empty have labels only where no sorts are told.
    """
    if not line.sorts:
        return [("", line.pots)]
    counts = [*line.sorts.items(), ("", line.count - sum(line.sorts.values()))]
    return [(sort, ceil_count(many, line.per_pot)) for sort, many in counts if many]


def labels_csv(labels: Sequence[Label]) -> str:
    """Return a row for each label; the column `labels` says how many of it are wanted."""
    rows = (
        (one.name, one.container, one.mix, one.day, one.count, one.sort, one.place, one.tag)
        for one in labels
    )
    heads = ("name", "container", "mix", "date", "labels", "sort", "place", "tag")
    return csv_text(heads, rows)
