"""What all sessions of a season come to: their proof, what is late, when each thing is due.

Everything is in base units, as in the records of single sessions.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING, Literal

from attrs import field, frozen

from rootroom.sessions.session import GoodKind, Session

if TYPE_CHECKING:
    from rootroom.plan.entries import Care


@frozen
class Late:
    """Plants done after their date: `count` of them on `date`, `days` late.

    A bed counts as one plant and has no `move`.
    """

    plant: str
    move: int | None
    count: int
    days: int
    date: date


@frozen
class LeftOut:
    """Plants of a move that cannot be done, with the person-minutes [min] that they would take.

    A bed counts as one plant and has no `move`.
    """

    plant: str
    move: int | None
    count: int
    minutes: float


@frozen
class Why:
    """Why work is late or does not fit, and the smallest changes that would cure it, in words.

    Each cure is enough by itself and was found by solving; `clock` says that the time limit ended
    the search for them.
    """

    reasons: tuple[str, ...]
    cures: tuple[str, ...] = ()
    clock: bool = False


@frozen
class Window:
    """When one move (or bed) may be done, should be done, and is planned to be done.

    `done` has the count for each day; a bed has no `move`.
    """

    name: str
    move: int | None
    opens: date
    due: date
    done: Mapping[date, int]


@frozen
class Hardening:
    """Days on which plants are hardened off before a move, both ends included."""

    plant: str
    move: int
    first: date
    last: date


@frozen
class GoodDue:
    """A good and the day of the first session that needs it."""

    kind: GoodKind
    name: str
    first: date


@frozen
class DayReason:
    """Why a session is on its day: what stands against the work days before and after it.

    `too_early` could not be done on the work day `before`, `too_late` would be late or hold up what
    follows on the one `after`; `taken`: there is a session on the day before already.
    """

    day: date
    before: date | None
    after: date | None
    taken: bool
    too_early: tuple[str, ...]
    too_late: tuple[str, ...]


@frozen
class Schedule:
    """All sessions of a season.

    `status` is "optimal" (lateness and number of sessions both proved), "feasible", "infeasible"
    (not all fits by the last work day, proved) or "limit" (not all was found to fit within the
    limit); what does not fit is `left_out`, and all else is planned.
    `bound_late_plant_days` [plant-days] holds for every schedule, `bound_sessions` for every
    schedule no later than this one.
    `proved` names the objectives proved best in their order; `clock` says that the time limit
    ended the search, so that another run may differ.
    `aftercare` is what is due for plants after their moves, on whatever days, by date.
    """

    file: str
    status: Literal["optimal", "feasible", "infeasible", "limit"]
    late_plant_days: int
    bound_late_plant_days: int
    bound_sessions: int
    sessions: tuple[Session, ...] = ()
    late: tuple[Late, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    why: Why | None = None
    windows: tuple[Window, ...] = ()
    hardening: tuple[Hardening, ...] = ()
    reasons: tuple[DayReason, ...] = ()
    containers_to_buy: Mapping[str, int] = field(factory=dict)
    goods_due: tuple[GoodDue, ...] = ()
    proved: tuple[str, ...] = ()
    clock: bool = False
    aftercare: tuple[Care, ...] = ()

    @property
    def found(self) -> bool:
        """Whether there is a schedule at all, be it one that leaves work out."""
        return self.complete or bool(self.left_out)

    @property
    def complete(self) -> bool:
        """Whether all work is planned."""
        return self.status in ("optimal", "feasible")

    def first_use(self, kind: GoodKind, name: str) -> date | None:
        """Return the day of the first session that needs a good, None if none does."""
        for good in self.goods_due:
            if good.kind == kind and good.name == name:
                return good.first
        return None
