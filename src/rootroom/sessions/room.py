"""How much room the pots take in their place, day by day, and which pots have none.

A pot takes a square as wide as itself and the gap of its place, or its `spacing` where that is
more; a tray takes its own length and width. Where a plan gives the ground that a group stands on in
the end, that counts after its last move. Plants stay in their place until they leave for a bed, the
ground or a buyer. Left out: alleys, and what only the shape of the place forbids.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING

from attrs import evolve, frozen

from rootroom.containers.container import TRAY_LENGTH_M, TRAY_WIDTH_M
from rootroom.counts import ceil_count
from rootroom.tolerances import AS_WRITTEN
from rootroom.units import show

if TYPE_CHECKING:
    from rootroom.containers.container import Container
    from rootroom.plan.entries import Place
    from rootroom.plan.model import Plan, PlantGroup
    from rootroom.sessions.session import Session
    from rootroom.units import System


@frozen
class RoomUse:
    """What one place has and what pots take there [m2] from the evening of `date` on.

    `over` is how many of the pots `text`, which came last or take the most, have no room; `unknown`
    are containers there whose size nobody knows, which count as nothing.
    """

    place: str
    date: date
    area_m2: float
    taken_m2: float
    over: int = 0
    text: str = ""
    unknown: tuple[str, ...] = ()

    @property
    def fits(self) -> bool:
        """Whether all pots have room."""
        return self.taken_m2 <= self.area_m2 * (1 + AS_WRITTEN)


@frozen
class _Pots:
    """Pots of one kind in a place: how many, what one takes [m2], and what they are."""

    text: str
    count: int
    each_m2: float | None


class _Ground:
    """Where the plants of a plan stand, stage by stage, as sessions go on."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.groups = [group for group in plan.plants if group.marks.place in plan.places]
        self.standing = [[group.count, *[0] * len(group.kind.moves)] for group in self.groups]

    def move(self, name: str, number: int, count: int) -> None:
        """Let `count` plants of a name make a move."""
        left = count
        for group, standing in zip(self.groups, self.standing, strict=True):
            steps = [move.number for move in group.kind.moves]
            if group.name != name or number not in steps or not left:
                continue
            stage = steps.index(number)
            into = group.kind.moves[stage].into
            made = min(left, standing[stage] * into)
            standing[stage] -= ceil_count(made, into)
            standing[stage + 1] += made
            left -= made

    def pots(self, place: str) -> Iterable[_Pots]:
        """Yield the pots that stand in a place."""
        for group, standing in zip(self.groups, self.standing, strict=True):
            if group.marks.place != place:
                continue
            for stage, plants in enumerate(standing):
                found = _stands_in(group, stage) if plants else None
                if found is not None:
                    yield self._pots(group, stage, plants, *found)

    def _pots(
        self, group: PlantGroup, stage: int, plants: int, box: Container, per_pot: int
    ) -> _Pots:
        pots = ceil_count(ceil_count(plants, per_pot), box.cells)
        if stage == len(group.kind.moves) and group.kind.stands_m2 is not None:
            share = plants / max(group.counts[-1] if group.counts else group.count, 1)
            return _Pots(box.text, pots, group.kind.stands_m2 * share / pots)
        place = self.plan.places[group.marks.place]
        return _Pots(box.text, pots, pot_area_m2(box, place, group.kind.spacing_m))


def pot_area_m2(box: Container, place: Place, spacing_m: float | None) -> float | None:
    """Return what one pot, tray or pack takes in a place [m2]; None where its size is not known."""
    gap = place.gap_m
    if box.kind == "tray":
        return (TRAY_LENGTH_M + gap) * (TRAY_WIDTH_M + gap)
    if box.kind == "pack":
        return None if box.footprint_m2 is None else (box.footprint_m2**0.5 + gap) ** 2
    if box.kind == "window box" and box.shape is not None:
        area = box.shape.section_m2(box.shape.height_m)
        long_m = box.diameter_m or 0.0
        return (long_m + gap) * (area / long_m + gap) if long_m else None
    width_m = box.diameter_m
    if width_m is None:
        return None if spacing_m is None else spacing_m**2
    return float(max(width_m + gap, spacing_m or 0.0) ** 2)


def _stands_in(group: PlantGroup, stage: int) -> tuple[Container, int] | None:
    """Return what plants of a stage stand in and how many share it; None for no container.

    Under cover they take no room in their place, until they are carried out again.
    """
    moves = group.kind.moves
    if _under_cover(group, stage):
        return None
    if stage == 0:
        box, shared = group.kind.now, moves[0].shared if moves else 1
        return (box, shared) if box.holds else None
    made = moves[stage - 1]
    new = made.stands_in
    return (new, made.per_pot) if new is not None and new.holds else None


def _under_cover(group: PlantGroup, stage: int) -> bool:
    """Whether plants of a stage are under cover: the last way they were carried, else the next."""
    moves = group.kind.moves
    before = [move.place for move in moves[:stage] if move.carried]
    after = [move.place for move in moves[stage:] if move.carried]
    return before[-1] == "shelter" if before else after[:1] == ["outdoors"]


def room_by_day(plan: Plan, sessions: Sequence[Session]) -> tuple[RoomUse, ...]:
    """Return what every place with an area holds: at the beginning, and after each session."""
    ground = _Ground(plan)
    if not ground.groups:
        return ()
    begin = plan.work.first
    found = [_use(ground, place, begin, ()) for place in plan.places]
    for session in sessions:
        moved = session.plant_lines
        for line in moved:
            ground.move(line.name, line.move, line.count)
        came = tuple(dict.fromkeys(line.stands_in for line in moved if line.stands_in))
        found += [_use(ground, place, session.date, came) for place in plan.places]
    return tuple(found)


def _use(ground: _Ground, place: str, day: date, came: Sequence[str]) -> RoomUse:
    pots = list(ground.pots(place))
    area = ground.plan.places[place].area_m2
    taken = sum(one.count * (one.each_m2 or 0.0) for one in pots)
    unknown = tuple(dict.fromkeys(one.text for one in pots if one.each_m2 is None))
    use = RoomUse(place, day, area, taken, unknown=unknown)
    if use.fits:
        return use
    known = [one for one in pots if one.each_m2]
    last = [one for one in known if one.text in came] or known
    most = max(last, key=lambda one: one.count * (one.each_m2 or 0.0))
    number = min(ceil_count(taken - area, most.each_m2 or 1.0), most.count)
    return evolve(use, over=number, text=most.text)


def with_room(sessions: tuple[Session, ...], plan: Plan) -> tuple[Session, ...]:
    """Return sessions that tell, after the work, for what there is no room."""
    short: dict[date, list[str]] = {}
    for use in room_by_day(plan, sessions) if plan.places else ():
        if not use.fits:
            short.setdefault(use.date, []).append(room_text(use, plan.garden.system))
    return tuple(
        evolve(one, afterwards=(*one.afterwards, *short[one.date])) if one.date in short else one
        for one in sessions
    )


def room_text(use: RoomUse, system: System) -> str:
    """Return what to find room for, in words."""
    taken, area = (show(m2, "area", system) for m2 in (use.taken_m2, use.area_m2))
    return f"find room for about {use.over} of {use.text}: {use.place} has {area}, {taken} needed"
