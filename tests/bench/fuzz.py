"""A coverage-guided fuzzer for every text that comes from outside.

    python tests/bench/fuzz.py TARGET [--corpus DIR] [--runs N] [--seconds S] [--found DIR]

Targets: plan, rows, container, units, record, hand-back. Needs `atheris` (not a dependency: it is
built for few Pythons), which watches which branches a text reaches and keeps the texts that reach
new ones. What must hold for any bytes is in `trials`, which the suite runs on the kept corpus too:
no exception but the readers' own, every place inside its file, under 5 s and 1 GB.
The first input that breaks it is written to the folder of findings, and ends the run.

    python tests/bench/fuzz.py values --runs N [--from SEED]

draws N whole records whose lines have checksums that fit and values that nobody would write, and
takes each through all that commands do with a record but the planning. Needs nothing but Python.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
import tomllib
from collections.abc import Iterable
from pathlib import Path

HERE = Path(__file__).resolve()
ROOT = HERE.parents[2]
CORPUS = ROOT / "tests" / "fuzz_corpus"
sys.path.insert(0, str(ROOT))

MOST_SECONDS = 5
MOST_MB = 1024

SCRAPS = (
    *("format = 1\n", "plants = [", "[[plants]]\n", "[garden]\n", "[work]\n", "[minutes]\n"),
    *("[mixes.", "[containers.", "[ingredients.", "[[beds]]\n", "[suppliers.", "supplies = ["),
    *("name = ", "count = ", "now = ", "to = ", "mix = ", "moves = [", "refresh = ", "wait = "),
    *("from = ", "by = ", "parts = {", "add = {", "shrink = ", "flex = ", "round = ", "top = "),
    *("volume = ", "height = ", "headspace = ", "shape = ", "corners = [", "layers = [", "per_pot"),
    *("into", "keep", "depth = ", "already = ", "top_up = ", "settles = ", "rows = ", "harden"),
    *("last frost", " weeks before last frost", " days after last frost", "2027-04-12", "2 in"),
    *("#1", "#3", "#SP4", "12 in pot", "72-cell tray", "5 gal bag", "half barrel", "bare root"),
    *("3 gal true", "C10", "P9", "15 L", "30 cm pot", "8 ft x 4 ft", "round 5 ft", " + "),
    *("2.5 cu ft", "1 1/2 gal", "½", "12 %", "1/3", "lb/yd3", "tbsp/gal", "imp gal", "dry qt"),
    *("11 ft 9 in", "10 weeks", "oz/bu", "kg/m3", "ft", "'", '"', "“", "”", "”, ", "1e999", "nan"),
    *("-inf", "0x7f", "1_000", "\u202e", "\u0000", "\r\n", "\ufeff", '"""', "'''", "\\u0000"),
    *("name,count,now,to,mix\n", "sep=;\n", ";", '""', "\t"),
    *('{"v":1,', '"id":"', '"kind":"', '"day":"2027-04-12"', "null", "true", "}\n", '"sum":"'),
)


def seeds(target: str) -> Iterable[bytes]:
    """Yield texts to start from: our plans, and every mistake that has a test."""
    if target in ("plan", "rows"):
        from rootroom.plan.drafts import starter_plan

        if target == "plan":
            yield starter_plan().encode()
            for path in sorted((ROOT / "plans").glob("*.toml")):
                yield path.read_bytes()
        for file in sorted((ROOT / "tests" / "unit" / "plan" / "errors").glob("*.toml")):
            for case in tomllib.loads(file.read_text(encoding="utf-8"))["case"]:
                if target == "plan" or "rows" in case:
                    yield case["plan" if target == "plan" else "rows"].encode()
    elif target in ("container", "units"):
        from tests.support.trials import SPOKEN

        for text in SPOKEN:
            yield text.encode()
    else:
        from tests.support.trials import EVENTS

        yield from EVENTS


def fill_corpus(target: str, folder: Path) -> None:
    """Put the seeds and the kept corpus into the working corpus."""
    folder.mkdir(parents=True, exist_ok=True)
    for number, seed in enumerate(seeds(target)):
        (folder / f"seed-{number:04}").write_bytes(seed)
    for kept in sorted((CORPUS / target).glob("*")):
        shutil.copy(kept, folder / f"kept-{kept.name}")


def write_scraps(path: Path) -> None:
    """Write the scraps as the fuzzer's dictionary."""
    lines = ("".join(f"\\x{byte:02x}" for byte in scrap.encode()) for scrap in SCRAPS)
    path.write_text("".join(f'"{line}"\n' for line in lines), encoding="ascii")


def fuzz_values(runs: int, first: int, found: Path) -> None:
    """Try records drawn from the seeds `first` and up; a seed that breaks is told and ends it."""
    from random import Random

    from rootroom.plan.reader import read_plan
    from tests.property.test_record_values import PLAN
    from tests.support.record_values import odd_record, try_values

    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "plan.toml").write_text(PLAN, "utf-8")
        plan, _ = read_plan(folder / "plan.toml")
        assert plan is not None
        for seed in range(first, first + runs):
            content = odd_record(Random(seed))
            try:
                try_values(content, plan, folder)
            except BaseException:
                found.mkdir(parents=True, exist_ok=True)
                (found / f"values-{seed}").write_bytes(content)
                print(f"seed {seed}")
                raise
    print(f"{runs:,} records, none broke anything")


def main() -> None:
    """Fuzz one target."""
    parser = argparse.ArgumentParser()
    parser.add_argument("target")
    parser.add_argument("--corpus", type=Path)
    parser.add_argument("--found", type=Path, default=Path("found"))
    parser.add_argument("--runs", type=int, default=-1)
    parser.add_argument("--seconds", type=int, default=60)
    parser.add_argument("--longest", type=int, default=4096)
    parser.add_argument("--from", type=int, default=0, dest="first", help="seed of `values`")
    options = parser.parse_args()
    if options.target == "values":
        fuzz_values(max(options.runs, 1), options.first, options.found)
        return
    import atheris

    with atheris.instrument_imports(include=["rootroom"]):
        from tests.support import trials
    trial = trials.TRIALS[options.target]
    with tempfile.TemporaryDirectory() as name:
        scratch = Path(name)
        corpus = options.corpus or scratch / "corpus"
        fill_corpus(options.target, corpus)
        options.found.mkdir(parents=True, exist_ok=True)
        write_scraps(scratch / "scraps")
        folder = scratch / "files"
        folder.mkdir()
        with atheris.instrument_imports(include=["rootroom"]):
            trial(b"", folder)
            for seed in sorted(corpus.iterdir())[:50]:  # everything lazy is loaded by now
                trial(seed.read_bytes(), folder)
        arguments = [
            sys.argv[0],
            f"-dict={scratch / 'scraps'}",
            f"-timeout={MOST_SECONDS}",
            f"-rss_limit_mb={MOST_MB}",
            f"-max_len={options.longest}",
            f"-artifact_prefix={options.found}/{options.target}-",
            f"-max_total_time={options.seconds}",
            f"-runs={options.runs}",
            "-len_control=10",
            "-print_final_stats=1",
            str(corpus),
        ]
        atheris.Setup(arguments, lambda data: trial(data, folder), enable_python_coverage=True)
        atheris.Fuzz()


if __name__ == "__main__":
    main()
