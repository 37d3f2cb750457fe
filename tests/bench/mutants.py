"""Wrong code on purpose: which changes of one operator, comparison or number do the tests notice?

    python tests/bench/mutants.py demand --sample 40 --seed 1
    python tests/bench/mutants.py data

A change that no test notices is printed as a survivor: it changes nothing that can be seen, or a
test is missing. `data` changes shipped figures instead (a ball, packing, minutes, a class's band, a
retention figure). The tree is copied, so that nothing of it is ever changed.
"""

from __future__ import annotations

import argparse
import ast
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]
TESTS = {
    "demand": ["unit/demand", "worked/test_demand_by_hand.py"],
    "mixing": ["unit/mixing", "property/test_mixing_balance.py"],
    "pot": ["unit/pot", "worked/test_pot.py", "published"],
    "record": ["unit/record"],
    "buying": ["unit/buying", "worked/test_buying.py"],
    "sessions": [
        *(f"unit/sessions/test_{of}.py" for of in ("parts", "building", "left_out", "why")),
        "worked/test_sessions_by_hand.py",
    ],
    "scheduling": ["unit/sessions", "worked/test_sessions_by_hand.py"],
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
LONGEST_S = 900


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


def survives(path: Path, text: str, tests: list[str], tree: Path) -> bool:
    """Return whether the tests pass with the text in place of the file."""
    target = tree / path.relative_to(ROOT)
    kept = target.read_text("utf-8")
    target.write_text(text, encoding="utf-8")
    command = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", *tests]
    try:
        ran = subprocess.run(
            command,
            cwd=tree,
            env={**os.environ, "PYTHONPATH": f"{tree / 'src'}{os.pathsep}{tree}"},
            capture_output=True,
            timeout=LONGEST_S,
        )
        return ran.returncode == 0
    except subprocess.TimeoutExpired:
        return False
    finally:
        target.write_text(kept, encoding="utf-8")


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
    with tempfile.TemporaryDirectory() as folder:
        tree = Path(folder)
        for name in ("src", "tests", "plans"):
            shutil.copytree(ROOT / name, tree / name)
        for name in ("pyproject.toml", "README.md", "DEVELOPERS.md"):
            shutil.copy(ROOT / name, tree)
        path = chosen[0][0]
        if not survives(path, path.read_text("utf-8"), tests, tree):
            sys.exit(f"nothing changed, and the tests fail or take over {LONGEST_S} s")
        left = 0
        for path, line, words, text in sorted(chosen):
            if survives(path, text, tests, tree):
                left += 1
                print(f"survived: {path.relative_to(ROOT)}:{line}: {words}", flush=True)
    print(
        f"{asked.package}: {len(chosen) - left} of {len(chosen)} killed, of {len(every)} possible"
    )


if __name__ == "__main__":
    main()
