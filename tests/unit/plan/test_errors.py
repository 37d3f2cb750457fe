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
    texts += "".join(
        (HERE / f"test_{of}.py").read_text("utf-8") for of in ("files", "rows", "limits")
    )

    assert [] == [code for code in CODES if f"[{code}]" not in texts and f'"{code}"' not in texts]


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


def _applied(case, problem, folder):
    """Return the plan's (and rows') text with a hint done as it says; None if it is in words.

    A hint that names one thing to write in place of what is marked can be done by a machine: the
    marked text is replaced by it, in quotes where it stood in quotes.
    """
    where, hint = problem.where, problem.hint
    name = Path(where.file).name
    text = case["plan" if name == "plan.toml" else "rows"]
    lines = text.split("\n")
    line = lines[where.line - 1]
    start, end = where.start - 1, where.end - 1
    marked = line[start:end]
    found = re.fullmatch(r"(?:did you mean|write) `([^`]+)`\??(?:[;,:] .*| here is .*)?", hint)
    if found is None or "..." in found[1]:
        return None
    right = found[1]
    named = [words for words in re.findall("`([^`]*)`", problem.message) if words in marked]
    if hint.startswith("did you mean") and named:
        right = marked.replace(min(named, key=len), right)
    elif problem.code.endswith("-container") and marked[:1] == '"':
        right = f'"{right}"'
    if right.startswith(("[", "{ low")) or (" = " in right and "=" not in marked):
        return None  # an example, or a whole key: nothing that goes in place of what is marked
    lines[where.line - 1] = line[:start] + right + line[end:]
    return name, "\n".join(lines)


def test_hints_lead_to_a_better_plan(tmp_path):
    """Each hint that a machine can do is done; its mistake goes, and no other comes up for it."""
    done, worse = 0, []
    for number, param in enumerate(CASES):
        case = param.values[0]
        folder = tmp_path / str(number)
        folder.mkdir()
        _, problems = problems_of(case, folder)
        for problem in problems:
            mended = _applied(case, problem, folder)
            if mended is None:
                continue
            name, text = mended
            changed = {**case, ("plan" if name == "plan.toml" else "rows"): text}
            _, after = problems_of(changed, folder)
            done += 1
            if len(after) >= len(problems):
                worse.append((param.id, problem.code, problem.hint, [p.message for p in after]))
    assert [] == worse, "\n".join(map(str, worse))
    assert done >= 50
