"""Wrong code on purpose: which changes of one operator, comparison or number do the tests notice?

    python tests/bench/mutants.py demand --sample 40 --seed 1
    python tests/bench/mutants.py data

A change that no test notices is printed as a survivor: it changes nothing that can be seen, or a
test is missing. `data` changes shipped figures instead (a ball, packing, minutes, a class's band, a
retention figure). A change within a function runs the tests that call it, the quickest first; any
other runs all tests of the package. The tree is copied, so that nothing of it is ever changed.
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
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

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
        "property/test_buying.py",
    ],
    "sessions": [*SESSIONS, "worked/test_autumn_by_hand.py"],
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
# Loaded once: each run of the tests is a fork that finds them there.
SLOW_TO_LOAD = ("scipy.stats", "networkx", "pint", "highspy", "babel.numbers", "jinja2", "typer")
SLOW_TO_LOAD += ("ortools.sat.python.cp_model", "hypothesis.strategies")
Timed = dict[str, float]


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


def answer_of(tree: Path, arguments: list[str], known: dict[str, str]) -> None:
    """Run pytest in this forked process and end it with pytest's answer."""
    code = CRASHED
    try:
        os.chdir(tree)
        os.environ.update(known, PYTHONPATH=f"{tree / 'src'}{os.pathsep}{tree}")
        sys.path[:0] = [str(tree / "src"), str(tree)]
        sys.dont_write_bytecode = True
        with open(tree / "answer.txt", "w", encoding="utf-8") as told:
            os.dup2(told.fileno(), 1)
            os.dup2(told.fileno(), 2)
            code = int(pytest.main(arguments))
    finally:
        os._exit(code)


def run(tests: list[str], tree: Path, longest_s: float, *options: str, **known: str) -> int | None:
    """Return pytest's answer in the copied tree, or none when it takes too long."""
    names = tree / "tests.names"
    names.write_text("\n".join(tests), encoding="utf-8")
    quiet = ["-q", "-x", "-W", "ignore::pytest.PytestAssertRewriteWarning"]
    asked = (tree, [*quiet, *options, f"@{names}"], known)
    child = multiprocessing.get_context("fork").Process(target=answer_of, args=asked)
    child.start()
    child.join(longest_s)
    if child.is_alive():
        child.kill()
        child.join()
        return None
    return child.exitcode


def calls_of(package: str, tests: list[str], tree: Path) -> dict[tuple[str, int], Timed]:
    """Return the tests that call each function, the quickest first, with their seconds."""
    answer = tree / "calls.json"
    plugin = {"CALLS_OF": str(tree / "src/rootroom" / package), "CALLS_TO": str(answer)}
    if run(tests, tree, LONGEST_S, "-p", "tests.bench.calls", **plugin) != pytest.ExitCode.OK:
        sys.exit(f"nothing changed, and the tests fail: {(tree / 'answer.txt').read_text()}")
    found: dict[tuple[str, int], Timed] = {}
    noted = json.loads(answer.read_text("utf-8"))
    for test, (seconds, entered) in sorted(noted.items(), key=lambda each: each[1][0]):
        for file, line in entered:
            found.setdefault((str(Path(file).relative_to(tree)), line), {})[test] = seconds
    return found


def survives(path: Path, text: str, near: Timed, tests: list[str], tree: Path) -> bool:
    """Return whether the near tests, or all where none is near, pass with the text in the file."""
    target = tree / path.relative_to(ROOT)
    kept = target.read_text("utf-8")
    target.write_text(text, encoding="utf-8")
    longest_s = 60 + 10 * sum(near.values()) if near else LONGEST_S
    answer = run([*near] or tests, tree, longest_s)
    target.write_text(kept, encoding="utf-8")
    if answer in (CRASHED, pytest.ExitCode.USAGE_ERROR):
        sys.exit(f"{path}: {(tree / 'answer.txt').read_text('utf-8')}")
    return answer == pytest.ExitCode.OK


def main() -> None:
    """Change, run, count."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("package", choices=sorted(TESTS))
    parser.add_argument("--sample", type=int, default=40)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    tests = [f"tests/{test}" for test in TESTS[asked.package]]
    every = changed_figures() if asked.package == "data" else mutants(asked.package)
    chosen = random.Random(asked.seed).sample(every, min(asked.sample, len(every)))
    for name in SLOW_TO_LOAD:
        importlib.import_module(name)
    with tempfile.TemporaryDirectory() as folder:
        tree = Path(folder)
        for name in ("src", "tests", "plans"):
            shutil.copytree(ROOT / name, tree / name)
        for name in ("pyproject.toml", "README.md", "DEVELOPERS.md"):
            shutil.copy(ROOT / name, tree)
        called = calls_of(asked.package, tests, tree)
        left = 0
        for path, line, words, text in sorted(chosen):
            name = str(path.relative_to(ROOT))
            near = [called.get((name, first), {}) for first in functions_at(path, line)]
            # The innermost function has the fewest callers.
            if survives(path, text, min(near, key=len, default={}), tests, tree):
                left += 1
                print(f"survived: {name}:{line}: {words}", flush=True)
    print(
        f"{asked.package}: {len(chosen) - left} of {len(chosen)} killed, of {len(every)} possible"
    )


if __name__ == "__main__":
    main()
