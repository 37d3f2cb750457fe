"""Fill given days with work, the most urgent first, without a solver.

With the days fixed, the most urgent work first is close to the best (it is the best for equal
units of work on one machine with windows; Jackson 1955, Horn 1974), and more days never hurt.
Which days they are is chosen in `choose`.
Mix is blended on the day of its use; waiting mix is left to the exact method.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence, Set

from attrs import frozen

from rootroom.scheduling.problem import Blend, Placed, Problem, outer_first
from rootroom.scheduling.windows import FAR, Windows, task_order


@frozen
class Draft:
    """Units by task and day, as found; `lateness` in plant-days, `days` the days with work."""

    placed: tuple[Placed, ...]
    lateness: int
    days: tuple[int, ...]
    setups: int

    @property
    def rank(self) -> tuple[int, int, int]:
        """What the search compares: lateness, sessions, set-ups (pairs of day and mix)."""
        return (self.lateness, len(self.days), self.setups)


class Filler:
    """Fills given days with a problem's work, the most urgent first."""

    def __init__(self, problem: Problem, windows: Windows) -> None:
        self.problem = problem
        self.windows = windows
        self.dates = [day.date for day in problem.days]
        rank = {number: place for place, number in enumerate(task_order(problem))}
        self.sequence = sorted(
            range(len(problem.tasks)),
            key=lambda t: (windows.due[t], windows.final[t], rank[t]),
        )
        place = {number: at for at, number in enumerate(self.sequence)}
        for order in problem.orders:  # the same day serves both only in their order
            if place[order.before] > place[order.after]:
                self.sequence = _in_order(problem, self.sequence)
                break
        self.orders: list[list[tuple[int, int, int, int]]] = [[] for _ in problem.tasks]
        for order in problem.orders:
            takes = 0 if order.whole else order.takes
            self.orders[order.after].append((order.before, order.gap, order.gives, takes))
        self.work = 0  # tasks looked at, so that a limit on it is alike on every machine
        self.freeing: list[list[tuple[int, int]]] = [[] for _ in problem.containers]
        for number, task in enumerate(problem.tasks):
            for at, use in enumerate(task.frees):
                self.freeing[use.container].append((number, at))

    def date_of(self, day: int) -> int:
        """Return the date of a day, far off for one after the last."""
        return self.dates[day] if day < len(self.dates) else FAR

    def start(self, *, bonus: int = 0, shut: Set[tuple[int, int]] = frozenset()) -> Filling:
        """Return a season with nothing placed yet.

        `bonus` [days] is how much later work may be due and still come first, since its mix is set
        up already; set-ups (pairs of day and mix) in `shut` are not used.
        """
        return Filling(self, bonus, shut)


def _in_order(problem: Problem, sequence: list[int]) -> list[int]:
    """Return the sequence changed as little as the orders allow."""
    needs: list[set[int]] = [set() for _ in problem.tasks]
    for order in problem.orders:
        needs[order.after].add(order.before)
    done: set[int] = set()
    result: list[int] = []

    def add(number: int) -> None:
        for other in sorted(needs[number] - done):
            if other not in done:
                add(other)
        if number not in done:
            done.add(number)
            result.append(number)

    for number in sequence:
        add(number)
    return result


