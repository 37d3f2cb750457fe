"""The rows of a picture of the season: a plant or bed each, or all that look the same together."""

from __future__ import annotations

from typing import TYPE_CHECKING

from attrs import evolve, frozen

from rootroom.sheets.wording import words

if TYPE_CHECKING:
    from rootroom.sessions.session import Hardening, Schedule, Window

__all__ = ["SeasonRow", "season_rows"]


@frozen
class SeasonRow:
    """A name, when its work may be done and is done, and when it is hardened off.

    `more` rows that look the same are not drawn for themselves.
    """

    name: str
    windows: tuple[Window, ...]
    hardening: tuple[Hardening, ...]
    more: int = 0

    @property
    def tail(self) -> str:
        """Return what follows the name, which may be cut: ` +14`."""
        return words("charts.and_more", n=self.more) if self.more else ""


def season_rows(schedule: Schedule, most: int) -> list[SeasonRow]:
    """Return the rows in the order of the plan; of more than `most`, alike ones made one."""
    windows: dict[tuple[str, bool], list[Window]] = {}
    for window in schedule.windows:
        windows.setdefault((window.name, window.move is None), []).append(window)
    hardening: dict[str, list[Hardening]] = {}
    for one in schedule.hardening:
        hardening.setdefault(one.plant, []).append(one)
    rows = [
        SeasonRow(name, tuple(found), tuple(() if bed else hardening.get(name, ())))
        for (name, bed), found in windows.items()
    ]
    return rows if len(rows) <= most else _joined(rows)


def _joined(rows: list[SeasonRow]) -> list[SeasonRow]:
    """Return rows whose pictures are the same as one row, named after the first."""
    alike: dict[object, list[SeasonRow]] = {}
    for row in rows:
        picture = (
            tuple((one.move, one.opens, one.due, tuple(one.done)) for one in row.windows),
            tuple((one.first, one.last) for one in row.hardening),
        )
        alike.setdefault(picture, []).append(row)
    return [evolve(ones[0], more=len(ones) - 1) for ones in alike.values()]
