"""Imports go one way, and nothing heavy is loaded before it is needed."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Collection
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

SOURCE = Path(__file__).parents[2] / "src" / "rootroom"

# What each part may import: itself and what stands above it on its own line of descent.
ABOVE = {
    "units": {"problems", "counts", "visible"},
    "problems": {"visible"},
    "counts": {"tolerances"},
    "tolerances": set(),
    "visible": set(),
    "catalogue": {"units", "problems", "counts"},
    "formulas": set(),
    "containers": {"catalogue"},
    "plan": {"child_process", "containers", "formulas"},
    "demand": {"plan"},
    "mixing": {"plan", "ordering"},
    "pot": {"plan"},
    "child_process": set(),
    "ordering": set(),
    "optimize": {"counts"},
    "buying": {"demand", "mixing", "optimize"},
    "scheduling": {"child_process", "counts", "optimize"},
    "sessions": {"demand", "mixing", "pot", "scheduling"},
    "record": {"plan"},
    "season": {"buying", "sessions", "record"},
    "comparing": {"season"},
    "replanning": {"season"},
    "sheets": {"comparing", "replanning", "units"},
    "page": {"sheets"},
    "cli": {"season", "sheets", "page"},
}


def allowed(part: str) -> set[str]:
    """Return everything that a part may import, by following the table upwards."""
    found = {part}
    for above in ABOVE[part]:
        found |= allowed(above)
    return found


def part_of(module: str) -> str | None:
    """Return the part of rootroom that a module name belongs to."""
    names = module.split(".")
    return names[1] if names[0] == "rootroom" and len(names) > 1 else None


def imported(path: Path) -> set[str]:
    """Return the parts of rootroom that a file imports anywhere, also inside functions."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found |= {part for name in node.names if (part := part_of(name.name))}
        elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
            names = [node.module, *(f"{node.module}.{name.name}" for name in node.names)]
            found |= {part for name in names if (part := part_of(name)) in ABOVE}
    return found


def sources(part: str) -> list[Path]:
    """Return the files of a part."""
    folder = SOURCE / part
    return sorted(folder.rglob("*.py")) if folder.is_dir() else [SOURCE / f"{part}.py"]


@pytest.mark.parametrize("part", ABOVE)
def test_imports_point_one_way(part: str) -> None:
    """A part imports only itself and what stands above it."""
    wrong = {
        f"{path.relative_to(SOURCE)} imports {other}"
        for path in sources(part)
        for other in imported(path) - allowed(part)
    }

    assert set() == wrong


def test_every_part_has_its_place() -> None:
    """No folder or module stands outside the table of imports."""
    found = (path for path in SOURCE.iterdir() if path.is_dir() or path.suffix == ".py")
    parts = {path.stem for path in found if not path.name.startswith(".")}

    assert set(ABOVE) == parts - {"__init__", "__main__", "__pycache__"}


def test_a_wrong_arrow_is_seen(tmp_path: Path) -> None:
    """The check finds an import that points the wrong way, also one inside a function."""
    path = tmp_path / "wrong.py"
    path.write_text("def shop():\n    from rootroom.sessions import dated\n")

    assert {"sessions"} == imported(path) - allowed("buying")


def modules_imported(path: Path, known: Collection[str]) -> set[str]:
    """Return the modules of rootroom that a file imports, also in functions and for types only."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found |= {name.name for name in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{name.name}" for name in node.names)}
    return found & set(known)


def test_no_module_imports_itself_by_way_of_others() -> None:
    """Modules of one part, too, import one way, be it for their types only."""
    paths = {
        ".".join(("rootroom", *path.relative_to(SOURCE).with_suffix("").parts)): path
        for path in SOURCE.rglob("*.py")
        if path.name != "__init__.py"
    }
    graph = {name: modules_imported(path, paths) for name, path in paths.items()}

    TopologicalSorter(graph).prepare()


def test_a_circle_of_types_is_seen(tmp_path: Path) -> None:
    """The check finds an import that only type checking makes."""
    path = tmp_path / "shop.py"
    path.write_text("if TYPE_CHECKING:\n    from rootroom.buying import shop\n")

    assert {"rootroom.buying.shop"} == modules_imported(path, {"rootroom.buying.shop"})


def loaded_after(code: str) -> set[str]:
    """Return the top-level modules that a fresh process has loaded after running `code`."""
    script = f"import sys\n{code}\nprint(*sorted({{m.split('.')[0] for m in sys.modules}}))"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, check=True)
    return set(done.stdout.decode().splitlines()[-1].split())


HEAVY = {
    "attrs", "highspy", "icalendar", "jinja2", "networkx", "numpy", "ortools", "pint",
    "pydantic", "rich", "tabulate", "typst", "babel", "bottle", "python_calamine", "waitress",
}  # fmt: skip


def test_help_loads_nothing_heavy() -> None:
    """`rootroom --help` loads no solver, no pint, no numpy and no table library."""
    help_screen = (
        "sys.argv = ['rootroom', '--help']\n"
        "from rootroom.cli import main\n"
        "try:\n    main()\nexcept SystemExit:\n    pass"
    )

    assert set() == loaded_after(help_screen) & HEAVY


@pytest.mark.parametrize("plan", sorted((SOURCE.parents[1] / "plans").glob("*.toml")))
def test_check_and_demand_load_no_more_than_they_use(plan: Path) -> None:
    """`check` reads a plan with attrs alone, `demand` adds numpy and the library for tables."""
    run = (
        f"sys.argv = ['rootroom', '{{command}}', {str(plan)!r}]\n"
        "from rootroom.cli import main\n"
        "try:\n    main()\nexcept SystemExit:\n    pass"
    )

    assert {"attrs"} == loaded_after(run.format(command="check")) & HEAVY
    assert {"attrs", "numpy", "tabulate"} == loaded_after(run.format(command="demand")) & HEAVY


def test_import_rootroom_loads_nothing_heavy() -> None:
    """`import rootroom` loads nothing but itself."""
    assert set() == loaded_after("import rootroom") & (HEAVY | {"typer"})


def test_computing_stages_load_no_edge_library() -> None:
    """The computing stages load neither typer nor tabulate, and pint only when a unit is read."""
    stages = (
        "import rootroom.demand.find, rootroom.mixing.blend, rootroom.buying.shop, "
        "rootroom.sessions.schedule, rootroom.pot.water"
    )

    assert set() == loaded_after(stages) & {"typer", "tabulate", "pint"}
