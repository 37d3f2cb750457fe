"""What the world does to a command: full disks, closed streams, interrupts, odd places and names.

Each test runs the program as a process of its own, as a user would.
"""

from __future__ import annotations

import json
import os
import random
import resource
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from rootroom.cli.streams import plain_signs
from rootroom.plan.drafts import starter_plan
from tests.support.patience import PATIENCE_S

BALCONY = Path(__file__).parents[3] / "plans" / "balcony-in-litres.toml"
SMALL = """plants = [ { name = "Olivenbäumchen", count = 2, now = "C2", to = "C5" } ]
[garden]
last_frost = 2027-04-12
units = "metric"
[work]
days = ["sat"]
first = 2027-04-17
last = 2027-05-01
[mixes.erde]
parts = { peat = 1, bark = 1 }
"""
PROGRAM = [sys.executable, "-m", "rootroom"]
POSIX = pytest.mark.skipif(os.name != "posix", reason="limits, signals and /dev are of POSIX")


def run(*arguments: object, **options):
    """Run a command to its end; return the finished process with its bytes."""
    options = {"capture_output": True, "timeout": PATIENCE_S, **options}
    return subprocess.run([*PROGRAM, *map(str, arguments)], **options)


def shell(line: str, folder: Path, **changed: str):
    """Run a line of shell in which `rootroom` is the program."""
    program = " ".join(PROGRAM)
    return subprocess.run(
        ["bash", "-c", line.replace("rootroom", program)],
        cwd=folder,
        capture_output=True,
        timeout=PATIENCE_S,
        env={**os.environ, **changed},
    )


def kept(folder: Path) -> dict[str, bytes]:
    """Return every file under a folder with its content."""
    files = (path for path in sorted(folder.rglob("*")) if path.is_file())
    return {str(path.relative_to(folder)): path.read_bytes() for path in files}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a plan in it."""
    (tmp_path / "plan.toml").write_text(SMALL, encoding="utf-8")
    return tmp_path


@POSIX
@pytest.mark.parametrize("command", ["demand", "demand --json", "check"])
def test_error_full_disk_behind_stdout(command, folder):
    """Output that cannot be written is told in one line, with code 2."""
    done = shell(f"rootroom {command} plan.toml > /dev/full", folder)

    assert 2 == done.returncode
    assert b"error: no space left on device" == done.stderr.splitlines()[-1]


@POSIX
def test_error_both_streams_full(folder):
    """Where nobody can be told, the code still tells."""
    done = shell("rootroom check plan.toml > /dev/full 2> /dev/full", folder)

    assert (2, b"", b"") == (done.returncode, done.stdout, done.stderr)


@POSIX
def test_closed_streams_are_no_fault(folder):
    """A command whose output nobody wants does its work quietly."""
    done = shell("rootroom demand plan.toml >&- 2>&-", folder)

    assert (0, b"", b"") == (done.returncode, done.stdout, done.stderr)


@POSIX
def test_reader_that_goes_away(folder):
    """`| head -1` gets its line, and no complaint follows it."""
    done = shell("set -o pipefail; rootroom pots | head -1", folder)

    assert (0, b"") == (done.returncode, done.stderr)
    assert 1 == done.stdout.count(b"\n")


@POSIX
def test_error_disk_fills_up_while_writing(folder):
    """Files that do not fit leave the old ones as they were, and nothing half done."""
    sheets = folder / "sheets"
    first = run("drained", folder / "plan.toml", "--out", sheets)
    assert 0 == first.returncode
    before = kept(sheets)
    text = (folder / "plan.toml").read_text("utf-8").replace("C5", "C7")
    (folder / "plan.toml").write_text(text, encoding="utf-8")

    done = run(
        "drained",
        *(folder / "plan.toml", "--out", sheets),
        # Smaller than a drawing; Python ignores SIGXFSZ, so writing fails instead.
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (1_000, 1_000)),
    )

    assert 2 == done.returncode
    assert b"error: file too large" in done.stderr.splitlines()[-1]
    assert before == kept(sheets)


@POSIX
@pytest.mark.parametrize("command", ["season", "buy", "drained"])
def test_error_out_onto_a_file(command, folder):
    """`--out` onto a file is refused, and the file stays."""
    there = folder / "out"
    there.write_bytes(b"mine")
    done = run(command, folder / "plan.toml", "--out", there)

    assert 2 == done.returncode
    assert f"error: file exists: `{there}`".encode() == done.stderr.splitlines()[-1]
    assert b"mine" == there.read_bytes()


@pytest.mark.parametrize("command", ["season", "buy", "drained"])
def test_error_out_into_a_folder_of_others(command, folder):
    """`--out` into a folder with other people's files is refused with a hint, by every command."""
    before = kept(folder)
    done = run(command, folder / "plan.toml", "--out", folder)

    assert 2 == done.returncode
    assert done.stderr.endswith(
        b"holds files that are not ours, such as `plan.toml` [foreign-folder]\n"
        b"\nhint: give --out a new or an empty folder\n"
    )
    assert before == kept(folder)


