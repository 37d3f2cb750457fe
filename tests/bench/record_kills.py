"""`record` itself killed, and ten of it at once: `python tests/bench/record_kills.py [--kills N]`.

Half of the kills come right after a confirmation, half at any moment. Nothing that was confirmed
may be lost, and no line may be broken but the last one of a killed writer.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from rootroom.plan.drafts import starter_plan  # noqa: E402
from rootroom.record import record_path  # noqa: E402
from rootroom.record.file import read_record  # noqa: E402

RECORDERS, NOTES = 10, 20


def recorder(plan: Path, note: str) -> subprocess.Popen[bytes]:
    """Start a `record` that notes one thing and says so."""
    words = ("record", str(plan), "--on", "2027-04-10", "--note", note, "--quick")
    return subprocess.Popen(
        [sys.executable, "-u", "-m", "rootroom", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )


def noted(plan: Path) -> set[str]:
    """Return the texts of all notes in the record."""
    events = read_record(record_path(plan)).events
    return {event.data["text"] for event in events if event.kind == "note"}


def kill(plan: Path, kills: int) -> None:
    """Kill `record` so many times, every second time once it has confirmed."""
    chance, confirmed, after = random.Random(1), set(), 0
    for number in range(kills):
        process = recorder(plan, f"note {number}")
        assert process.stdout is not None
        if number % 2:
            said = process.stdout.readline()
        else:
            time.sleep(chance.random() * 0.8)
            os.set_blocking(process.stdout.fileno(), False)
            said = b""
        os.killpg(process.pid, signal.SIGKILL)
        said += process.stdout.read() or b""
        process.wait()
        if said.startswith(b"noted in "):
            confirmed.add(f"note {number}")
            after += 1
    lost = confirmed - noted(plan)
    print(f"{kills} kills, {after} after a confirmation, {len(lost)} confirmed notes lost")


def at_once(plan: Path) -> None:
    """Let ten of it note at once, again and again."""
    for turn in range(NOTES):
        running = [recorder(plan, f"{turn} of {number}") for number in range(RECORDERS)]
        for process in running:
            process.communicate()
            assert process.returncode == 0
    wanted = {f"{turn} of {number}" for turn in range(NOTES) for number in range(RECORDERS)}
    print(f"{RECORDERS} at once, {NOTES} times: {len(wanted - noted(plan))} of {len(wanted)} lost")


def main() -> None:
    """Try both on an invented plan."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--kills", type=int, default=500)
    kills = parser.parse_args().kills
    with tempfile.TemporaryDirectory() as name:
        plan = Path(name) / "spring.toml"
        plan.write_text(starter_plan(), encoding="utf-8")
        kill(plan, kills)
        at_once(plan)
        print(f"lines that cannot be used: {len(read_record(record_path(plan)).problems)}")


if __name__ == "__main__":
    main()
