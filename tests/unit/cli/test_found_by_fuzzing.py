"""What the fuzzer found, a test each; the trials are run on the kept corpus as well."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.support.trials import TRIALS

CORPUS = Path(__file__).parents[2] / "fuzz_corpus"
FOUND = {
    # Line ends of old Macs before a byte that is no UTF-8: the line was counted without them.
    "old-line-ends-before-a-wrong-byte": ("plan", b"a = 1\r\rb = 1\r\nc = \xff\xff\r\n"),
    "mark-before-a-wrong-byte": ("plan", b"\xef\xbb\xbfa = \xff\n"),
    # A hand-back that was cut short without a line end was told a line beyond the file.
    "hand-back-cut-short": (
        "hand-back",
        b'{"kind":"hand back","plan":"p","name":"n","digest":"d","events":3}',
    ),
}


@pytest.mark.parametrize("name", FOUND)
def test_error_found_by_fuzzing(name, tmp_path):
    """A text that once broke a reader, or its places, does so no more."""
    target, data = FOUND[name]

    TRIALS[target](data, tmp_path)


@pytest.mark.parametrize("target", TRIALS)
def test_kept_corpus(target, tmp_path):
    """Every text of the corpus, kept since each reaches something new, is answered."""
    for path in sorted((CORPUS / target).glob("*")):
        TRIALS[target](path.read_bytes(), tmp_path)


def test_error_not_utf8_is_told_at_its_place(tmp_path):
    """The place of a wrong byte counts every kind of line end, and leaves out the mark."""
    from rootroom.plan.reader import read_plan

    path = tmp_path / "plan.toml"
    path.write_bytes(b"\xef\xbb\xbfa = 1\r\rbc = \xff # x\r\nd = 1")
    _, (problem,) = read_plan(path)

    assert (3, 6, 7) == (problem.where.line, problem.where.start, problem.where.end)
    assert "bc = \ufffd # x" == problem.line
