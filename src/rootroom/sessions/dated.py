"""An answer in whole numbers as dated sessions with everything that is needed to work them."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING, Any

from attrs import evolve

from rootroom.catalogue.cautions import cautions_for
from rootroom.counts import ceil_count
from rootroom.mixing.blend import water_for
from rootroom.plan.model import Move, Plan
from rootroom.pot.report import PotFigures
from rootroom.scheduling.problem import Answer
from rootroom.sessions.batches import MixDay
from rootroom.sessions.evening_before import (
    Good,
    Unit,
    afterwards,
    evening_before,
    fetch_for_all,
    goods_of,
)
from rootroom.sessions.postponable import find_slack
from rootroom.sessions.room import with_room
from rootroom.sessions.session import (
    CARRIED,
    BedLine,
    Bring,
    Line,
    PlantLine,
    RainNote,
    Session,
    Waiting,
)
from rootroom.sessions.tasks import MoveItem, Work
from rootroom.sessions.timetable import order_steps, set_times
from rootroom.sessions.totals import ContainerUse, actions_of, heaviest_kg, places_of, tools_for
from rootroom.sessions.work_lines import MIDNIGHT, NO_TASK, Draft, draft_days

if TYPE_CHECKING:
    from rootroom.containers.container import Container
    from rootroom.units import Amount

DRY = ("sell", *CARRIED)
"""Work after which nothing is watered in."""


def book_sessions(
    plan: Plan,
    work: Work,
    answer: Answer,
    mixes: Mapping[int, MixDay],
    uses: Mapping[int, ContainerUse],
) -> tuple[Session, ...]:
    """Return the sessions of an answer in the order of their days.

    `mixes` and `uses` have the mix and the containers of every day.
    """
    booked = fetch_for_all(tuple(_Book(plan, work, answer, mixes, uses).sessions()), plan)
    return with_room(booked, plan)


class _Book:
    """What all sessions of one answer share."""

    def __init__(
        self,
        plan: Plan,
        work: Work,
        answer: Answer,
        mixes: Mapping[int, MixDay],
        uses: Mapping[int, ContainerUse],
    ) -> None:
        self.plan, self.work, self.answer = plan, work, answer
        self.mixes, self.uses = mixes, uses
        self.slack = find_slack(work, answer)
        self.containers = _containers(work)
        self.figures = PotFigures(plan)
        self.seen: set[tuple[str, str]] = set()
        self.places = list(dict.fromkeys(one.place for one in plan.plants.marks if one.place))
        self.followers: dict[int, list[int]] = defaultdict(list)
        for order in work.problem.orders:
            self.followers[order.before].append(order.after)

    def sessions(self) -> Iterable[Session]:
        for day, drafts in draft_days(self.plan, self.work, self.answer):
            yield self._session(day, [self._completed(draft, day) for draft in drafts])

    def _session(self, day: int, drafts: Sequence[Draft]) -> Session:
        plan, here = self.plan, self.work.problem.days[day]
        today = date.fromordinal(here.date)
        mix_day = self.mixes[day]
        used = self.uses.get(day, ContainerUse({}, {}, {}))
        lines = self._lines(day, drafts, mix_day, here.people)
        bring = self._bring(lines, mix_day, used)
        fresh = self._fresh(bring)
        before = evening_before(plan, lines, mix_day.batches, used, fresh, self.containers)
        minutes = sum(line.minutes for line in lines)
        rain = _rain_note(drafts)
        return Session(
            date=today,
            start=plan.work.start,
            minutes=minutes,
            free_minutes=max(here.minutes / self.work.ticks - minutes, 0.0),
            people=here.people,
            people_needed=max((line.people for line in lines), default=1),
            before=before,
            work=lines,
            batches=mix_day.batches,
            bring=bring,
            frees=_frees(lines),
            left_l=mix_day.left_l,
            moved_kg=sum(line.moved_kg for line in lines),
            heaviest_kg=heaviest_kg(lines),
            cautions=cautions_for(
                [*bring.ingredients_l, *bring.additions_kg, *bring.additions_l, *mix_day.used_l],
                actions_of(lines, before),
                places_of(lines, on_deck=self._on_deck(drafts)),
                ingredients=plan.ingredients,
                heaviest_kg=heaviest_kg(lines),
            ),
            rain=rain,
            afterwards=afterwards(lines),
            finish=_finish(lines, today, plan.work.start),
        )

    def _fresh(self, bring: Bring) -> list[tuple[Good, float, Unit]]:
        """Return the goods that no session before took."""
        goods = goods_of(bring)
        fresh = [(good, *amount) for good, amount in goods.items() if good not in self.seen]
        self.seen |= set(goods)
        return fresh

    def _on_deck(self, drafts: Sequence[Draft]) -> bool:
        items = (self.work.items[draft.task] for draft in drafts)
        return any(isinstance(item, MoveItem) and item.on_deck for item in items)

    def _completed(self, draft: Draft, day: int) -> Draft:
        """Add how long the lines can wait, and what their containers weigh."""
        until = self.slack.get((day, draft.task))
        dates = self.work.problem.days
        last = None if until is None else date.fromordinal(dates[until].date)
        item = self.work.items[draft.task]
        carried = item.move if isinstance(item, MoveItem) and item.move.carried else None
        lines = (evolve(self._weighed(line, carried), until=last) for line in draft.lines)
        return evolve(draft, lines=tuple(lines))

    def _weighed(self, line: Line, carried: Move | None) -> Line:
        if isinstance(line, BedLine):
            return evolve(line, moved_kg=self.plan.loose_kg(line.of, line.mix_l))
        if not isinstance(line, PlantLine):
            return line
        mix = line.mix if carried is None else carried.pot_mix
        box = self.containers.get(line.stands_in or "") if line.pots else None
        drained_kg = self.figures.drained_kg(mix, box)
        if box is None or drained_kg is None:
            return line
        # A pot that is filled in part weighs its share of the full one, near enough.
        weight = drained_kg * box.cells * line.filled
        stays = line.kind in ("refresh", "fill up")
        moved = 0.0 if stays else weight * line.pots / box.cells
        return evolve(line, weight_kg=weight, moved_kg=moved)

    def _lines(
        self, day: int, drafts: Sequence[Draft], mix_day: MixDay, people: int
    ) -> tuple[Line, ...]:
        """Return all lines of a day in the order of work, with their times."""
        setup = self.work.minutes(self.work.problem.session_setup)
        washing = self._washing(drafts)
        steps = [_plain("set up", "session", setup / 2), *self._mix_lines(day, mix_day)]
        steps += [_move_alone(self.work, step) for step in self._steps(drafts)]
        last = len(steps)
        wet = [
            (line.count, line.count * item.water_min)
            for draft in drafts
            for _, line in draft.named()
            if isinstance(item := self.work.items[draft.task], MoveItem) and line.kind not in DRY
        ]
        if wet:
            took = sum(minutes for _, minutes in wet)
            steps.append(_plain("water in", "plants", took, sum(count for count, _ in wet)))
        steps += [_plain("wash", text, took, n) for text, (took, n) in washing.items()]
        steps.append(_plain("clean up", "session", setup / 2))
        pairs = [(0, n) for n in range(1, len(steps))]
        pairs += [(n, last) for n in range(1, last)]
        pairs += [(n, n + 1) for n in range(last, len(steps) - 1)]
        pairs += self._pairs(steps)
        holds = {mix.name: list(mix.parts) for mix in self.plan.mixes.values()}
        order = order_steps(steps, pairs, holds, self.places)
        named = (one for number in order for one in steps[number].named())
        return set_times(named, self.plan.work.start, people)

    def _steps(self, drafts: Sequence[Draft]) -> list[Draft]:
        """Return what is done at one go: the part of a task at one place, or each of its groups
        where they go on today."""
        today = {draft.task for draft in drafts}
        going_on = {task for task in today if not today.isdisjoint(self.followers[task])}
        going_on |= {after for task in going_on for after in self.followers[task]}
        steps: list[Draft] = []
        for draft in drafts:
            steps += draft.split() if draft.task in going_on else draft.by_place()
        return steps

    def _mix_lines(self, day: int, mix_day: MixDay) -> list[Draft]:
        """Return a step for each mix of the day, with its set-up and its batches."""
        problem = self.work.problem
        planned = {b.mix: b.ml for b in self.answer.blends if b.day == day}
        batches = {batch.mix: batch.batches for batch in mix_day.batches}
        lines = []
        for number in sorted(
            set(planned) | {n for n, name in enumerate(self.work.mixes) if name in mix_day.used_l}
        ):
            name = self.work.mixes[number]
            took = problem.mix_setup + problem.mixes[number].blending(planned.get(number, 0))
            count = ceil_count(batches.get(name, 0.0), 1)
            minutes, into = self.work.minutes(took), mix_day.put_in.get(name)
            if into:
                litres = mix_day.ready_l[name]
                lines.append(_plain("mix in", name, minutes, count, add=into, mix_l=litres))
            else:
                kind = "blend" if name in batches else "lay out"
                lines.append(_plain(kind, name, minutes, count))
        return lines

    def _pairs(self, steps: Sequence[Draft]) -> list[tuple[int, int]]:
        """Return which steps come before which: beds before their plants, moves in their order."""
        of_task: dict[int, list[int]] = defaultdict(list)
        for number, step in enumerate(steps):
            of_task[step.task].append(number)
        pairs = []
        for task, before in of_task.items():
            for after in (n for t in self.followers.get(task, ()) for n in of_task.get(t, ())):
                name = steps[after].rows[0][0]
                pairs += [
                    (n, after) for n in before if len(before) == 1 or steps[n].rows[0][0] == name
                ]
        return pairs

    def _washing(self, drafts: Sequence[Draft]) -> dict[str, tuple[float, int]]:
        """Return minutes and number of the containers washed as work of the session, by text."""
        washing: dict[str, tuple[float, int]] = {}
        for draft in drafts:
            item = self.work.items[draft.task]
            if isinstance(item, MoveItem) and item.wash_min:
                text = item.move.old.text
                for _, line in draft.named():
                    took, number = washing.get(text, (0.0, 0))
                    took += item.wash_min * line.count
                    freed = line.frees_count if isinstance(line, PlantLine) else 0
                    washing[text] = (took, number + freed)
        return washing

    def _laid_water_l(self, lines: Sequence[Line]) -> float:
        """Return the water [L] that what is laid into beds takes beforehand."""
        beds = (line for line in lines if isinstance(line, BedLine))
        laid = (one for line in beds for one in line.laid_l.items())
        found = (water_for(self.plan, part, loose) for part, loose in laid)
        return sum(water.likely_l for water in found if water is not None)

    def _bring(self, lines: Sequence[Line], mix_day: MixDay, used: ContainerUse) -> Bring:
        ingredients = _summed(batch.ingredients_l for batch in mix_day.batches)
        kilograms = _summed(batch.add_kg for batch in mix_day.batches)
        litres = _summed(batch.add_l for batch in mix_day.batches)
        given: list[tuple[tuple[str, Amount], int]] = []
        for line in lines:
            if isinstance(line, PlantLine) and line.pots:
                given += [(one, line.pots) for one in line.add.items()]
            elif isinstance(line, BedLine):
                given += [(one, 1) for one in line.add.items()]
                if line.mix is None:
                    for part, amount_l in (line.laid_l or {line.of: line.mix_l}).items():
                        ingredients[part] += amount_l
        given += [(one, 1) for into in mix_day.put_in.values() for one in into.items()]
        for (name, amount), times in given:
            density = self.plan.density_kg_per_l(name) if amount.kg is None else None
            if amount.kg is not None:
                kilograms[name] += amount.kg * times
            elif amount.l is not None and density:
                kilograms[name] += amount.l * density * times
            elif amount.l is not None:
                litres[name] += amount.l * times
        return Bring(
            from_stock=used.from_stock,
            from_freed=used.from_freed,
            bought=used.bought,
            ingredients_l=dict(ingredients),
            ready_l=mix_day.ready_l,
            stored_l=mix_day.stored_l,
            additions_kg=dict(kilograms),
            additions_l=dict(litres),
            water_l=sum(batch.water_l for batch in mix_day.batches) + self._laid_water_l(lines),
            tools=tools_for(lines),
        )


def _summed(parts: Iterable[Mapping[str, float]]) -> dict[str, float]:
    total: dict[str, float] = defaultdict(float)
    for part in parts:
        for name, amount in part.items():
            total[name] += amount
    return total


def _plain(kind: str, name: str, minutes: float, count: int = 1, **more: Any) -> Draft:
    """Return a step that belongs to no task."""
    line = Line(kind=kind, name=name, count=count, minutes=minutes, start=MIDNIGHT, **more)
    return Draft(NO_TASK, (line,), ((name, 0),))


def _move_alone(work: Work, draft: Draft) -> Draft:
    """Return the lines of a move without the minutes that lines of their own have."""
    item = work.items[draft.task]
    beside = item.wash_min + item.water_min if isinstance(item, MoveItem) else 0.0
    if not beside:
        return draft
    lines = (evolve(one, minutes=one.minutes - beside * one.count) for one in draft.lines)
    return evolve(draft, lines=tuple(lines))


def _containers(work: Work) -> Mapping[str, Container]:
    """Return every container that a plant stands in, by its text."""
    found: dict[str, Container] = {}
    for item in work.items:
        if isinstance(item, MoveItem):
            for box in (item.move.old, item.move.new):
                if box is not None:
                    found[box.text] = box
    return found


def _frees(lines: Sequence[Line]) -> dict[str, int]:
    frees: Counter[str] = Counter()
    for line in lines:
        if isinstance(line, PlantLine) and line.frees is not None:
            frees[line.frees] += line.frees_count
    return dict(frees)


def _rain_note(drafts: Sequence[Draft]) -> RainNote:
    waits = [
        Waiting(
            name,
            line.move if isinstance(line, PlantLine) else None,
            line.until,
            line.of if isinstance(line, BedLine) else None,
        )
        for draft in drafts
        for name, line in draft.named()
    ]
    return RainNote(
        tuple(one for one in waits if one.until is not None),
        tuple(one for one in waits if one.until is None),
    )


def _finish(lines: Sequence[Line], today: date, start: time) -> time:
    ends = [
        datetime.combine(today, line.start) + timedelta(minutes=line.clock_min) for line in lines
    ]
    return max(ends, default=datetime.combine(today, start)).time().replace(microsecond=0)
