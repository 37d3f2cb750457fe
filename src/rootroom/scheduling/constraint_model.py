"""The session problem as a model of whole-number constraints for CP-SAT.

All rules of `problem` are stated here in full; the objectives are expressions for `exact_search`
to take one by one.
Only a child process imports the solver.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from rootroom.scheduling.bounds import Need
from rootroom.scheduling.problem import Blend, Order, Placed, Problem, Task, outer_first
from rootroom.scheduling.windows import Windows, is_last_chance


class SessionModel:
    """Variables, rules and objectives of one problem; `ends` is the last day of each task."""

    def __init__(self, problem: Problem, windows: Windows, ends: list[int]) -> None:
        from ortools.sat.python import cp_model

        self.problem = problem
        self.windows = windows
        self.ends = ends
        self.dates = [day.date for day in problem.days]
        self.model = cp_model.CpModel()
        size = len(problem.days)
        self.works = [self.model.new_bool_var("") for _ in range(size)]
        self.sets = [[self.model.new_bool_var("") for _ in problem.mixes] for _ in range(size)]
        self.units: list[dict[int, Any]] = []
        self.sums: list[dict[int, Any]] = []
        self.bought: list[Any] = []
        self.blended: list[dict[int, Any]] = [{} for _ in problem.mixes]
        self._full: dict[tuple[int, int], Any] = {}
        self.possible = True
        self._add_tasks()
        for order in problem.orders:
            self._add_order(order)
        self._add_mixes()
        self._add_days()
        self._add_containers()
        self._built: dict[str, Any] = {}

    # -- units ------------------------------------------------------------------------------

    def _add_tasks(self) -> None:
        model, problem = self.model, self.problem
        for number, task in enumerate(problem.tasks):
            days = [
                day
                for day in range(self.windows.first[number], self.ends[number] + 1)
                if problem.days[day].people >= task.people
            ]
            if not days:
                self.possible = False
            units: dict[int, Any] = {}
            sums: dict[int, Any] = {}
            before: Any = 0
            for day in days:
                if task.split and task.count > 1:
                    units[day] = model.new_int_var(0, task.count, "")
                    sums[day] = model.new_int_var(0, task.count, "")
                    model.add(sums[day] == before + units[day])
                else:
                    units[day] = task.count * model.new_bool_var("")
                    sums[day] = before + units[day]
                before = sums[day]
                gate = self.works[day]
                if task.mix is not None:
                    gate = self.sets[day][task.mix]
                model.add(units[day] <= task.count * gate)
            if days:
                model.add(before == task.count)
            self.units.append(units)
            self.sums.append(sums)
        for day, works in enumerate(self.works):
            for is_set in self.sets[day]:
                model.add_implication(is_set, works)

    def _done(self, number: int, date: int) -> Any:
        """Return the units of a task done up to and on a date."""
        best: Any = 0
        for day, total in self.sums[number].items():
            if self.dates[day] > date:
                break
            best = total
        return best

    def _day_upto(self, number: int, date: int) -> int | None:
        days = [day for day in self.sums[number] if self.dates[day] <= date]
        return days[-1] if days else None

    def _complete(self, number: int, day: int) -> Any:
        """Return a variable that may be 1 only when the task is complete after the day."""
        if (number, day) not in self._full:
            full = self.model.new_bool_var("")
            self.model.add(self.sums[number][day] >= self.problem.tasks[number].count * full)
            self._full[number, day] = full
        return self._full[number, day]

    def _add_order(self, order: Order) -> None:
        model = self.model
        total = self.problem.tasks[order.before].count
        count = self.problem.tasks[order.after].count
        excess = order.takes * count - order.gives * total
        for day, done in self.sums[order.after].items():
            upto = self._day_upto(order.before, self.dates[day] - order.gap)
            if upto is None:
                model.add(done == 0)
                continue
            if upto == max(self.sums[order.before]):
                continue  # all done by then, whatever happens
            ready = self.sums[order.before][upto]
            if order.whole:
                model.add(done <= count * self._complete(order.before, upto))
            elif excess > 0:
                slack = excess * self._complete(order.before, upto)
                model.add(order.takes * done <= order.gives * ready + slack)
            else:
                model.add(order.takes * done <= order.gives * ready)

    # -- mixes ------------------------------------------------------------------------------

    def _add_mixes(self) -> None:
        """State what is used and blended, outer mixes first, since they draw on inner ones."""
        problem, model = self.problem, self.model
        self.batches: list[list[Any]] = [[] for _ in problem.days]
        self.used: list[dict[int, list[Any]]] = [{} for _ in problem.mixes]
        most = [0] * len(problem.mixes)
        for number, task in enumerate(problem.tasks):
            if task.mix is not None and task.mix_ml:
                most[task.mix] += task.count * task.mix_ml
                for day, units in self.units[number].items():
                    self.used[task.mix].setdefault(day, []).append(task.mix_ml * units)
        for mix in outer_first(problem):
            if not self._needs_blends(mix):
                continue
            self._blend(mix, most[mix])
            for hold in problem.mixes[mix].holds:
                most[hold.mix] += -(-most[mix] * hold.parts // hold.whole) + len(problem.days)
                for day, ml in self.blended[mix].items():
                    drawn = model.new_int_var(0, most[hold.mix], "")
                    model.add(hold.whole * drawn >= hold.parts * ml)
                    model.add(hold.whole * drawn <= hold.parts * ml + hold.whole - 1)
                    self.used[hold.mix].setdefault(day, []).append(drawn)
        if problem.store_ml:
            self._limit_store()

    def _needs_blends(self, number: int) -> bool:
        """Whether blending the mix costs more than its set-up, or may be on another day."""
        mix = self.problem.mixes[number]
        inside = any(hold.mix == number for other in self.problem.mixes for hold in other.holds)
        return bool(mix.unit_minutes or mix.holds or inside)

    def _keeps(self, mix: int) -> bool:
        return bool(self.problem.store_ml and self.problem.mixes[mix].keep_days)

    def _blend(self, mix: int, most: int) -> None:
        model, problem = self.model, self.problem
        used = self.used[mix]
        if not used:
            return
        days = sorted(used)
        if self._keeps(mix):
            early = self.dates[days[0]] - problem.mixes[mix].keep_days
            days = [d for d in range(days[-1] + 1) if self.dates[d] >= early]
        made: Any = 0
        taken: Any = 0
        sums_made: dict[int, Any] = {}
        sums_used: dict[int, Any] = {}
        for day in days:
            here = sum(used.get(day, [0]))
            ml = model.new_int_var(0, most, "")
            if self._keeps(mix):
                made, taken = made + ml, taken + here
                model.add(made >= taken)
                sums_made[day], sums_used[day] = made, taken
            else:
                model.add(ml == here)
            self.blended[mix][day] = ml
            model.add(ml <= most * self.sets[day][mix])
            model.add(here <= most * self.sets[day][mix])
            minutes = problem.mixes[mix].unit_minutes
            if minutes:
                batches = model.new_int_var(0, -(-most // problem.mixes[mix].unit_ml), "")
                model.add(problem.mixes[mix].unit_ml * batches >= ml)
                self.batches[day].append(minutes * batches)
        if self._keeps(mix):
            model.add(made == taken)
            for day in days:
                by = self.dates[day] + problem.mixes[mix].keep_days
                model.add(sums_made[day] <= sums_used[max(d for d in days if self.dates[d] <= by)])
            self._waits = getattr(self, "_waits", [])
            self._waits.append((sums_made, sums_used))

    def _limit_store(self) -> None:
        waits: list[Any] = getattr(self, "_waits", [])
        for day in range(len(self.dates)):
            parts = [made[day] - used[day] for made, used in waits if day in made]
            if parts:
                self.model.add(sum(parts) <= self.problem.store_ml)

    def _add_days(self) -> None:
        problem = self.problem
        minutes: list[list[Any]] = [[] for _ in problem.days]
        for number, task in enumerate(problem.tasks):
            if task.minutes:
                for day, units in self.units[number].items():
                    minutes[day].append(task.minutes * units)
        for day, here in enumerate(problem.days):
            load = sum(minutes[day]) + sum(self.batches[day])
            load += problem.mix_setup * sum(self.sets[day])
            room = here.minutes - problem.session_setup
            if room < 0:
                self.model.add(self.works[day] == 0)
            self.model.add(load <= max(room, 0) * self.works[day])
            if self.batches[day]:
                self.model.add(sum(self.batches[day]) <= here.vessel_minutes)

    # -- containers -------------------------------------------------------------------------

    def _add_containers(self) -> None:
        problem, model = self.problem, self.model
        for kind, container in enumerate(problem.containers):
            filling = [
                (number, use.filled(task.count))
                for number, task in enumerate(problem.tasks)
                for use in task.needs
                if use.container == kind
            ]
            users = sorted({number for number, _ in filling})
            total = sum(count for _, count in filling)
            most = total if container.most_bought is None else min(total, container.most_bought)
            bought = model.new_int_var(0, most, "")
            self.bought.append(bought)
            for day in sorted({day for t in users for day in self.units[t]}):
                self._hold_containers(kind, day, bought)

    def _hold_containers(self, kind: int, day: int, bought: Any) -> None:
        """State that on this day no more of a kind are filled than there are."""
        model, container = self.model, self.problem.containers[kind]
        out: list[Any] = []
        back: list[Any] = []
        for number, task in enumerate(self.problem.tasks):
            for use in task.needs:
                if use.container != kind:
                    continue
                done = self._done(number, self.dates[day])
                if use.per == 1 or isinstance(done, int):
                    out.append(use.number * done)
                else:
                    filled = model.new_int_var(0, use.filled(task.count), "")
                    model.add(use.per * filled >= use.number * done)
                    out.append(filled)
            for use in task.frees:
                if use.container != kind:
                    continue
                upto = self._day_upto(number, self.dates[day] - container.wash_days)
                if upto is None:
                    continue
                if use.per == 1:
                    back.append(use.number * self.sums[number][upto])
                    continue
                freed = model.new_int_var(0, use.filled(task.count), "")
                full = self._complete(number, upto)
                done = self.sums[number][upto]
                model.add(use.per * freed <= use.number * done + (use.per - 1) * full)
                back.append(freed)
        model.add(sum(out) <= container.stock + bought + sum(back))

    # -- objectives -------------------------------------------------------------------------------

    def objective(self, name: str) -> Any:
        """Return the expression of an objective; what it needs is added when it is first asked."""
        if name not in self._built:
            build: dict[str, Callable[[], Any]] = {
                "lateness": lambda: self._weighed(self._late_dates),
                "sessions": lambda: sum(self.works),
                "torn": self._torn,
                "setups": lambda: sum(is_set for row in self.sets for is_set in row),
                "bought": lambda: sum(self.bought),
                "reserve": lambda: self._weighed(self._is_last_chance),
                "early": lambda: self._weighed(lambda _, day: self.dates[day] - self.dates[0]),
            }
            self._built[name] = build[name]()
        return self._built[name]

    def _weighed(self, weigh: Callable[[Task, int], int]) -> Any:
        """Return the sum of plants, each weighed by its task and day."""
        terms: list[Any] = []
        for task, by_day in zip(self.problem.tasks, self.units, strict=True):
            for day, units in by_day.items():
                weight = weigh(task, day) * task.plants
                if weight:
                    terms.append(weight * units)
        return sum(terms)

    def _late_dates(self, task: Task, day: int) -> int:
        return max(0, self.dates[day] - task.due_date)

    def _is_last_chance(self, task: Task, day: int) -> int:
        return int(is_last_chance(self.problem, task, day))

    def _torn(self) -> Any:
        model = self.model
        torn: list[Any] = []
        for task, by_day in zip(self.problem.tasks, self.units, strict=True):
            if not (task.one_group and task.split and task.count > 1 and len(by_day) > 1):
                continue
            parts = []
            for units in by_day.values():
                part = model.new_bool_var("")
                model.add(units <= task.count * part)
                parts.append(part)
                if task.most_small:
                    small = model.new_bool_var("")
                    most = task.most_small
                    model.add(units >= (most + 1) * part - (most + 1) * small)
                    torn.append(small)
            torn.append(sum(parts) - 1)
        return sum(torn)

    def add_needs(self, sessions: list[Need], mixes: dict[int, list[Need]]) -> None:
        """Add what is known of intervals; the solver would have to find it out again."""
        for need in sessions:
            self.model.add(sum(self.works[need.start : need.end + 1]) >= need.sessions)
        for mix, needs in mixes.items():
            for need in needs:
                days = range(need.start, need.end + 1)
                self.model.add(sum(self.sets[day][mix] for day in days) >= need.sessions)

    def read(self, solver: Any) -> tuple[tuple[Placed, ...], tuple[Blend, ...]]:
        """Return the units and the blends of the solver's last solution."""
        placed = []
        used: dict[tuple[int, int], int] = {}
        for number, units in enumerate(self.units):
            task = self.problem.tasks[number]
            for day, count in units.items():
                value = int(solver.value(count))
                if value:
                    placed.append(Placed(day, number, value))
                    if task.mix is not None and task.mix_ml and not self.blended[task.mix]:
                        pair = (day, task.mix)
                        used[pair] = used.get(pair, 0) + value * task.mix_ml
        for mix, by_day in enumerate(self.blended):
            for day, ml in by_day.items():
                value = int(solver.value(ml))
                if value:
                    used[day, mix] = value
        placed.sort(key=lambda one: (one.day, one.task))
        blends = tuple(Blend(day, mix, ml) for (day, mix), ml in sorted(used.items()))
        return tuple(placed), blends


def limited_solver(work: float, seconds: float) -> Any:
    """Return a solver that runs alike each time, with limits of work [solver units] and clock [s].

    The clock is a safety net: one worker and one seed end at the same answer by the work alone.
    """
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = work
    solver.parameters.max_time_in_seconds = seconds
    return solver
