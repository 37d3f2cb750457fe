"""The exact method: the aims one after the other, each proved or ended by its share of work.

Runs in a child process (`solving.child`), since the solver can abort; hands back each better
answer.
One worker, one seed and deterministic work limits make every run alike on any number of cores.
No solution hint is given: with one the solver's release 9.15 is known to abort.
"""

from __future__ import annotations

from collections.abc import Callable
from time import monotonic
from typing import Any

from attrs import evolve, frozen

from rootroom.scheduling.bounds import aim_bound, ends_for_lateness, mix_needs, needs
from rootroom.scheduling.checker import check_answer
from rootroom.scheduling.problem import Blend, Placed, Problem
from rootroom.scheduling.windows import Windows

__all__ = ["AIMS", "Found", "Request", "improve"]

AIMS = ("lateness", "sessions", "pairs", "bought", "last")
MARGIN = 0.3  # seconds kept for handing over
RELAXED_SIZE = 12_000  # tasks times days up to which the relaxation is tried
PAIR_NODES_PER_UNIT = 9  # of the relaxation's tree, for few pairs of day and mix
SHARES = {"lateness": 0.4, "sessions": 0.4, "pairs": 0.14, "bought": 0.03, "last": 0.03}


@frozen
class Found:
    """The best answer so far (`aims` None: none yet) and the bounds proved, aim by aim.

    `bounds[i]` holds at the values of the aims before it; `infeasible`: proved that none exists;
    `clock`: the time ended a stage before its work was done.
    """

    placed: tuple[Placed, ...] = ()
    blends: tuple[Blend, ...] = ()
    aims: tuple[int, ...] | None = None
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


def improve(request: object, send: Callable[[object], None]) -> None:
    """Take the aims in their order and hand back every better answer or bound."""
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
        assert self.found.aims is not None
        for aim in AIMS[1:]:
            self._aim(aim)

    def _keep(self, **changes: Any) -> None:
        self.found = evolve(self.found, **changes)
        self.send(self.found)

    def _accept(self, placed: tuple[Placed, ...], blends: tuple[Blend, ...]) -> None:
        check = check_answer(self.problem, placed, blends)
        if check.broken:
            raise RuntimeError(f"the model forgot a rule: {check.broken[0]}")
        if self.found.aims is None or check.aims < self.found.aims:
            self._keep(placed=placed, blends=blends, aims=check.aims)

    def _bound(self, position: int, value: int) -> None:
        """Note a bound on an aim and drop those after it, which held at other values."""
        self._keep(bounds=(*self.found.bounds[:position], value))

    def _model(self, ends: list[int]) -> Any:
        from rootroom.scheduling.constraint_model import SessionModel

        model = SessionModel(self.problem, self.request.windows, ends)
        model.add_needs(
            needs(self.problem, self.request.windows, ends),
            mix_needs(self.problem, self.request.windows, ends),
        )
        return model

    def _lateness(self) -> bool:
        """Settle the lateness; False where no answer is known in the end."""
        aims, low = self.found.aims, self.request.lateness_bound
        if aims is None or aims[0] > low:
            model = self._model(list(self.request.windows.final))
            bound = self._minimise(model, "lateness", low)
            if bound is None:
                if self.found.aims is None:
                    self._keep(infeasible=True)
                    return False
                bound = self.found.aims[0]
            low = bound
        self._bound(0, low)
        return self.found.aims is not None

    def _aim(self, aim: str) -> None:
        position = AIMS.index(aim)
        aims = self.found.aims
        assert aims is not None
        ends = ends_for_lateness(self.problem, aims[0])
        low = aim_bound(self.problem, self.request.windows, aim, aims[0])
        size = len(self.problem.tasks) * len(self.problem.days)
        if aim in ("sessions", "pairs") and aims[position] > low and size <= RELAXED_SIZE:
            low = self._guess(aim, ends, low)
            aims = self.found.aims
            assert aims is not None
        if aims[position] > low:
            model = self._limited(ends, aims[:position])
            bound = self._minimise(model, aim, low)
            low = aims[position] if bound is None else bound
        self._bound(position, low)

    def _limited(self, ends: list[int], earlier: tuple[int, ...]) -> Any:
        """Return the model with the aims settled before as limits."""
        model = self._model(ends)
        if not model.possible:
            raise RuntimeError("windows exclude the answer that is known")
        for aim, most in zip(AIMS, earlier, strict=False):
            model.model.add(model.aims[aim] <= most)
        return model

    def _guess(self, aim: str, ends: list[int], low: int) -> int:
        """Let a relaxation raise the bound and name days to try; return the bound."""
        from rootroom.scheduling.relaxation import find_days

        aims = self.found.aims
        assert aims is not None
        position = AIMS.index(aim)
        nodes = int(self.request.work * PAIR_NODES_PER_UNIT) if aim == "pairs" else 0
        while low < aims[position]:
            found = find_days(
                self.problem,
                self.request.windows,
                ends,
                low if aim == "sessions" else aims[1],
                seconds=(self.end - monotonic()) / 2,
                pair_nodes=nodes,
            )
            stages = (*self.found.stages, f"{aim} by HiGHS")
            self._keep(stages=stages, clock=self.found.clock or found.clock)
            if found.none and aim == "sessions":
                low += 1
                continue
            if aim == "pairs":
                low = max(low, found.pair_bound)
            if found.days is not None and (aim == "sessions" or len(found.pairs) < aims[2]):
                model = self._limited(ends, aims[:position])
                for day, works in enumerate(model.works):
                    model.model.add(works == int(day in found.days))
                    if aim == "pairs":
                        for mix, is_set in enumerate(model.sets[day]):
                            model.model.add(is_set <= int((day, mix) in found.pairs))
                self._minimise(model, aim, low, share=0.3)
            break
        return low

    def _minimise(self, model: Any, aim: str, low: int, share: float = 1.0) -> int | None:
        """Look for better than is known; return the bound, None where nothing is better.

        Values of the aim are the problem's own (dates for `last`).
        """
        from ortools.sat.python import cp_model

        if not model.possible:
            return None
        position = AIMS.index(aim)
        shift = model.origin if aim == "last" else 0
        expression = model.aims[aim]
        model.model.add(expression >= low - shift)
        if self.found.aims is not None:
            model.model.add(expression <= self.found.aims[position] - 1 - shift)
        if self.found.aims is None or self.found.aims[position] - 1 > low:
            model.model.minimize(expression)
        solver = cp_model.CpSolver()
        work = (self.request.work * SHARES[aim] + self.spare) * share
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = 1
        solver.parameters.max_deterministic_time = work
        left = max(0.01, self.end - monotonic())
        solver.parameters.max_time_in_seconds = left
        status = solver.solve(model.model, _Watcher(self, model))
        if share == 1.0:
            self.spare = max(0.0, work - solver.response_proto.deterministic_time)
        late = solver.wall_time >= left and status != cp_model.OPTIMAL
        stages = (*self.found.stages, f"{aim} by CP-SAT")
        self._keep(stages=stages, clock=self.found.clock or late)
        if status == cp_model.INFEASIBLE:
            return None
        if status == cp_model.OPTIMAL:
            assert self.found.aims is not None
            return self.found.aims[position]
        if model.model.has_objective():
            return max(low, int(solver.best_objective_bound + 0.999999) + shift)
        return low


def _Watcher(search: _Search, model: Any) -> Any:
    """Return the solver's callback that hands every solution over."""
    from ortools.sat.python import cp_model

    class Watcher(cp_model.CpSolverSolutionCallback):
        def on_solution_callback(self) -> None:
            search._accept(*model.read(self))

    return Watcher()
