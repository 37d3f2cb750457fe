"""What the README promises is run."""

from __future__ import annotations

import shlex
import subprocess
import sys
from importlib.metadata import version
from pathlib import Path

import pytest

import rootroom as rootroom_package
from tests.bench.pictures import (
    PHONE,
    PICTURES,
    readme_season,
    season_page,
    season_text,
    size,
    text_of,
)
from tests.support.readme import README, block, marks

ROOT = README.parent
RENEW = "look at the page, then run `python tests/bench/pictures.py`"


def rootroom(*arguments: str, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Run the program as a user would."""
    return subprocess.run(
        [sys.executable, "-m", "rootroom", *arguments],
        capture_output=True,
        check=False,
        cwd=cwd,
        encoding="utf-8",
    )


def command_of(mark: str) -> list[str]:
    """Return the rootroom command inside a marked block, as arguments."""
    words = shlex.split(block(mark).strip().replace("&&", " "))
    return words[words.index("rootroom") + 1 :]


def test_opening_paragraph_is_the_job() -> None:
    """The README opens with what the program is for."""
    assert README.read_text("utf-8").startswith("# rootroom\n\nrootroom plans a season")


@pytest.mark.parametrize("mark", ["season", "season-uv"])
def test_first_command_writes_the_sheets(mark: str, tmp_path: Path) -> None:
    """The first command prints all stages and writes the checklists."""
    arguments = command_of(mark)
    done = rootroom(*arguments[:-1], str(tmp_path / "season"), cwd=ROOT)

    assert ("", 0) == (done.stderr, done.returncode)
    assert all(head in done.stdout for head in ("plan on", "Shopping:", "sessions"))
    assert list((tmp_path / "season").rglob("*.pdf"))


def test_forms_of_one_command_agree() -> None:
    """The uv form runs the same thing as the pip form."""
    assert command_of("season") == command_of("season-uv")


def test_quick_question_prints_what_is_shown() -> None:
    """The answer in the README is the answer of the program, to the letter."""
    done = rootroom(*command_of("fill"))

    assert block("fill output") == done.stdout


def test_script_runs(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """The Python script prints what the command says, and its stages give the same plan."""
    monkeypatch.chdir(ROOT)
    names: dict[str, object] = {}
    exec(block("python"), names)

    assert capsys.readouterr().out.startswith("6 sessions, ")
    assert rootroom_package.__version__ == version("rootroom")
    assert all(names[stage].status == "optimal" for stage in ("shopping", "schedule"))


def test_small_plan_passes(tmp_path: Path) -> None:
    """The README's plan is fine and makes a season."""
    path = tmp_path / "plan.toml"
    path.write_text(block("plan"), "utf-8")
    done = rootroom("season", str(path))

    assert ("", 0) == (done.stderr, done.returncode)


def test_shown_mistake_is_what_is_printed(tmp_path: Path) -> None:
    """The README's mistake is printed as it stands there."""
    path = tmp_path / "plan.toml"
    path.write_text(
        "format = 1\n"
        "mixes.allround.parts = { peat = 4, perlite = 2 }\n"
        "plants = [\n"
        '  { name = "Tomato", count = 24, now = "50-cell tray", to = "4 in sqare pot", '
        'mix = "allround" },\n'
        "]\n"
        "[garden]\nlast_frost = 2027-04-12\n",
        "utf-8",
    )
    done = rootroom("check", "plan.toml", cwd=tmp_path)

    assert (block("mistake"), 1) == (done.stderr, done.returncode)


def test_readme_stays_a_newcomers_page() -> None:
    """What is looked up lies in the program; the README is read in one go."""
    text = README.read_text("utf-8")

    assert 200 >= len(text.splitlines())
    assert all(command in text for command in ("rootroom keys", "rootroom explain"))


def test_its_pictures_are_those_that_the_command_makes() -> None:
    """Both are there and shown; the season page made anew says and is formed what is kept."""
    text = README.read_text("utf-8")
    kept = {name: path.read_bytes() for name, path in PICTURES.items()}

    assert all(f'src="plans/{name}.png"' in text for name in kept)
    assert all(png.startswith(b"\x89PNG") and len(png) < 300_000 for png in kept.values())
    season = readme_season()
    assert text_of("season-page").read_text("utf-8") == season_text(season), RENEW
    assert size(season_page(season)) == size(kept["season-page"])
    assert (PHONE["width"], PHONE["height"]) == size(kept["phone-page"])


def test_every_marked_block_is_used() -> None:
    """No block of the README stands there untested."""
    tested = {
        "season", "season-uv", "test", "test-uv", "plan", "mistake", "fill", "fill output", "python"
    }  # fmt: skip

    assert tested == set(marks())


@pytest.mark.parametrize("path", sorted((ROOT / "plans").glob("*.toml")), ids=lambda p: p.stem)
def test_every_plan_makes_a_season(path: Path) -> None:
    """Each plan in plans/ is read without a word and makes a season, every good in it supplied."""
    done = rootroom("season", str(path))

    assert ("", 0) == (done.stderr, done.returncode)
    assert "unpriced" not in done.stdout.lower()
