"""What the sessions come to: late plants, windows, purchases, first uses; tools and containers."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta

from attrs import frozen

from rootroom.plan.entries import Bed, Care
from rootroom.plan.model import Plan
from rootroom.scheduling.problem import Answer
from rootroom.sessions.batches import MixDay
from rootroom.sessions.session import BedLine, Before, GoodKind, Line, PlantLine, Session
from rootroom.sessions.tasks import BedItem, Item, MoveItem, Row, Work
from rootroom.sessions.timeline import GoodDue, Hardening, Late, LeftOut, Window
from rootroom.units import Amount

HEAVY_KG = 20.0
# Common practice, no source.
_TOOLS = {
    "blend": ("scoop", "vessel", "shovel"),
    "lay out": ("scoop",),
    "mix in": ("scoop", "vessel", "shovel"),
    "move": ("gloves", "trowel", "watering can", "labels", "marker"),
    "fill up": ("gloves", "trowel", "watering can"),
    "refresh": ("gloves", "root saw", "secateurs", "watering can"),
    "plant out": ("gloves", "trowel", "watering can", "labels", "marker"),
    "fill bed": ("gloves", "barrow", "shovel", "rake", "hose"),
    "bring in": ("gloves",),
    "set out": ("gloves",),
    "wash": ("brush", "bucket"),
}


def find_late(work: Work, answer: Answer) -> tuple[Late, ...]:
    """Return what is done after its date, in the order of the plan; it adds up to the lateness."""
    found: list[tuple[int, int, Late]] = []
    for number, item in enumerate(work.items):
        due = work.problem.tasks[number].due_date
        parts = sorted((p.day, p.count) for p in answer.placed if p.task == number)
        done = 0
        for day, count in parts:
            first, done = done, done + count
            days = work.problem.days[day].date - due
            if days <= 0:
                continue
            today = date.fromordinal(work.problem.days[day].date)
            if isinstance(item, BedItem):
                if item.finishes:
                    found.append((number, day, Late(item.bed.name, None, 1, days, today)))
                continue
            for row, plants in _shared_out(item.rows, first * item.unit, done * item.unit):
                late = Late(row.name, item.move.number, plants, days, today)
                found.append((number, day, late))
    return tuple(late for _, _, late in found)


def find_left_out(work: Work, answer: Answer) -> tuple[LeftOut, ...]:
    """Return what cannot be done, in the order of the plan: the last plants of each move."""
    found = []
    for one in answer.left_out:
        item, task = work.items[one.task], work.problem.tasks[one.task]
        minutes = task.minutes / work.ticks
        if isinstance(item, BedItem):
            if item.finishes:
                found.append(LeftOut(item.bed.name, None, 1, one.count * minutes))
            continue
        done = task.count - one.count
        found += [
            LeftOut(row.name, item.move.number, plants, plants / item.unit * minutes)
            for row, plants in _shared_out(item.rows, done * item.unit, task.count * item.unit)
        ]
    return tuple(found)


def _shared_out(rows: Sequence[Row], first: int, end: int) -> list[tuple[Row, int]]:
    """Return how many of the plants from `first` to `end` belong to each row."""
    shared, start = [], 0
    for row in rows:
        inside = min(end, start + row.count) - max(first, start)
        if inside > 0:
            shared.append((row, inside))
        start += row.count
    return shared


def find_windows_done(work: Work, answer: Answer) -> tuple[Window, ...]:
    """Return the windows of all moves and beds with what is planned, in the order of the plan."""
    parts: dict[int, list[tuple[date, int]]] = defaultdict(list)
    for one in sorted(answer.placed, key=lambda one: one.day):
        day = date.fromordinal(work.problem.days[one.day].date)
        parts[one.task].append((day, one.count))
    windows: list[Window] = []
    beds: dict[str, tuple[Bed, Counter[date]]] = {}
    for number, item in enumerate(work.items):
        if isinstance(item, BedItem):
            _, filled = beds.setdefault(item.bed.name, (item.bed, Counter()))
            for day, portions in parts[number]:
                filled[day] += portions
            continue
        move = item.move
        windows += [
            Window(row.name, move.number, move.opens, move.due, done)
            for row, done in zip(item.rows, _done_by_row(item, parts[number]), strict=True)
        ]
    return (*windows, *(_bed_window(bed, filled) for bed, filled in beds.values()))


def _done_by_row(item: MoveItem, parts: Sequence[tuple[date, int]]) -> Iterator[Mapping[date, int]]:
    """Yield how many plants of each row are done on which day; rows alike share what is found."""
    shared: dict[tuple[tuple[date, int], ...], Mapping[date, int]] = {}
    days = iter(parts)
    day, left = date.min, 0
    for row in item.rows:
        done, wanted = [], row.count
        while wanted:
            if not left:
                day, units = next(days, (date.max, 0))
                if not units:
                    break
                left = units * item.unit
            some = min(wanted, left)
            done.append((day, some))
            wanted, left = wanted - some, left - some
        yield shared.setdefault(tuple(done), dict(done))


def _bed_window(bed: Bed, filled: Mapping[date, int]) -> Window:
    done = {day: filled[day] for day in sorted(filled)}
    return Window(bed.name, None, bed.opens, bed.due, done)


def find_hardening(work: Work, windows: Sequence[Window]) -> tuple[Hardening, ...]:
    """Return the days on which plants are hardened off before a move that asks for it."""
    days: dict[tuple[str, int], int] = {}
    for item in work.items:
        if not isinstance(item, BedItem) and item.move.harden_days:
            for row in item.rows:
                days[row.name, item.move.number] = item.move.harden_days
    found = []
    for window in windows:
        if window.move is None or not window.done:
            continue
        number = days.get((window.name, window.move), 0)
        if number:
            first = min(window.done)
            start, end = first - timedelta(number), first - timedelta(1)
            found.append(Hardening(window.name, window.move, start, end))
    return tuple(found)


def find_aftercare(plan: Plan, sessions: Iterable[Session]) -> tuple[Care, ...]:
    """Return what is due after the moves of all sessions, and of those made before, day by day."""
    found = [
        Care(day, line.name, line.move, line.count, step)
        for session in sessions
        for line in session.plant_lines
        for step in line.care
        for day in step.days(session.date)
    ]
    for made in plan.made:
        due = made.due(plan.work.first)
        found += [Care(day, made.plant, made.move, made.count, step) for day, step in due]
    return tuple(sorted(found, key=lambda one: one.date))


def first_uses(
    work: Work, answer: Answer, mixes: Mapping[int, MixDay], uses: Mapping[int, ContainerUse]
) -> tuple[GoodDue, ...]:
    """Return every good with the day of the first session that needs it.

    `mixes` and `uses` have the mix and the containers of every day.
    """
    tasks: dict[int, list[int]] = defaultdict(list)
    for one in answer.placed:
        tasks[one.day].append(one.task)
    first: dict[tuple[GoodKind, str], date] = {}
    for day in answer.session_days:
        today = date.fromordinal(work.problem.days[day].date)
        mix_day, bought = mixes[day], uses[day].bought if day in uses else {}
        items = [work.items[task] for task in tasks[day]]
        names: dict[GoodKind, Iterable[str]] = {
            "container": bought,
            "mix": mix_day.ready_l,
            "ingredient": _ingredients(mix_day, items),
            "addition": _additions(mix_day, items),
        }
        for kind, some in names.items():
            for name in some:
                first.setdefault((kind, name), today)
    return tuple(GoodDue(kind, name, day) for (kind, name), day in first.items())


def total_brought(work: Work, answer: Answer, mixes: Mapping[int, MixDay]) -> Mapping[str, Amount]:
    """Return what all sessions bring of each ingredient, addition and bagged mix.

    Additions of single pots are left out: they are counted, and nothing makes them doubtful.
    """
    kg: dict[str, float] = defaultdict(float)
    litres: dict[str, float] = defaultdict(float)
    for mix_day in mixes.values():
        for batch in mix_day.batches:
            _add(kg, batch.add_kg)
            _add(litres, batch.add_l)
            _add(litres, batch.ingredients_l)
        _add(litres, mix_day.ready_l)
        for into in mix_day.put_in.values():
            _add(kg, {name: amount.kg or 0.0 for name, amount in into.items()})
            _add(litres, {name: amount.l or 0.0 for name, amount in into.items()})
    for one in answer.placed:
        item = work.items[one.task]
        if isinstance(item, BedItem):
            share = one.count / item.of_portions
            _add(litres, item.laid_l(share))
            for name, amount in item.added(share).items():
                _add(kg, {name: amount.kg or 0.0})
                _add(litres, {name: amount.l or 0.0})
    return {name: Amount(kg=kg.get(name), l=litres.get(name)) for name in sorted({*kg, *litres})}


def _add(totals: dict[str, float], amounts: Mapping[str, float]) -> None:
    for name, amount in amounts.items():
        totals[name] += amount


def _ingredients(mix_day: MixDay, items: Iterable[Item]) -> Iterator[str]:
    for batch in mix_day.batches:
        yield from batch.ingredients_l
    for item in items:
        yield from item.laid_l(1.0) if isinstance(item, BedItem) else ()


def _additions(mix_day: MixDay, items: Iterable[Item]) -> Iterator[str]:
    for batch in mix_day.batches:
        yield from (*batch.add_kg, *batch.add_l)
    for into in mix_day.put_in.values():
        yield from into
    for item in items:
        if isinstance(item, MoveItem):
            yield from item.move.add
            # What follows the move is fetched for it: other days are no sessions.
            yield from (step.of for step in item.move.care if step.of)


def tools_for(lines: Sequence[Line]) -> tuple[str, ...]:
    """Return the tools of a session, each once."""
    tools: dict[str, None] = {}
    for kind, divides in dict.fromkeys((one.kind, _divides(one)) for one in lines):
        tools.update(dict.fromkeys(_TOOLS.get(kind, ())))
        if divides:
            tools["knife or spade"] = None
    if _in_place(lines):
        tools["fork"] = None
    if any(line.people > 1 for line in lines) or heaviest_kg(lines) >= HEAVY_KG:
        tools["hand truck"] = None
    return tuple(tools)


def _divides(line: Line) -> bool:
    return isinstance(line, PlantLine) and line.into > 1


def _in_place(lines: Iterable[Line]) -> bool:
    """Whether the parts of some mix are laid into a bed and turned under there."""
    return any(isinstance(line, BedLine) and line.laid_l for line in lines)


def heaviest_kg(lines: Iterable[Line]) -> float:
    """Return the weight [kg] of the heaviest container that is lifted, 0 where none is known.

    What is filled up stays where it stands.
    """
    moved = (line for line in lines if isinstance(line, PlantLine) and line.kind != "fill up")
    return max((line.weight_kg or 0.0 for line in moved), default=0.0)


def actions_of(lines: Sequence[Line], before: Iterable[Before]) -> frozenset[str]:
    """Return the kinds of work of a session, the evening before included.

    To mix something in is to blend, for all that can happen.
    """
    kinds = {line.kind for line in lines} | {step.kind for step in before}
    turned = "mix in" in kinds or _in_place(lines)
    return frozenset(kinds | {"blend"} if turned else kinds)


def places_of(lines: Sequence[Line], *, on_deck: bool) -> frozenset[str]:
    """Return where work is done: "bed", "ground", and "deck" for plants on a stated area."""
    places = {"deck"} if on_deck else set()
    for line in lines:
        if isinstance(line, BedLine):
            places.add("bed")
        elif isinstance(line, PlantLine) and line.kind == "plant out":
            places.add("ground" if line.new == "ground" else "bed")
    return frozenset(places)


# Clean stock goes first, then what earlier sessions freed, and only then is bought, so nothing is
# bought that the season gives.
@frozen
class ContainerUse:
    """Whole containers of one day by their text: taken from three places, and left empty."""

    from_stock: Mapping[str, int]
    from_freed: Mapping[str, int]
    bought: Mapping[str, int]


def use_containers(work: Work, answer: Answer) -> dict[int, ContainerUse]:
    """Return the containers of every day of an answer, by its position."""
    problem = work.problem
    stock = [container.stock for container in problem.containers]
    freed: list[dict[int, int]] = [defaultdict(int) for _ in problem.containers]  # date -> number
    clean = [0] * len(problem.containers)
    done: dict[int, int] = defaultdict(int)
    by_day: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for one in answer.placed:
        by_day[one.day].append((one.task, one.count))
    uses: dict[int, ContainerUse] = {}
    for day in sorted(by_day):
        today = problem.days[day].date
        wanted: dict[int, int] = defaultdict(int)
        for task, count in by_day[day]:
            before, after = done[task], done[task] + count
            done[task] = after
            record = problem.tasks[task]
            for use in record.needs:
                wanted[use.container] += use.filled(after) - use.filled(before)
            for use in record.frees:
                out = use.freed(after, record.count) - use.freed(before, record.count)
                freed[use.container][today] += out
        taken: tuple[dict[str, int], ...] = ({}, {}, {})
        for kind, number in sorted(wanted.items()):
            rest = today - problem.containers[kind].wash_days
            for dried in [d for d in freed[kind] if d <= rest]:
                clean[kind] += freed[kind].pop(dried)
            sources = [min(number, stock[kind]), 0, 0]
            sources[1] = min(number - sources[0], clean[kind])
            sources[2] = number - sources[0] - sources[1]
            stock[kind] -= sources[0]
            clean[kind] -= sources[1]
            for part, many in zip(taken, sources, strict=True):
                if many:
                    part[work.containers[kind]] = many
        uses[day] = ContainerUse(*taken)
    return uses
