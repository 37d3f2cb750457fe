"""Seasons drawn, recorded with noise and planned again to their end: `played_seasons.py --runs N`.

Prints what happened in each and how many broke; what must hold is in `tests/support`.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections import Counter
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.support.patience import unhurried
from tests.support.played_seasons import drawn_plan, play


def main() -> None:
    """Play seasons from one seed on."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--runs", type=int, default=200)
    parser.add_argument("--from", type=int, default=0, dest="first", help="the first seed")
    options = parser.parse_args()
    broken, whole = 0, Counter[str]()
    for seed in range(options.first, options.first + options.runs):
        chance = Random(seed)
        with tempfile.TemporaryDirectory() as name, unhurried(0.3):
            try:
                happened = play(drawn_plan(chance), chance, Path(name))
            except Exception as error:
                broken += 1
                print(f"seed {seed}: {error!r}"[:300], flush=True)
                continue
        whole += happened
        print(f"seed {seed}: {dict(happened)}", flush=True)
    print(f"{options.runs} seasons, {broken} broken; {dict(whole)}")


if __name__ == "__main__":
    main()
