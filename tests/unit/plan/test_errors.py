"""The whole text of every mistake that a plan can have.

The cases are data, in `errors/`: a plan (and the rows beside it), and what is printed.
"""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from rootroom.plan.reader import read_plan
from rootroom.sheets.problems import render_problems

HERE = Path(__file__).parent
CASES = [
    pytest.param(case, id=f"{file.stem}/{case['name']}")
    for file in sorted((HERE / "errors").glob("*.toml"))
    for case in tomllib.loads(file.read_text(encoding="utf-8"))["case"]
]
CODES = tomllib.loads(
    (Path(read_plan.__code__.co_filename).parent / "data" / "codes.toml").read_text("utf-8")
)["codes"]


def problems_of(case, folder):
    """Return the problems of a case whose files are written to a folder."""
    (folder / "plan.toml").write_text(case["plan"], encoding="utf-8")
    if "rows" in case:
        (folder / "plants.csv").write_text(case["rows"], encoding="utf-8", newline="")
    return read_plan(folder / "plan.toml")


@pytest.mark.parametrize("case", CASES)
def test_error_text(case, tmp_path):
    """A plan with mistakes is answered by this text, and by no plan if one is an error."""
    plan, problems = problems_of(case, tmp_path)

    text = render_problems(problems).replace(f"{tmp_path}/", "")
    assert case["text"] == text
    assert (plan is None) == any(problem.severity == "error" for problem in problems)


@pytest.mark.parametrize("case", CASES)
def test_error_places_lie_inside_the_file(case, tmp_path):
    """Every place that is named is a place of the file."""
    _, problems = problems_of(case, tmp_path)

    places = [p.where for p in problems] + [w for p in problems for w, _ in p.related]
    for where in places:
        lines = Path(where.file).read_text(encoding="utf-8").split("\n")
        assert 1 <= where.line <= len(lines)
        assert 1 <= where.start <= len(lines[where.line - 1]) + 1
        assert where.start < where.end <= len(lines[where.line - 1]) + 2


def test_error_codes_have_a_case_each():
    """Every code that is listed is shown by a case or by a test of files that are no plan."""
    texts = "".join(case.values[0]["text"] for case in CASES)
    texts += "".join((HERE / f"test_{of}.py").read_text("utf-8") for of in ("files", "rows"))

    assert [] == [code for code in CODES if f"[{code}]" not in texts]


def test_error_codes_are_all_listed():
    """Every code that a case shows is listed."""
    texts = "".join(case.values[0]["text"] for case in CASES)
    shown = set(re.findall(r"(?:error|warning): .* \[([a-z0-9-]+)\]$", texts, re.MULTILINE))

    assert set() == shown - set(CODES)


def test_error_messages_keep_to_the_style():
    """A message begins in lower case, ends without a full stop, and patronises nobody."""
    texts = "".join(case.values[0]["text"] for case in CASES)
    messages = re.findall(r"(?:error|warning): (.*) \[[a-z0-9-]+\]$", texts, re.MULTILINE)

    assert messages
    for message in messages:
        assert not message.endswith(".")
        assert not message[0].isupper()
        assert not re.search(r"\b(illegal|please|simply|just)\b", message)
