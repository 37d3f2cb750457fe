"""Wrong code on purpose: which changes of one operator, comparison or number do the tests notice?

    python tests/bench/mutants.py demand --sample 40 --seed 1
    python tests/bench/mutants.py data

A change that no test notices is printed as a survivor: it changes nothing that can be seen, or a
test is missing. `data` changes shipped figures instead (a ball, packing, minutes, a class's band, a
retention figure). A change within a function runs the tests that call it, the quickest first; any
other runs all tests of the package. A test that takes much longer than before notices "by time",
and all that it started ends with it. The tree is copied, so that nothing of it is ever changed.
"""

from __future__ import annotations

import argparse
import ast
import importlib
import json
import multiprocessing
import os
import random
import re
import shutil
import signal
import sys
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import Phase, settings

ROOT = Path(__file__).parents[2]
SESSIONS = ["unit/sessions", "worked/test_sessions_by_hand.py", "property/test_sessions.py"]
TESTS = {
    "demand": [
        *("unit/demand", "worked/test_demand_by_hand.py", "worked/test_aftercare_by_hand.py"),
        *("property/test_demand_laws.py", "pinned/test_draws.py"),
    ],
    "mixing": ["unit/mixing", "property/test_mixing_balance.py"],
    "pot": [
        *("unit/pot", "unit/sheets/test_pot.py", "worked/test_pot.py", "property/test_pot.py"),
        "published",
    ],
    "record": ["unit/record", "property/test_record.py", "property/test_record_learning.py"],
    "buying": [
        *("unit/buying", "worked/test_buying.py", "worked/test_stages_by_hand.py"),
        *("property/test_buying.py", "unit/sheets/test_buying.py", "unit/season"),
    ],
    "sessions": [
        *(*SESSIONS, "worked/test_autumn_by_hand.py", "unit/sheets/test_sessions_text.py"),
        *("unit/sheets/test_rain_text.py", "unit/sheets/test_checklists.py", "unit/season"),
    ],
    "scheduling": SESSIONS,
    "data": ["pinned/test_shipped_figures.py"],
}
SWAPS: dict[type, type] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult, ast.Mod: ast.FloorDiv,
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq, ast.NotEq: ast.Eq, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.And: ast.Or, ast.Or: ast.And,
}  # fmt: skip
FIGURES = ("factors", "minutes", "containers", "curves")
FIGURE = re.compile(r"(?<![\w\"#.-])\d+(?:\.\d+)?(?![\w\"-])")
LONGEST_S = 1800
CRASHED = 99
IMPORTED = "ERROR collecting"  # what pytest says where a module cannot be imported
# Loaded once: each run of the tests is a fork that finds them there.
SLOW_TO_LOAD = ("scipy.stats", "networkx", "pint", "highspy", "babel.numbers", "jinja2", "typer")
SLOW_TO_LOAD += ("ortools.sat.python.cp_model", "hypothesis.strategies")
Timed = dict[str, float]
Function = tuple[str, int]


class Limits:
    """A pytest plugin that ends the process where a test takes too long, and shrinks no example."""

    def __init__(self, usual: Timed) -> None:
        """Keep the usual seconds of each test."""
        self.usual = usual

    def pytest_collection(self) -> None:
        """Let failing examples stand as they are found, before any test is imported."""
        found = (Phase.explicit, Phase.reuse, Phase.generate)
        settings.register_profile("as found", settings.get_profile("fixed"), phases=found)
        settings.load_profile("as found")

    def pytest_runtest_logstart(self, nodeid: str) -> None:
        """Let the system end this process when the time is up, also within foreign code."""
        signal.alarm(30 + 6 * int(self.usual.get(nodeid, LONGEST_S)))


def places(tree: ast.AST) -> Iterator[tuple[ast.AST, str, object]]:
    """Yield what can be changed: the node, its field, and the new value."""
    for node in ast.walk(tree):
        if isinstance(node, ast.BinOp | ast.BoolOp) and type(node.op) in SWAPS:
            yield node, "op", SWAPS[type(node.op)]()
        elif isinstance(node, ast.Compare) and type(node.ops[0]) in SWAPS:
            yield node, "ops", [SWAPS[type(node.ops[0])](), *node.ops[1:]]
        elif isinstance(node, ast.Constant) and type(node.value) in (int, float):
            yield node, "value", node.value + 1
        elif isinstance(node, ast.Name) and node.id in ("min", "max"):
            yield node, "id", "max" if node.id == "min" else "min"
        elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
            yield node, "op", ast.UAdd()


def mutants(package: str) -> list[tuple[Path, int, str, str]]:
    """Return each change as file, line, words and the new text of the file."""
    found = []
    for path in sorted((ROOT / "src/rootroom" / package).rglob("*.py")):
        tree = ast.parse(path.read_text("utf-8"))
        for node, key, value in places(tree):
            old, before = getattr(node, key), ast.unparse(node)
            setattr(node, key, value)
            after, text = ast.unparse(node), ast.unparse(tree)
            setattr(node, key, old)
            line = getattr(node, "lineno", 0)
            found.append((path, line, f"{before}  ->  {after}", text))
    return found


def changed_figures() -> list[tuple[Path, int, str, str]]:
    """Return shipped data with the figures of one line raised by a tenth."""
    found = []
    for name in FIGURES:
        path = ROOT / f"src/rootroom/catalogue/data/{name}.toml"
        lines = path.read_text("utf-8").splitlines(keepends=True)
        for number, line in enumerate(lines):
            key, equals, value = line.partition("=")
            if not equals or not value.strip().startswith(("[", "{", *"0123456789")):
                continue
            raised = FIGURE.sub(lambda found: f"{float(found[0]) * 1.1:.6g}", value)
            words = f"{line.strip()[:60]}  ->  {raised.strip()[:50]}"
            text = "".join([*lines[:number], key + equals + raised, *lines[number + 1 :]])
            if raised != value:
                found.append((path, number + 1, words, text))
    return found