@POSIX
def test_error_folder_that_cannot_be_made(folder):
    """A folder under a file, and a file in a folder that is not there, are named."""
    under = run("drained", folder / "plan.toml", "--out", folder / "plan.toml" / "x")
    starter = run("new", folder / "gone" / "plan.toml")

    assert (2, 2) == (under.returncode, starter.returncode)
    assert f"not a directory: `{folder}/plan.toml/x`\n".encode() in under.stderr
    expected = f"error: no such file or directory: `{folder}/gone/plan.toml`\n"
    assert expected.encode() == starter.stderr


@POSIX
def test_error_working_folder_that_vanished(folder):
    """A command started in a folder that is gone says that there is no such file."""
    done = shell('mkdir gone; cd gone; rmdir "$PWD"; rootroom check plan.toml', folder)

    assert 1 == done.returncode
    assert b"plan.toml:1:1: error: there is no such file [no-file]" in done.stderr
    assert b"Traceback" not in done.stderr


@POSIX
def test_error_read_only_folder(folder):
    """A folder that cannot be written to is named, and nothing is left in it."""
    target = Path("/sys/rootroom-season") if os.geteuid() == 0 else folder / "closed" / "season"
    if os.geteuid():
        target.parent.mkdir()
        target.parent.chmod(0o500)
    done = run("drained", folder / "plan.toml", "--out", target)

    assert 2 == done.returncode
    assert str(target).encode() in done.stderr
    assert b"Traceback" not in done.stderr
    assert not target.exists()


def wait_until_it_works(process):
    """Wait until a command has numpy loaded: Python's own start-up is beyond our reach."""
    maps = Path(f"/proc/{process.pid}/maps")
    for _ in range(200):
        try:
            if "numpy" in maps.read_text():
                return
        except OSError:  # it has ended already, or the system has no such files
            return
        time.sleep(0.05)


@POSIX
@pytest.mark.parametrize("command", [("season", "--out", "sheets"), ("buy",), ("demand",)])
def test_error_interrupted_at_any_time(command, folder):
    """Ctrl-C ends a command at once with code 130 and one line, and leaves nothing half written."""
    chance = random.Random(len(command[0]))
    (folder / "plan.toml").write_bytes(BALCONY.read_bytes())
    for _ in range(2):
        process = subprocess.Popen(
            [*PROGRAM, command[0], "plan.toml", *command[1:]],
            cwd=folder,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            start_new_session=True,
        )
        wait_until_it_works(process)
        time.sleep(chance.random() * 0.5)
        os.killpg(process.pid, signal.SIGINT)
        _, told = process.communicate(timeout=PATIENCE_S)

        assert b"Traceback" not in told
        assert process.returncode in (0, 130, -signal.SIGINT)
        if process.returncode == 130:
            last = told.splitlines()[-1]
            assert b"interrupted: nothing half written is left behind" == last
        assert not [name for name in kept(folder) if name.endswith(".tmp")]


ASCII = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "PYTHONIOENCODING": ""}


@POSIX
def test_locale_without_signs(folder):
    """Where only ASCII can be printed, signs turn into what is nearest, and 1½ never into 11/2."""
    pot = shell("rootroom fill '12 in pot' --from '#1'", folder, **ASCII)
    table = shell("rootroom demand plan.toml", folder, **ASCII)

    assert (0, 0) == (pot.returncode, table.returncode)
    assert pot.stdout.isascii()
    assert table.stdout.isascii()
    assert b"Olivenbaumchen" in table.stdout


def test_signs_that_ascii_lacks():
    """Fractions stay apart from their whole number, accents fall off, the rest is a mark."""
    assert "1 1/2 x 3/4 ... cafe ?" == plain_signs("1½ × ¾ … café 木")
    assert " 1/2" == plain_signs("½", before="1")
    assert "1/2" == plain_signs("½", before=" ")


CLOCK = """
import itertools, sys, time
hours = itertools.count({start}, -1)
time.time = lambda: 3600.0 * next(hours)
time.time_ns = lambda: 3_600_000_000_000 * next(hours)
from rootroom.cli import main
main()
"""


def test_same_bytes_whatever_the_clock_says(folder):
    """A clock that goes back an hour at each look, in 1990 or 2060, changes no day and no byte."""
    record = ["--on", "2027-04-17", "--note", "the clock went back", "--quick"]
    seen = []
    for number, start in enumerate((175_000, 790_000)):
        home = folder / str(number)
        home.mkdir()
        (home / "plan.toml").write_bytes((folder / "plan.toml").read_bytes())
        for command in (
            ["season", "plan.toml", "--out", "sheets"],
            ["record", "plan.toml", *record],
        ):
            done = subprocess.run(
                [sys.executable, "-c", CLOCK.format(start=start), *command],
                cwd=home,
                capture_output=True,
                timeout=PATIENCE_S,
            )
            assert 0 == done.returncode, done.stderr
        seen.append(kept(home))

    lines = [[json.loads(row) for row in one.pop("plan.record.jsonl").splitlines()] for one in seen]
    for line in (line for record in lines for line in record):
        del line["id"], line["sum"]  # drawn for each line
    assert "sheets/season.ics" in seen[0]
    assert seen[0] == seen[1]
    assert "the clock went back" == lines[0][0]["text"]
    assert lines[0] == lines[1]


