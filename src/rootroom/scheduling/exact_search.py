"""The exact method: the objectives one after the other, each proved or ended by its share of work.

Runs in a child (`child_process`), since the solver can abort; hands back each better
answer.
One worker, one seed and deterministic work limits make every run alike on any number of cores.
No solution hint is given: with one the solver's release 9.15 is known to abort.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from importlib import import_module
from time import monotonic
from typing import Any

from attrs import evolve, frozen

from rootroom.scheduling.bounds import (
    ends_for_lateness,
    mix_needs,
    needs,
    objective_bound,
    tightest,
)
from rootroom.scheduling.checker import check_answer
from rootroom.scheduling.list_scheduling import add_blends
from rootroom.scheduling.neighbourhoods import improve_around
from rootroom.scheduling.problem import OBJECTIVES, Blend, Placed, Problem
from rootroom.scheduling.relaxation import LARGE, NODES, FoundDays, find_days
from rootroom.scheduling.tie_breaking import blend_ahead
from rootroom.scheduling.windows import Windows

MARGIN = 0.3  # seconds kept for handing over
RELAXED_SIZE = 8_000  # pairs of task and day up to which the relaxation is tried
MODEL_SIZE = 40_000  # pairs of task and day up to which the whole model is tried
SMALL_SIZE = 400  # the same for the objectives after the set-ups, which are seldom proved else
AROUND_SHARE = 0.1  # of the work, for large neighbourhoods of one objective
WHOLE_SIZE = 1_000  # pairs of task and day up to which it is tried with whole units too
WHOLE_NODES_PER_UNIT = 25  # of its tree then
NODES_PER_UNIT = 12  # of the relaxation's tree at least, for few groups torn and few set-ups
PAIRS_PER_UNIT = 20_000  # nodes times pairs of task and day: small plans may have more nodes
MOST_WEIGHT = 2**50  # of an objective that stands for two, which the solver's numbers must hold
RELAXED = ("sessions", "torn", "setups", "bought")  # what the relaxation is asked for
SHARES = {
    "lateness": 0.25, "sessions": 0.2, "torn": 0.1, "setups": 0.1, "bought": 0.1, "reserve": 0.25,
}  # fmt: skip


@frozen
class Found:
    """The best answer so far (`objectives` None: none yet) and the bounds that are proved.

    `bounds[i]` holds at the values of the objectives before it; `infeasible`: proved that none
    exists; `clock`: the time ended a stage before its work was done.
    """

    placed: tuple[Placed, ...] = ()
    blends: tuple[Blend, ...] = ()
    objectives: tuple[int, ...] | None = None
    bounds: tuple[int, ...] = ()
    infeasible: bool = False
    stages: tuple[str, ...] = ()
    clock: bool = False


@frozen
class Request:
    """What the child is asked: a problem, what is known, and the work allowed in solver units."""

    problem: Problem
    windows: Windows
    known: Found
    lateness_bound: int
    work: float
    seconds: float


def load_libraries() -> None:
    """Load both solvers, which takes longer than many a search."""
    for name in ("highspy", "ortools.sat.python.cp_model", "rootroom.scheduling.constraint_model"):
        import_module(name)


def improve(request: object, send: Callable[[object], None]) -> None:
    """Take the objectives in their order and hand back every better answer or bound."""
    assert isinstance(request, Request)
    _Search(request, send).run()


class _Search:
    def __init__(self, request: Request, send: Callable[[object], None]) -> None:
        self.request = request
        self.problem = request.problem
        self.send = send
        self.found = request.known
        self.spare = 0.0  # work left over by the stages before
        self.end = monotonic() + request.seconds - MARGIN

    def run(self) -> None:
        if not self._lateness():
            return
        assert self.found.objectives is not None
        for objective in RELAXED:
            self._objective(objective)
        self._last_two()

    def _keep(self, **changes: Any) -> None:
        self.found = evolve(self.found, **changes)
        self.send(self.found)

    def _accept(
        self, placed: tuple[Placed, ...], blends: tuple[Blend, ...], *, sure: bool = True
    ) -> None:
        """Keep a better answer; where it is `sure` by its model, a broken rule is our mistake."""
        check = check_answer(self.problem, placed, blends)
        if check.broken and not sure:
            return
        if check.broken:
            raise RuntimeError(f"the model forgot a rule: {check.broken[0]}")
        if self.found.objectives is None or check.objectives < self.found.objectives:
            self._keep(placed=placed, blends=blends, objectives=check.objectives)

    def _bound(self, position: int, value: int) -> None:
        """Note a bound on an objective and drop those after it, which held at other values."""
        self._keep(bounds=(*self.found.bounds[:position], value))

    def _model(self, ends: list[int]) -> Any:
        from rootroom.scheduling.constraint_model import SessionModel

        model = SessionModel(self.problem, self.request.windows, ends)
        by_mix = mix_needs(self.problem, self.request.windows, ends)
        model.add_needs(
            tightest(needs(self.problem, self.request.windows, ends)),
            {mix: tightest(found) for mix, found in by_mix.items()},
        )
        return model

    def _lateness(self) -> bool:
        """Settle the lateness; False where no answer is known in the end."""
        objectives, low = self.found.objectives, self.request.lateness_bound
        if objectives is not None and objectives[0] > low:
            objectives = self._around(0, low)
        size = self._pairs(list(self.request.windows.final))
        if (objectives is None or objectives[0] > low) and size <= MODEL_SIZE:
            model = self._model(list(self.request.windows.final))
            low = self._minimise(model, "lateness", low)
            if self.found.infeasible:
                return False
        self._bound(0, low)
        return self.found.objectives is not None

    def _objective(self, objective: str) -> None:
        """Settle one objective: its bound, then neighbourhoods, then the whole model."""
        position = OBJECTIVES.index(objective)
        objectives = self.found.objectives
        assert objectives is not None
        ends = ends_for_lateness(self.problem, objectives[0])
        low = objective_bound(self.problem, self.request.windows, objective, objectives[0])
        named = None
        if objective == "torn" and objectives[position] > low:
            objectives = self._around(position, low)  # mostly to none torn, without a proof
        if objective in RELAXED and self._pairs(ends) <= RELAXED_SIZE:
            low, named = self._relax(objective, ends, low)
        if objective == "setups" and objectives[position] > low:
            objectives = self._around(position, low)
        if objective == "sessions" and named is not None and objectives[1] > low:
            low, objectives = self._uncut(ends, low, named)
        if named is not None and objectives[position] > low:
            objectives = self._try(objective, ends, named, low)
        if objective == "sessions" and named is not None and objectives[1] > low:
            low, objectives = self._uncut(ends, low)
        size = MODEL_SIZE
        if objective == "bought":
            size = SMALL_SIZE
            if objectives[position] > low:
                objectives = self._around(position, low)
        if objectives[position] > low and self._pairs(ends) <= size:
            low = self._minimise(self._limited(ends, objectives[:position]), objective, low)
        self._bound(position, low)

    def _last_two(self) -> None:
        """Settle reserve and early days: small plans at once, with the whole model.

        What that leaves open is left to neighbourhoods.
        """
        names: tuple[str, ...] = OBJECTIVES[-2:]
        if _most_waiting(self.problem) * _plants(self.problem) > MOST_WEIGHT:
            names = names[:1]
        objectives = self.found.objectives
        assert objectives is not None
        ends = ends_for_lateness(self.problem, objectives[0])
        low = tuple(
            objective_bound(self.problem, self.request.windows, name, objectives[0])
            for name in names
        )
        if self._values(names) > low and self._pairs(ends) <= SMALL_SIZE:
            low = self._minimise_all(self._limited(ends, objectives[:-2]), names, low)
        if self._values(names)[0] > low[0]:
            self._around(len(OBJECTIVES) - 2, low[0])
        for position, bound in enumerate(low, len(OBJECTIVES) - 2):
            self._bound(position, bound)

    def _values(self, names: Sequence[str]) -> tuple[int, ...]:
        """Return what is reached of some objectives that follow each other."""
        assert self.found.objectives is not None
        position = OBJECTIVES.index(names[0])
        return self.found.objectives[position : position + len(names)]

    def _pairs(self, ends: list[int]) -> int:
        """Return how many pairs of task and day are left by windows and lateness."""
        first = self.request.windows.first
        return sum(end - start + 1 for start, end in zip(first, ends, strict=True))

    def _around(self, position: int, low: int) -> tuple[int, ...]:
        """Improve what is known by large neighbourhoods; return the objectives then."""
        work = self.request.work * AROUND_SHARE
        reached = improve_around(
            self.problem,
            self.request.windows,
            (self.found.placed, self.found.blends),
            position,
            low,
            work=work,
            left=lambda: self.end - monotonic(),
        )
        stages = (*self.found.stages, f"{OBJECTIVES[position]} by neighbourhoods")
        self._keep(stages=stages)
        self._accept(reached.placed, reached.blends)
        return reached.check.objectives

    def _limited(self, ends: list[int], earlier: tuple[int, ...]) -> Any:
        """Return the model with the objectives settled before as limits."""
        model = self._model(ends)
        if not model.possible:
            raise RuntimeError("windows exclude the answer that is known")
        for objective, most in zip(OBJECTIVES, earlier, strict=False):
            model.model.add(model.objective(objective) <= most)
        return model

    def _relax(self, objective: str, ends: list[int], low: int) -> tuple[int, Any]:
        """Let a relaxation raise the bound; return it and the days to try, if it names any."""
        objectives = self.found.objectives
        assert objectives is not None
        position = OBJECTIVES.index(objective)
        pairs = self._pairs(ends)
        few = int(self.request.work * max(NODES_PER_UNIT, PAIRS_PER_UNIT / max(pairs, 1)))
        fewest = objective == "sessions" and pairs > LARGE  # one hard search, not many
        while low < objectives[position]:
            found = find_days(
                self.problem,
                self.request.windows,
                ends,
                None if fewest else low if objective == "sessions" else objectives[1],
                seconds=(self.end - monotonic()) / 2,
                objective=objective,
                setups=objectives[3] if objective == "bought" else None,
                nodes=NODES if objective == "sessions" else few,
            )
            stages = (*self.found.stages, f"{objective} by HiGHS")
            self._keep(stages=stages, clock=self.found.clock or found.clock)
            if found.none and objective == "sessions":
                low += 1
                continue
            return max(low, found.bound), None if found.days is None else found
        return low, None

    def _uncut(
        self, ends: list[int], low: int, within: FoundDays | None = None
    ) -> tuple[int, tuple[int, ...]]:
        """Look for days where no unit is cut, which cut ones may promise falsely.

        Within named days and pairs the search is short, and to find nothing there proves nothing.
        Returns the bound, and the objectives of the best answer then.
        """
        assert self.found.objectives is not None
        if self._pairs(ends) > WHOLE_SIZE:
            return low, self.found.objectives
        found = find_days(
            self.problem,
            self.request.windows,
            ends,
            low,
            seconds=(self.end - monotonic()) / 2,
            whole=True,
            nodes=int(self.request.work * WHOLE_NODES_PER_UNIT) if within is None else NODES,
            within=within,
        )
        self._keep(stages=(*self.found.stages, "sessions by HiGHS uncut"))
        if found.days is not None:
            for blend in (add_blends, blend_ahead):
                blends = blend(self.problem, found.placed)
                if blends is not None:
                    self._accept(found.placed, blends, sure=False)
            if within is None and self.found.objectives[1] > low:
                self._try("sessions", ends, found, low)
        return low + int(found.none and within is None), self.found.objectives

    def _try(self, objective: str, ends: list[int], found: Any, low: int) -> tuple[int, ...]:
        """Look for an answer on the days that the relaxation named, and with its parts or pairs.

        Returns the objectives of the best answer then.
        """
        objectives = self.found.objectives
        assert objectives is not None
        model = self._limited(ends, objectives[: OBJECTIVES.index(objective)])
        for day, works in enumerate(model.works):
            model.model.add(works == int(day in found.days))
            if objective in ("setups", "bought"):
                for mix, is_set in enumerate(model.sets[day]):
                    model.model.add(is_set <= int((day, mix) in found.setups))
        if objective == "torn":
            for task in {task for task, _ in found.parts}:
                for day, units in model.units[task].items():
                    if (task, day) not in found.parts:
                        model.model.add(units == 0)
        self._minimise(model, objective, low, share=0.3)
        assert self.found.objectives is not None
        return self.found.objectives

    def _minimise(self, model: Any, objective: str, low: int, share: float = 1.0) -> int:
        """Look for a better value of one objective than is known; return the bound."""
        return self._minimise_all(model, (objective,), (low,), share)[0]

    def _minimise_all(
        self, model: Any, names: tuple[str, ...], low: tuple[int, ...], share: float = 1.0
    ) -> tuple[int, ...]:
        """Look for better than is known in objectives that follow each other; return the bounds.

        One search does for two of them where each unit of the first outweighs all of the second.
        """
        from ortools.sat.python import cp_model

        if not model.possible:
            return self._nothing_better(names)
        sums = [model.objective(name) for name in names]
        weights = (1,) if len(names) == 1 else (1 + _most_waiting(self.problem), 1)
        total = sum(weight * each for weight, each in zip(weights, sums, strict=True))
        for each, least in zip(sums, low, strict=True):
            model.model.add(each >= least)
        known = None
        if self.found.objectives is not None:
            known = sum(w * v for w, v in zip(weights, self._values(names), strict=True))
            model.model.add(total <= known - 1)
        if known is None or len(names) > 1 or known - 1 > low[0]:
            model.model.minimize(total)
        work = (self.request.work * SHARES[names[0]] + self.spare) * share
        left = max(0.01, self.end - monotonic())
        solver = _solver(names[0], work, left)
        status = solver.solve(model.model, _Watcher(self, model))
        if share == 1.0:
            self.spare = max(0.0, work - solver.response_proto.deterministic_time)
        late = solver.wall_time >= left and status != cp_model.OPTIMAL
        stages = (*self.found.stages, f"{names[0]} by CP-SAT")
        self._keep(stages=stages, clock=self.found.clock or late)
        if status in (cp_model.INFEASIBLE, cp_model.OPTIMAL):
            return self._nothing_better(names)
        if not model.model.has_objective():
            return low
        bound = int(solver.best_objective_bound + 0.999999)
        return (max(low[0], bound // weights[0]), *low[1:])

    def _nothing_better(self, names: Sequence[str]) -> tuple[int, ...]:
        """Return the bounds where no answer better than the one that is known exists."""
        if self.found.objectives is None:
            self._keep(infeasible=True)
            return (0,) * len(names)
        return self._values(names)


def _solver(objective: str, work: float, seconds: float) -> Any:
    """Return a solver for an objective, with limits of work [solver units] and of the clock [s]."""
    from rootroom.scheduling.constraint_model import limited_solver

    solver = limited_solver(work, seconds)
    if OBJECTIVES.index(objective) > OBJECTIVES.index("setups"):
        # What weighs days and plants is proved in a sixth of the time without these.
        solver.parameters.linearization_level = 0
        solver.parameters.cp_model_probing_level = 0
        solver.parameters.inprocessing_dtime_ratio = 0.0
    return solver


def _most_waiting(problem: Problem) -> int:
    """Return more than the last objective ever counts."""
    return _plants(problem) * (problem.days[-1].date - problem.days[0].date)


def _plants(problem: Problem) -> int:
    return sum(task.count * task.plants for task in problem.tasks)


def _Watcher(search: _Search, model: Any) -> Any:
    """Return the solver's callback that hands every solution over."""
    from ortools.sat.python import cp_model

    class Watcher(cp_model.CpSolverSolutionCallback):
        def on_solution_callback(self) -> None:
            search._accept(*model.read(self))

    return Watcher()