def functions_at(path: Path, line: int) -> set[int]:
    """Return the first lines of the functions that hold the line; none for a line of the module."""
    return {
        min([node.lineno, *(of.lineno for of in getattr(node, "decorator_list", []))])
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.FunctionDef | ast.Lambda)
        and node.body
        and node.lineno <= line <= (node.end_lineno or line)
    }


def answer_of(tree: Path, arguments: list[str], usual: Timed, known: dict[str, str]) -> None:
    """Run pytest in this forked process and end it with pytest's answer."""
    code = CRASHED
    try:
        os.setsid()
        signal.signal(signal.SIGTERM, signal.SIG_DFL)
        os.chdir(tree)
        os.environ.update(known, PYTHONPATH=f"{tree / 'src'}{os.pathsep}{tree}")
        sys.path[:0] = [str(tree / "src"), str(tree)]
        sys.dont_write_bytecode = True
        with open(tree / "answer.txt", "w", encoding="utf-8") as told:
            os.dup2(told.fileno(), 1)
            os.dup2(told.fileno(), 2)
            code = int(pytest.main(arguments, [Limits(usual)]))
    finally:
        os._exit(code)


def run(usual: Timed, tree: Path, *options: str, **known: str) -> int | None:
    """Return pytest's answer to these tests in the copied tree, or none if it takes too long."""
    names = tree / "tests.names"
    names.write_text("\n".join(usual), encoding="utf-8")
    quiet = ["-q", "-x", "-W", "ignore::pytest.PytestAssertRewriteWarning"]
    asked = (tree, [*quiet, *options, f"@{names}"], usual, known)
    child = multiprocessing.get_context("fork").Process(target=answer_of, args=asked)
    child.start()
    assert child.pid
    try:
        child.join(60 + 3 * sum(usual.values()))
        return None if child.exitcode in (None, -signal.SIGALRM) else child.exitcode
    finally:
        with suppress(ProcessLookupError):
            os.killpg(child.pid, signal.SIGKILL)
        child.join()


def calls_of(package: str, tests: list[str], tree: Path) -> tuple[Timed, dict[Function, Timed]]:
    """Return all tests and those that call each function, the quickest first, with seconds."""
    answer = tree / "calls.json"
    plugin = {"CALLS_OF": str(tree / "src/rootroom" / package), "CALLS_TO": str(answer)}
    unknown = dict.fromkeys(tests, LONGEST_S)
    if run(unknown, tree, "-p", "tests.bench.calls", **plugin) != pytest.ExitCode.OK:
        sys.exit(f"nothing changed, and the tests fail: {(tree / 'answer.txt').read_text()}")
    usual: Timed = {}
    callers: dict[Function, Timed] = {}
    noted = json.loads(answer.read_text("utf-8"))
    for test, (seconds, entered) in sorted(noted.items(), key=lambda each: each[1][0]):
        usual[test] = seconds
        for file, line in entered:
            callers.setdefault((str(Path(file).relative_to(tree)), line), {})[test] = seconds
    return usual, callers


def noticed(path: Path, text: str, near: Timed, tree: Path) -> str:
    """Return how the tests notice the text in the file; nothing where they pass."""
    target = tree / path.relative_to(ROOT)
    kept = target.read_text("utf-8")
    target.write_text(text, encoding="utf-8")
    answer = run(near, tree)
    target.write_text(kept, encoding="utf-8")
    told = (tree / "answer.txt").read_text("utf-8")
    if answer == CRASHED or (answer == pytest.ExitCode.USAGE_ERROR and IMPORTED not in told):
        sys.exit(f"{path}: {told}")
    return "" if answer == pytest.ExitCode.OK else "by time" if answer is None else "by a test"


def main() -> None:
    """Change, run, count."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("package", choices=sorted(TESTS))
    parser.add_argument("--sample", type=int, default=40)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--at", nargs="+", help="only these of the sample, as pot/water.py:236")
    asked = parser.parse_args()
    signal.signal(signal.SIGTERM, lambda *_: sys.exit("stopped"))
    every = changed_figures() if asked.package == "data" else mutants(asked.package)
    chosen = random.Random(asked.seed).sample(every, min(asked.sample, len(every)))
    if asked.at:
        chosen = [each for each in chosen if f"{each[0]}:{each[1]}".endswith(tuple(asked.at))]
    for name in SLOW_TO_LOAD:
        importlib.import_module(name)
    with tempfile.TemporaryDirectory() as folder:
        tree = Path(folder)
        for name in ("src", "tests", "plans"):
            shutil.copytree(ROOT / name, tree / name)
        for name in ("pyproject.toml", "README.md", "DEVELOPERS.md"):
            shutil.copy(ROOT / name, tree)
        tests = [f"tests/{test}" for test in TESTS[asked.package]]
        usual, callers = calls_of(asked.package, tests, tree)
        left = late = 0
        for path, line, words, text in sorted(chosen):
            name = str(path.relative_to(ROOT))
            near = [callers.get((name, first), {}) for first in functions_at(path, line)]
            # The innermost function has the fewest callers.
            how = noticed(path, text, min(near, key=len, default={}) or usual, tree)
            left += not how
            late += how == "by time"
            if how != "by a test":
                print(f"{how or 'survived'}: {name}:{line}: {words}", flush=True)
    print(
        f"{asked.package}: {len(chosen) - left} of {len(chosen)} killed ({late} by time), "
        f"of {len(every)} possible"
    )


if __name__ == "__main__":
    main()
