"""Which days could carry all work, with units taken as divisible: a mixed-integer relaxation.

Days and mixes stay whole, units of tasks, of mixes and of containers may be cut; containers count
only where as few as possible are to be bought.
So "none" is a proof, and the days found are a strong guess for the exact method to try first.
Only a child process imports the solver.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import Any

from attrs import frozen

from rootroom.counts import ceil_count
from rootroom.optimize.linear_form import IntegerProblem, Number, matrix, quiet_solver
from rootroom.scheduling.bounds import mix_needs, needs, tightest
from rootroom.scheduling.problem import Order, Placed, Problem, Task, Use, outer_first
from rootroom.scheduling.windows import Windows
from rootroom.tolerances import SOLVER_BOUND

Term = tuple[int, Number]  # column and factor

NODES = 2000  # of the search tree, a limit on work that is alike on every machine
GUESSES = tuple(
    f"mip_heuristic_run_{name}"
    for name in ("rins", "rens", "feasibility_jump", "root_reduced_cost")
)
LARGE = 4_000  # units by task and day from which on mixes and undivided tasks may be cut as well


@frozen
class FoundDays:
    """Days that do, or proof that none do; neither where the work or (`clock`) the time ended.

    `setups` are pairs of day and mix, `placed` units by day (rounded where they may be cut),
    `parts` pairs of task and day, for groups that may be torn; `bound` is one on the objective.
    """

    days: tuple[int, ...] | None = None
    setups: frozenset[tuple[int, int]] = frozenset()
    placed: tuple[Placed, ...] = ()
    parts: frozenset[tuple[int, int]] = frozenset()
    bound: int = 0
    none: bool = False
    clock: bool = False


def find_days(
    problem: Problem,
    windows: Windows,
    ends: list[int],
    sessions: int | None,
    *,
    seconds: float,
    objective: str = "sessions",
    setups: int | None = None,
    whole: bool = False,
    nodes: int = NODES,
    within: FoundDays | None = None,
) -> FoundDays:
    """Return `sessions` days that hold all work if units could be cut, or that there are none.

    For `sessions` the first days found do, or the fewest where no number is given; for `torn`,
    `setups` and `bought` as few as `nodes` of the search find. `setups` is a limit on those.
    With `whole` no unit of a task is cut, which takes many times as long.
    `seconds` [s] is a safety net beside that limit on work.
    """
    rows = _Rows(problem, windows, ends)
    rows.state()
    if within is not None:
        rows.close(within)
    working = [(day, 1) for day in rows.works]
    if sessions is not None:
        rows.add(working, sessions, sessions)
    if setups is not None:
        rows.add(rows.costs("setups"), None, setups)
    if objective == "torn":
        rows.tear()
    if objective == "bought":
        rows.contain()
    if whole:
        for column in rows.unit_columns():
            rows.form.whole[column] = True
    any_do = objective == "sessions" and sessions is not None
    solver = _solver(nodes, seconds, any_do=any_do, guess=objective == "sessions")
    if sum(map(len, rows.units)) > LARGE:
        rows.form.whole = [column in rows.works for column in range(len(rows.form.whole))]
        solver.setOptionValue("mip_lp_solver", "ipm")
    rows.give(solver, working if sessions is None else rows.costs(objective))
    solver.run()
    bound = 0.0 if any_do else solver.getInfo().mip_dual_bound
    return rows.read(solver, bound - (rows.groups if objective == "torn" else 0))


def _solver(nodes: int, seconds: float, *, any_do: bool, guess: bool) -> Any:
    """Return a solver with these limits; with `any_do` the first answer ends its search.

    Without `guess` it only proves: neighbourhoods find better answers in less time.
    """
    solver = quiet_solver()
    solver.setOptionValue("random_seed", 1)
    solver.setOptionValue("mip_max_nodes", nodes)
    solver.setOptionValue("time_limit", float(max(seconds, 0.1)))
    if any_do:
        solver.setOptionValue("mip_max_improving_sols", 1)
    if not guess:
        solver.setOptionValue("mip_heuristic_effort", 0.0)
        for name in GUESSES:
            solver.setOptionValue(name, False)
    return solver


class _Rows:
    """The relaxation as sparse rows."""

    def __init__(self, problem: Problem, windows: Windows, ends: list[int]) -> None:
        self.problem, self.windows, self.ends = problem, windows, ends
        self.dates = [day.date for day in problem.days]
        self.form = IntegerProblem()
        self.works = [self._column(1, whole=True) for _ in problem.days]
        self.sets = [[self._column(1, whole=True) for _ in problem.mixes] for _ in problem.days]
        self.units: list[dict[int, tuple[int, int]]] = []  # day to column and units a column step
        self.parts: dict[tuple[int, int], int] = {}  # task and day to column
        self.done: dict[int, dict[int, int]] = {}  # by task: day to column of units up to it
        self.torn: list[Term] = []
        self.groups = 0
        self.bought: list[int] = []

    def _column(self, upper: Number | None = None, *, whole: bool = False) -> int:
        return self.form.variable(upper, whole=whole)

    def add(self, terms: Iterable[Term], least: Number | None, most: Number | None) -> None:
        """Add least <= sum of terms <= most; a column may come in several terms."""
        total: dict[int, Number] = {}
        for column, factor in terms:
            total[column] = total.get(column, 0) + factor
        self.form.row(total, least=least, most=most)

    def state(self) -> None:
        """State tasks, days, orders, and what intervals need."""
        self._tasks()
        self._days()
        for order in self.problem.orders:
            self._order(order)
        for need in tightest(needs(self.problem, self.windows, self.ends)):
            days = range(need.start, need.end + 1)
            self.add([(self.works[day], 1) for day in days], need.sessions, None)
        for mix, found in mix_needs(self.problem, self.windows, self.ends).items():
            for need in tightest(found):
                days = range(need.start, need.end + 1)
                self.add([(self.sets[day][mix], 1) for day in days], need.sessions, None)

    def close(self, named: FoundDays) -> None:
        """Close the days and pairs of day and mix that are not named."""
        for day, sets in enumerate(self.sets):
            for mix, column in enumerate(sets):
                self.form.upper[column] = int((day, mix) in named.setups)
            self.form.upper[self.works[day]] = int(day in (named.days or ()))

    def _tasks(self) -> None:
        for number, task in enumerate(self.problem.tasks):
            step = 1 if task.split and task.count > 1 else task.count
            units: dict[int, tuple[int, int]] = {}
            for day in range(self.windows.first[number], self.ends[number] + 1):
                if self.problem.days[day].people < task.people:
                    continue
                gate = self.works[day] if task.mix is None else self.sets[day][task.mix]
                most = self._most(task, day)
                column = self._column(most // step, whole=not task.split)
                units[day] = (column, step)
                self.add([(column, step), (gate, -most)], None, 0)
            self.add([(c, s) for c, s in units.values()], task.count, task.count)
            self.units.append(units)

    def _most(self, task: Task, day: int) -> int:
        """Return how many whole units of a task a day has minutes for."""
        room = self.problem.days[day].minutes - self.problem.session_setup
        room -= 0 if task.mix is None else self.problem.mix_setup
        most = task.count if not task.minutes else min(task.count, max(room, 0) // task.minutes)
        return most if task.split or most == task.count else 0

    def unit_columns(self) -> list[int]:
        """Return the columns of the units of tasks."""
        return [column for by_day in self.units for column, _ in by_day.values()]

    def tear(self) -> None:
        """State on how many days each group is; one of its parts costs nothing."""
        for number, (task, by_day) in enumerate(zip(self.problem.tasks, self.units, strict=True)):
            if not (task.one_group and task.split and task.count > 1 and len(by_day) > 1):
                continue
            self.groups += 1
            for day, (column, step) in by_day.items():
                part = self.parts[number, day] = self._column(1, whole=True)
                most = step * (self.form.upper[column] or 0)
                self.add([(column, step), (part, -most)], None, 0)
                self.torn.append((part, 1))
                if task.most_small:
                    small, enough = self._column(1, whole=True), task.most_small + 1
                    terms = [(part, enough), (small, -enough), (column, -step)]
                    self.add(terms, None, 0)
                    self.torn.append((small, 1))

    def contain(self) -> None:
        """State that no more containers of a kind are filled than there are, parts of them too."""
        tasks = list(enumerate(self.problem.tasks))
        for kind, container in enumerate(self.problem.containers):
            filling = [(n, use) for n, task in tasks for use in task.needs if use.container == kind]
            freeing = [(n, use) for n, task in tasks for use in task.frees if use.container == kind]
            most = container.most_bought
            self.bought.append(self._column(most))
            for day in sorted({day for number, _ in filling for day in self.units[number]}):
                out, _ = self._turned(filling, self.dates[day])
                back, rest = self._turned(freeing, self.dates[day] - container.wash_days)
                terms = [(self.bought[-1], -1), *out, *((c, -share) for c, share in back)]
                self.add(terms, None, container.stock + rest)

    def _turned(self, uses: list[tuple[int, Use]], date: int) -> tuple[list[Term], Fraction]:
        """Return the terms of what tasks have filled or freed up to and on a date.

        The last unit of a task may free what is left of a container: that much is added.
        """
        terms: list[Term] = []
        rest = Fraction(0)
        for number, use in uses:
            ready = [day for day in self.units[number] if self.dates[day] <= date]
            if ready:
                count, share = self.problem.tasks[number].count, Fraction(use.number, use.per)
                terms.append((self._done(number)[max(ready)], share))
                rest += use.filled(count) - count * share
        return terms, rest

    def costs(self, objective: str) -> list[Term]:
        """Return what the solver makes least."""
        if objective == "setups":
            return [(column, 1) for row in self.sets for column in row]
        if objective == "bought":
            return [(column, 1) for column in self.bought]
        return self.torn if objective == "torn" else []

    def _days(self) -> None:
        problem = self.problem
        loads: list[dict[int | None, list[Term]]] = [{} for _ in problem.days]
        for number, task in enumerate(problem.tasks):
            for day, (column, step) in self.units[number].items():
                load = loads[day].setdefault(task.mix, [])
                load.append((column, step * task.minutes))
        turning = self._mixes()
        for day, here in enumerate(problem.days):
            room = max(0, here.minutes - problem.session_setup)
            work = [term for load in loads[day].values() for term in load]
            turns = [term for load in turning[day].values() for term in load]
            setups = [(column, problem.mix_setup) for column in self.sets[day]]
            self.add([*work, *turns, *setups, (self.works[day], -room)], None, 0)
            if turns:
                self.add([*turns, (self.works[day], -here.vessel_minutes)], None, 0)
            rest = max(0, room - problem.mix_setup)
            for mix, column in enumerate(self.sets[day]):
                self.add([(column, 1), (self.works[day], -1)], None, 0)
                of_mix = [*loads[day].get(mix, []), *turning[day].get(mix, [])]
                self.add([*of_mix, (column, -rest)], None, 0)

    def _mixes(self) -> list[dict[int, list[Term]]]:
        """State what is blended, used and left of each mix, and return the minutes of each day.

        Units of a mix may be cut too; what waits overnight fits the store, and is used while it
        keeps.
        """
        problem = self.problem
        used, blended = self._uses()
        waiting: list[list[Term]] = [[] for _ in problem.days]
        for mix, columns in blended.items():
            keep = problem.mixes[mix].keep_days if problem.store_ml else 0
            taken = [self._sum_of(terms) for terms in used[mix]]
            before: list[Term] = []
            for day, column in columns.items():
                left = self._column(problem.store_ml if keep else 0)
                self.add([*before, (column, 1), *_less(taken[day]), (left, -1)], 0, 0)
                later = range(day + 1, len(problem.days))
                soon = [d for d in later if self.dates[d] - self.dates[day] <= keep]
                self.add([(left, 1), *(term for d in soon for term in _less(taken[d]))], None, 0)
                waiting[day].append((left, 1))
                before = [(left, 1)]
        for terms in waiting:
            if len(terms) > 1:
                self.add(terms, None, problem.store_ml)
        turning: list[dict[int, list[Term]]] = [{} for _ in problem.days]
        for mix, columns in blended.items():
            rate = Fraction(problem.mixes[mix].unit_minutes, problem.mixes[mix].unit_ml)
            for day, column in columns.items():
                turning[day][mix] = [(column, rate)] if rate else []
        return turning

    def _uses(self) -> tuple[list[list[list[Term]]], dict[int, dict[int, int]]]:
        """Return what is used by mix and day as terms, and the column of what is blended."""
        problem = self.problem
        used: list[list[list[Term]]] = [[[] for _ in problem.days] for _ in problem.mixes]
        most: list[Number] = [0] * len(problem.mixes)
        for number, task in enumerate(problem.tasks):
            if task.mix is not None and task.mix_ml:
                most[task.mix] += task.count * task.mix_ml
                for day, (column, step) in self.units[number].items():
                    used[task.mix][day].append((column, step * task.mix_ml))
        blended: dict[int, dict[int, int]] = {}
        for mix in outer_first(problem):
            holds = problem.mixes[mix].holds
            if not (most[mix] and (problem.mixes[mix].unit_minutes or holds)):
                continue
            blended[mix] = {day: self._column(most[mix]) for day in range(len(problem.days))}
            for day, column in blended[mix].items():
                self.add([(column, 1), (self.sets[day][mix], -most[mix])], None, 0)
                for hold in holds:
                    used[hold.mix][day].append((column, Fraction(hold.parts, hold.whole)))
            for hold in holds:
                most[hold.mix] += most[mix] * Fraction(hold.parts, hold.whole)
        return used, blended

    def _sum_of(self, terms: list[Term]) -> int | None:
        """Return a column that is the sum of terms, so that long sums are written once."""
        if not terms:
            return None
        column = self._column()
        self.add([(column, -1), *terms], 0, 0)
        return column

    def _done(self, number: int) -> dict[int, int]:
        """Return the columns of the units of a task done up to each day."""
        if number not in self.done:
            done: dict[int, int] = {}
            before: list[Term] = []
            for day, (column, step) in sorted(self.units[number].items()):
                done[day] = self._column(self.problem.tasks[number].count)
                self.add([(done[day], -1), (column, step), *before], 0, 0)
                before = [(done[day], 1)]
            self.done[number] = done
        return self.done[number]

    def _order(self, order: Order) -> None:
        before, after = self._done(order.before), self._done(order.after)
        total = self.problem.tasks[order.before].count
        count = self.problem.tasks[order.after].count
        takes, gives = (total, count) if order.whole else (order.takes, order.gives)
        slack = max(0, takes * count - gives * total)
        for day, column in after.items():
            ready = [d for d in before if self.dates[d] <= self.dates[day] - order.gap]
            if len(ready) < len(before):
                terms = [(column, takes)]
                terms += [(before[ready[-1]], -gives)] if ready else []
                self.add(terms, None, slack)

    def read(self, solver: Any, bound: float) -> FoundDays:
        """Return the days, pairs and parts of a solution, with a bound as a whole number."""
        import highspy

        status, solution = solver.getModelStatus(), solver.getSolution()
        if status == highspy.HighsModelStatus.kInfeasible:
            return FoundDays(none=True)
        least = ceil_count(max(bound, 0.0) - SOLVER_BOUND, 1)
        if not solution.value_valid:
            return FoundDays(bound=least, clock=status == highspy.HighsModelStatus.kTimeLimit)
        value = solution.col_value
        days = tuple(d for d, column in enumerate(self.works) if value[column] > 0.5)
        setups = frozenset(
            (d, m) for d in days for m, column in enumerate(self.sets[d]) if value[column] > 0.5
        )
        parts = frozenset(place for place, column in self.parts.items() if value[column] > 0.5)
        placed = tuple(
            Placed(day, task, step * round(value[column]))
            for task, by_day in enumerate(self.units)
            for day, (column, step) in by_day.items()
            if value[column] > 0.5
        )
        return FoundDays(days, setups, placed, parts, least)

    def give(self, solver: Any, costs: Iterable[Term]) -> None:
        """Pass columns, rows and costs to the solver."""
        solver.passModel(matrix(self.form))
        for column, cost in costs:
            solver.changeColCost(column, cost)


def _less(column: int | None) -> list[Term]:
    """Return a column as a term to take off, or no term."""
    return [] if column is None else [(column, -1)]