@POSIX
def test_same_bytes_in_any_zone_and_locale(folder):
    """Neither the process's zone nor its locale changes a byte of the answer or of the sheets."""
    seen = []
    for number, (zone, locale) in enumerate(
        (("UTC", "C.UTF-8"), ("Pacific/Kiritimati", "tr_TR.UTF-8"))
    ):
        line = f"rootroom season plan.toml --out s{number} | grep -v ^wrote"
        done = shell(line, folder, TZ=zone, LC_ALL=locale, LANG=locale, PYTHONHASHSEED=str(number))
        assert 0 == done.returncode, done.stderr
        seen.append((done.stdout, kept(folder / f"s{number}")))

    assert seen[0] == seen[1]


@POSIX
@pytest.mark.parametrize(
    "name",
    ["a b.toml", "--help me.toml", "caf\udce9.toml", "line\nbreak.toml", "\u202eright.toml"],
)
def test_plan_with_a_hostile_name(name, tmp_path):
    """A plan may be called anything: it is read, and its name breaks no line."""
    (tmp_path / name).write_text(starter_plan(), encoding="utf-8")
    done = run("demand", "--json", "--", name, cwd=tmp_path)

    assert 0 == done.returncode, done.stderr
    assert name == json.loads(done.stdout)["plan"]
    checked = run("check", "--", name, cwd=tmp_path)
    assert 0 == checked.returncode, checked.stderr
    first, *rest = checked.stdout.splitlines()
    assert b".toml: fine, " in first
    assert not any(b".toml" in line for line in rest)


@pytest.mark.parametrize("content", [b"\xff\xfe\0", b"\0" * 100, b"x = " + b"[" * 50_000, b"\x80"])
def test_error_plan_that_is_no_text(content, tmp_path):
    """A binary or absurdly nested file is answered in lines, with code 1, by every command."""
    path = tmp_path / "plan.toml"
    path.write_bytes(content)
    done = run("season", path)

    assert (1, b"") == (done.returncode, done.stdout)
    assert f"{path}:1:".encode() in done.stderr
    assert done.stderr.endswith((b"1 error\n", b"errors\n"))
    assert b"Traceback" not in done.stderr


@pytest.mark.parametrize("chained", [True, False])
def test_error_interrupted_while_a_compiled_library_loads(chained, monkeypatch, capsys):
    """An interrupt that a library wraps in an import error is an interrupt, any other is not."""
    from rootroom.cli import run

    def load():
        raise ImportError("initialization failed") from (KeyboardInterrupt() if chained else None)

    monkeypatch.setattr(run, "_run", load)
    monkeypatch.setattr("rootroom.cli.streams.silence_stdout", lambda: None)
    monkeypatch.setattr("rootroom.cli.streams.keep_interrupts", lambda: None)
    monkeypatch.setattr("rootroom.cli.streams.end_by_interrupt", lambda: None)
    with pytest.raises(SystemExit if chained else ImportError) as end:
        run.main()

    if chained:
        assert 130 == end.value.code
        assert "interrupted: nothing half written is left behind\n" == capsys.readouterr().err


DROPPED = """
import signal, time, weakref
from rootroom.cli.streams import keep_interrupts

class Thing:
    pass

signal.signal(signal.SIGINT, signal.default_int_handler)  # a job behind a shell ignores it
keep_interrupts()
thing = Thing()
gone = weakref.ref(thing, lambda _: signal.raise_signal(signal.SIGINT))
start = time.monotonic()
try:
    del thing
    time.sleep(60)
    print("lost")
except KeyboardInterrupt:
    print("heard", "late" if time.monotonic() - start > 30 else "soon")
"""


@POSIX
def test_error_interrupt_that_falls_into_a_callback():
    """An interrupt that Python can only print and drop comes again, and nothing is printed."""
    done = subprocess.run([sys.executable, "-c", DROPPED], capture_output=True, timeout=PATIENCE_S)

    assert (b"heard soon\n", b"") == (done.stdout, done.stderr)


@POSIX
def test_error_interrupt_after_the_answer():
    """While Python clears up, an interrupt ends it at once and says nothing of where it fell."""
    script = (
        "import atexit, signal, sys\n"
        "from rootroom.cli.streams import end_by_interrupt\n"
        "atexit.register(signal.raise_signal, signal.SIGINT)\n"
        "print('answer', flush=True)\n"
        "end_by_interrupt()\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, timeout=PATIENCE_S)

    assert (-signal.SIGINT, b"answer\n", b"") == (done.returncode, done.stdout, done.stderr)