class Filling:
    """A season filled up to some day; can be copied and carried on in several ways."""

    def __init__(self, filler: Filler, bonus: int, shut: Set[tuple[int, int]]) -> None:
        self.filler = filler
        self.problem = filler.problem
        self.bonus = bonus
        self.shut = shut
        tasks = self.problem.tasks
        self.left = [task.count for task in tasks]
        self.history: list[tuple[tuple[int, int], ...]] = [()] * len(tasks)  # date, units so far
        self.out = [0] * len(self.problem.containers)
        self.placed: list[Placed] = []
        self.worked: list[int] = []
        self.waiting = list(filler.sequence)
        self.lateness = 0
        self.setups = 0

    def copy(self) -> Filling:
        """Return the same state, to be carried on independently."""
        other = Filling.__new__(Filling)
        other.__dict__.update(self.__dict__)
        for name in ("left", "history", "out", "placed", "worked", "waiting"):
            setattr(other, name, list(getattr(self, name)))
        self.filler.work += len(self.left) // 10
        return other

    def run(self, days: Sequence[int], most_late: int | None = None) -> Draft | None:
        """Fill these days to the end; None where work is left or the lateness above `most_late`."""
        for at, day in enumerate(days):
            if not self.advance(day, days[at + 1] if at + 1 < len(days) else FAR, most_late):
                return None
            if not self.waiting:
                break
        if self.waiting:
            return None
        return Draft(tuple(self.placed), self.lateness, tuple(self.worked), self.setups)

    def advance(self, day: int, following: int, most_late: int | None = None) -> bool:
        """Fill one day, knowing which one follows; False where that cannot end well."""
        windows, left = self.filler.windows, self.left
        before = len(self.placed)
        self._fill_day(day, following, self.waiting)
        if len(self.placed) > before:
            self.worked.append(day)
            self.waiting = [number for number in self.waiting if left[number]]
        surely = self.lateness
        for number in self.waiting:
            if windows.due[number] >= following:
                break  # in the order of the due days, but for what orders put first
            if windows.final[number] < following:
                return False
            if self.problem.tasks[number].due_date < self.filler.date_of(following):
                surely += left[number] * self.problem.tasks[number].plants
        return most_late is None or surely <= most_late

    def _fill_day(self, day: int, following: int, waiting: list[int]) -> None:
        """Place what must be done today, then the most urgent, mixes that are set up first."""
        problem, windows = self.problem, self.filler.windows
        here = problem.days[day]
        free = here.minutes - problem.session_setup
        load = _DayLoad(problem, here.vessel_minutes)
        first, due, final, tasks = windows.first, windows.due, windows.final, problem.tasks
        queues: dict[int | None, list[int]] = {}
        self.filler.work += len(waiting)
        for number in waiting:
            if not first[number] <= day <= final[number]:
                continue
            if here.people < tasks[number].people:
                continue
            mix = tasks[number].mix
            if mix is not None and (day, mix) in self.shut:
                continue
            if due[number] < following:
                free = self._put(number, day, load, free)
            elif free > 0:
                queues.setdefault(mix, []).append(number)
        heads = {mix: 0 for mix in queues}
        while heads and free > 0:
            mix = min(heads, key=lambda m: self._urgency(m, queues, heads, load))
            number = queues[mix][heads[mix]]
            heads[mix] += 1
            if heads[mix] == len(queues[mix]):
                del heads[mix]
            free = self._put(number, day, load, free)
        self.setups += len(load.ml)

    def _urgency(
        self,
        mix: int | None,
        queues: dict[int | None, list[int]],
        heads: dict[int | None, int],
        load: _DayLoad,
    ) -> tuple[int, int]:
        due = self.filler.windows.due[queues[mix][heads[mix]]]
        known = mix is None or mix in load.ml
        return (due - self.bonus if known else due, -1 if mix is None else mix)

    def _put(self, number: int, day: int, load: _DayLoad, free: int) -> int:
        """Place as many units of a task as the day takes; return the minutes left."""
        task = self.problem.tasks[number]
        date = self.filler.dates[day]
        left = self.left[number]
        units = self._released(number, date, left)
        if not units or (units < left and not task.split):
            return free
        if task.needs:
            units = self._contained(number, date, units)
        units, cost = load.most(task.mix, task.mix_ml, task.minutes, units, free, task.split)
        if units:
            load.take(task.mix, task.mix_ml, units)
            self._place(number, day, date, units)
        return free - cost

    def _released(self, number: int, date: int, units: int) -> int:
        for before, gap, gives, takes in self.filler.orders[number]:
            done = self._done(before, date - gap)
            task = self.problem.tasks[before]
            if done >= task.count:
                continue
            if not takes:
                return 0
            so_far = self.problem.tasks[number].count - self.left[number]
            units = min(units, gives * done // takes - so_far)
            if units <= 0:
                return 0
        return units

    def _done(self, number: int, date: int) -> int:
        for when, units in reversed(self.history[number]):
            if when <= date:
                return units
        return 0

    def _contained(self, number: int, date: int, units: int) -> int:
        """Return how many units there are containers for, buying what may be bought."""
        problem = self.problem
        task = problem.tasks[number]
        so_far = task.count - self.left[number]
        for use in task.needs:
            container = problem.containers[use.container]
            if container.most_bought is None:
                continue
            room = container.stock + container.most_bought - self.out[use.container]
            for other, at in self.filler.freeing[use.container]:
                giver = problem.tasks[other]
                done = self._done(other, date - container.wash_days)
                room += giver.frees[at].freed(done, giver.count)
            units = min(units, (use.filled(so_far) + room) * use.per // use.number - so_far)
        if units < self.left[number] and not task.split:
            return 0
        return max(units, 0)

    def _place(self, number: int, day: int, date: int, units: int) -> None:
        task = self.problem.tasks[number]
        so_far = task.count - self.left[number]
        for use in task.needs:
            self.out[use.container] += use.filled(so_far + units) - use.filled(so_far)
        self.left[number] -= units
        self.history[number] += ((date, so_far + units),)
        self.placed.append(Placed(day, number, units))
        self.lateness += max(0, date - task.due_date) * units * task.plants


class _DayLoad:
    """What the mixes of one day cost: set-up, batches, and the time of the vessel."""

    def __init__(self, problem: Problem, vessel_minutes: int) -> None:
        self.problem = problem
        self.vessel_minutes = vessel_minutes
        self.ml: dict[int, int] = {}
        self.minutes = 0  # set-ups and batches so far
        self.turning = 0  # batches so far
        self.nested = any(mix.holds for mix in problem.mixes)
        self.plain = not self.nested and not any(mix.unit_minutes for mix in problem.mixes)

    def most(
        self, mix: int | None, mix_ml: int, minutes: int, units: int, free: int, split: bool
    ) -> tuple[int, int]:
        """Return how many of `units` fit in `free` minutes, and the minutes that they take."""
        if units <= 0:
            return 0, 0
        if mix is None or not mix_ml or self.plain:
            setup = 0
            if mix is not None and mix not in self.ml:
                setup = self.problem.mix_setup
            if setup + units * minutes > free:
                if not split or setup + minutes > free:
                    return 0, 0
                units = (free - setup) // minutes
            return units, setup + units * minutes
        low, high, cost = 0, units, 0
        while low < high:  # the cost rises with the units
            middle = (low + high + 1) // 2 if low or high < units else units
            total, turning = self._with(mix, middle * mix_ml)
            price = total - self.minutes + middle * minutes
            if price <= free and turning <= self.vessel_minutes:
                low, cost = middle, price
            elif not split:
                return 0, 0
            else:
                high = middle - 1
        return low, cost

    def _with(self, mix: int, ml: int) -> tuple[int, int]:
        """Return the minutes of all mixes, and of the vessel, with so much more of one mix."""
        known = self.ml.get(mix, 0)
        if not self.nested:  # only the batches of this mix change
            setup = 0 if mix in self.ml else self.problem.mix_setup
            more = self._turns(mix, known + ml) - self._turns(mix, known)
            return self.minutes + setup + more, self.turning + more
        made = blend_same_day(self.problem, {**self.ml, mix: known + ml})
        turning = sum(self._turns(m, volume) for m, volume in made.items())
        return turning + len({*made, *self.ml, mix}) * self.problem.mix_setup, turning

    def _turns(self, mix: int, ml: int) -> int:
        return self.problem.mixes[mix].blending(ml)

    def take(self, mix: int | None, mix_ml: int, units: int) -> None:
        """Add the mix of some units to the day."""
        if mix is None:
            return
        if not self.plain:
            self.minutes, self.turning = self._with(mix, units * mix_ml)
        self.ml[mix] = self.ml.get(mix, 0) + units * mix_ml


def blend_same_day(problem: Problem, used: dict[int, int]) -> dict[int, int]:
    """Return ml to blend of each mix when all that is used is blended on the day."""
    made: dict[int, int] = {}
    pending = [(mix, ml) for mix, ml in used.items() if ml]
    if not any(problem.mixes[mix].holds for mix, _ in pending):
        return dict(pending)
    # A mix draws on those it holds only once all that draw on it are known.
    for mix in outer_first(problem):
        total = used.get(mix, 0) + sum(
            -(-made[outer] * hold.parts // hold.whole)
            for outer in made
            for hold in problem.mixes[outer].holds
            if hold.mix == mix
        )
        if total:
            made[mix] = total
    return made


def add_blends(problem: Problem, placed: Iterable[Placed]) -> tuple[Blend, ...]:
    """Return the mix of each day, blended on the day of its use."""
    by_day: dict[int, dict[int, int]] = {}
    for one in placed:
        task = problem.tasks[one.task]
        if task.mix is not None and task.mix_ml:
            used = by_day.setdefault(one.day, {})
            used[task.mix] = used.get(task.mix, 0) + one.count * task.mix_ml
    return tuple(
        Blend(day, mix, ml)
        for day in sorted(by_day)
        for mix, ml in sorted(blend_same_day(problem, by_day[day]).items())
    )
