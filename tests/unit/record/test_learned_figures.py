"""What a record teaches about a plan, and the lines that hold it."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from attrs import evolve

from rootroom.plan.model import Plan
from rootroom.plan.reader import read_plan
from rootroom.record.apply import replay
from rootroom.record.events import Event
from rootroom.record.evidence import find_evidence
from rootroom.record.learned_figures import Figure, figures
from rootroom.sheets.answers.record_text import learned_text
from rootroom.units import read_volume_l

DAY = date(2027, 3, 20)
TEXT = """
format = 1
plants = [ { name = "Fig", count = 10, now = "#1", to = "#3", mix = "tree" } ]
supplies = [
  { of = "peat", pack = "3.8 cu ft", swells = 1.7, price = 15.20, from = "Mill Road" },
  { of = "bark", pack = "2 cu ft", price = 6.40, from = "Mill Road" },
]
[garden]
last_frost = 2027-04-12
[mixes.tree]
parts = { bark = 5, peat = 1 }
"""


def read(tmp_path: Path, text: str = TEXT) -> Plan:
    """Return an invented plan."""
    path = tmp_path / "spring.toml"
    path.write_text(text, "utf-8")
    plan, problems = read_plan(path)
    assert plan is not None, problems
    return plan


def told(*rows: tuple[str, dict[str, Any]], day: date = DAY) -> list[Event]:
    """Return events of one day."""
    return [
        Event(f"{day}-{number}", day, kind, data, line=number)
        for number, (kind, data) in enumerate(rows, 1)
    ]


def sheet(*rows: dict[str, Any]) -> tuple[str, dict[str, Any]]:
    """Return a sheet that hung on the wall, with these rows of the day."""
    return "planned", {"sessions": [{"day": DAY.isoformat(), "share": 1.0, **row} for row in rows]}


MOVE = {
    "kind": "move", "name": "Fig", "number": 1, "count": 10, "minutes": 50.0, "mix": "tree",
    "l": 80.0, "to": "#3",
}  # fmt: skip
BLEND = {"kind": "blend", "name": "tree", "number": 0, "count": 2, "minutes": 20.0, "l": 100.0}


def of(found: tuple[Figure, ...], what: str) -> Figure:
    """Return the one figure of this kind."""
    (one,) = [figure for figure in found if figure.what == what]
    return one


def test_notes_become_figures_with_their_sources(tmp_path: Path) -> None:
    """What was measured moves the published figure, and says where both come from."""
    events = told(
        ("measured", {"what": "packing", "of": "", "value": 1.3}),
        ("measured", {"what": "fill", "of": "#3", "value": 9.0}),
        ("timed", {"work": "up-pot", "container": "#3", "count": 10, "minutes": 80.0}),
    )
    found = figures(read(tmp_path), events)

    assert ["packing", "fill", "minutes"] == [figure.what for figure in found]
    packing = of(found, "packing")
    assert "Verhagen" in packing.source
    assert (1, "measured") == (packing.evidence[0].line, packing.evidence[0].how)
    assert 1.15 < packing.learned.result.likely < 1.3
    minutes = of(found, "minutes")
    assert ("#3", 8.0) == (minutes.of, minutes.evidence[0].measured.value)
    assert "[minutes]" == minutes.header


@pytest.mark.worked
def test_an_own_pot_that_was_measured_is_learned(tmp_path: Path) -> None:
    """A pot stated as 20 L, measured once at 22 L, is taken for 20.11 L."""
    # 20 within 3 %: 19.4 to 20.6, variance (1.2 squared + 2 x 0.6 squared) / 36 = 0.06; one filling
    # scatters by 5 %, 1 L, so w = 0.06 / (0.06 + 1) = 0.0566 and 20 + 0.0566 x 2 = 20.1132.
    text = TEXT.replace('to = "#3"', 'to = "fig pot"')
    plan = read(tmp_path, text + '[containers."fig pot"]\nvolume = "20 L"\n')
    found = figures(plan, told(("measured", {"what": "fill", "of": "fig pot", "value": 22.0})))

    assert pytest.approx(20.1132, abs=1e-4) == of(found, "fill").learned.result.likely


@pytest.mark.worked
def test_mix_used_tells_the_packing(tmp_path: Path) -> None:
    """Mix used against mix planned for the pots that were filled scales the plan's packing."""
    # 5 of 10 plants: 40 L planned; 48 L used: 1.15 x 48 / 40 = 1.38.
    events = told(
        sheet(MOVE),
        ("moved", {"plant": "Fig", "move": 1, "count": 5}),
        ("used", {"mix": "tree", "l": 48.0}),
    )
    (one,) = [e for e in find_evidence(read(tmp_path), events) if e.what == "packing"]

    assert pytest.approx(1.38) == one.measured.value


def test_mix_that_nobody_measured_tells_nothing(tmp_path: Path) -> None:
    """Use that was only taken over from the sheet is no measurement."""
    events = told(
        sheet(MOVE),
        ("moved", {"plant": "Fig", "move": 1, "count": 5}),
        ("used", {"mix": "tree", "l": 40.0, "planned": True}),
    )

    assert () == find_evidence(read(tmp_path), events)


def test_mix_used_for_plants_that_nobody_planned_tells_nothing(tmp_path: Path) -> None:
    """Where other plants took of the mix, the packing is left alone."""
    events = told(
        sheet(MOVE),
        ("moved", {"plant": "Fig", "move": 1, "count": 5}),
        ("moved", {"plant": "Bay", "move": 1, "count": 5}),
        ("used", {"mix": "tree", "l": 48.0}),
    )

    assert () == find_evidence(read(tmp_path), events)


@pytest.mark.worked
def test_a_days_hours_tell_the_minutes(tmp_path: Path) -> None:
    """The day's hours over its planned hours scale each line, and count a quarter."""
    # Planned: set-up 10, ten plants 50, two batches 20: 80 min. Worked 100: 25 % more, so that a
    # plant took 6.25 min and a batch 12.5.
    events = told(
        sheet(
            {"kind": "set up", "name": "session", "number": 0, "count": 1, "minutes": 10.0},
            MOVE,
            BLEND,
        ),
        ("moved", {"plant": "Fig", "move": 1, "count": 10}),
        ("blended", {"mix": "tree", "l": 100.0}),
        ("worked", {"minutes": 60.0}),
        ("worked", {"minutes": 40.0}),
    )
    found = {one.of: one.measured for one in find_evidence(read(tmp_path), events)}

    assert pytest.approx(6.25) == found["#3"].value
    assert pytest.approx(12.5) == found["blend"].value
    assert {0.25} == {one.weight for one in found.values()}


@pytest.mark.worked
def test_scoops_tell_the_shrink_and_sweeping_the_spill(tmp_path: Path) -> None:
    """What went in against what came out, and what was swept up against what was blended."""
    # 100 L in, 85 L out: 15 %. 3.4 L spilled of 85: 4 %.
    events = told(
        ("blended", {"mix": "tree", "l": 85.0, "loose_l": {"bark": 80.0, "peat": 20.0}}),
        ("spilled", {"mix": "tree", "l": 3.4}),
    )
    found = {one.what: one.measured.value for one in find_evidence(read(tmp_path), events)}

    assert {"shrink": pytest.approx(0.15), "spill": pytest.approx(0.04)} == found


def test_corrections_count_and_what_they_replace_does_not(tmp_path: Path) -> None:
    """Of a measurement and its correction only the correction counts."""
    wrong, right = told(
        ("measured", {"what": "packing", "of": "", "value": 13.0}),
        ("measured", {"what": "packing", "of": "", "value": 1.3}),
    )
    correction = Event(right.id, right.day, right.kind, right.data, replaces=wrong.id)
    found = figures(read(tmp_path), [wrong, correction])

    assert 1.3 == of(found, "packing").learned.measured


def test_the_lines_can_be_pasted_and_do_not_count_twice(tmp_path: Path) -> None:
    """A plan with the lines reads without problems, holds the figures, and teaches the same."""
    events = told(
        ("measured", {"what": "packing", "of": "", "value": 1.3}),
        ("measured", {"what": "ball", "of": "", "value": 0.85}),
        ("measured", {"what": "spill", "of": "", "value": 0.04}),
        ("measured", {"what": "fill", "of": "#3", "value": 9.0}),
        ("measured", {"what": "shrink", "of": "tree", "value": 0.18}),
        ("measured", {"what": "swells", "of": "peat", "value": 1.9}),
        ("timed", {"work": "blend", "count": 4, "minutes": 60.0}),
        ("timed", {"work": "up-pot", "container": "#3", "count": 10, "minutes": 80.0}),
    )
    plan = read(tmp_path)
    found = figures(plan, events)
    shrink, swells = of(found, "shrink"), of(found, "swells")
    text = TEXT.replace("swells = 1.7", swells.line).rstrip() + f"\n{shrink.line}\n"
    assert "[mixes.tree]" == shrink.header
    headers: dict[str, list[str]] = {}
    for figure in found:
        if figure not in (shrink, swells):
            headers.setdefault(figure.header, []).append(figure.line)
    text += "".join("\n".join([head, *lines, ""]) for head, lines in headers.items())
    pasted = read(tmp_path, text)

    packing = of(found, "packing").learned.result
    assert pytest.approx(packing.likely, abs=0.005) == pasted.factors.packing.likely
    assert pytest.approx(packing.high, abs=0.005) == pasted.factors.packing.high
    assert pytest.approx(0.159, abs=0.001) == pasted.mixes["tree"].shrink.likely
    assert {"blend", "#3"} == set(pasted.minutes)
    fill = pasted.plants[0].kind.moves[0].to
    assert fill is not None
    assert pytest.approx(of(found, "fill").learned.result.likely, rel=0.01) == fill.fill_l.likely
    again = figures(pasted, events)
    assert of(again, "packing").learned == of(found, "packing").learned
    assert of(again, "fill").learned == of(found, "fill").learned
    assert of(again, "shrink").learned == shrink.learned


def test_text_fits_and_shows_prior_data_and_result(tmp_path: Path) -> None:
    """The table fits 80 columns; with the reasons every measurement stands with its line."""
    events = told(
        ("measured", {"what": "packing", "of": "", "value": 1.3, "times": 3}),
        ("bought", {"of": "peat", "packs": 3, "paid_cents": 4710, "supply": 1}),
    )
    plan = read(tmp_path)
    paid = replay(plan, events).goods.paid
    text = learned_text(plan, figures(plan, events), paid, why=True)

    assert all(len(line) <= 80 for line in text.splitlines())
    assert "1.05-1.15-1.55" in text
    assert "Sat 20 Mar 2027, line 1: 1.3 measured, counts 3" in text
    assert '# paid on 2027-03-20:\n# { of = "peat"' in text
    assert 'price = 15.70, from = "Mill Road" }' in text


def test_nothing_to_learn_says_what_to_note(tmp_path: Path) -> None:
    """An empty record teaches nothing and says what could be noted."""
    assert learned_text(read(tmp_path), (), ()).startswith("The record has nothing to learn from")


WHOLE = """\
figure   published       measured   now  80 %
--------------------------------------------------
packing  1.05-1.15-1.55  1.3 (1x)  1.24  1.22-1.36

Published figures move with evidence: one rough measurement a little, a season's
worth far. `80 %` is the range that holds in 8 seasons of 10. How far single
measurements scatter is our guess, without a source; it matters less the more
there are of them.

packing
  published: SOURCE
  Sat 20 Mar 2027, line 1: 1.3 measured, counts 3
  one measurement is taken to scatter by 0.1: our guess, no source
  the measurements count 78%, the published range the rest

Lines for the plan (it is not changed by itself)

[factors]
packing = { low = 1.19, likely = 1.24, high = 1.43 }
"""


def test_whole_text_says_which_figures_are_guesses(tmp_path: Path) -> None:
    """Prior, data, result and the lines to paste, and in plain words what no source stands behind.

    By hand: the published range has mean 1.25 and variance 0.42 / 36 = 0.01167, the measurement
    0.01 / 3, so it counts 0.01167 / 0.015 = 78 % and the mean is 1.25 + 0.78 x 0.05 = 1.289; the
    triangle is narrowed to sqrt(0.222) = 0.471 and its mode is 1.289 - 0.0471 = 1.242.
    Half the range is 1.2816 sqrt(0.01167 x 0.222) (1 + 2.642 x 0.605 / 32) = 0.0685.
    """
    events = told(("measured", {"what": "packing", "of": "", "value": 1.3, "times": 3}))
    plan = read(tmp_path)
    (found,) = figures(plan, events)
    text = learned_text(plan, (found,), (), why=True)

    source = next(line for line in text.splitlines() if "published: " in line)
    assert WHOLE.replace("  published: SOURCE", source) == text
    assert 0.1 == found.scatter


def test_a_us_plan_reads_its_pots_in_gallons(tmp_path: Path) -> None:
    """Table, reasons and the line to paste are in gallons; the line comes to what was learned."""
    events = told(("measured", {"what": "fill", "of": "#3", "value": 9.0}))
    plan = read(tmp_path)
    plan = evolve(plan, garden=evolve(plan.garden, system="us"))
    (found,) = figures(plan, events)
    text = learned_text(plan, (found,), (), why=True)

    assert not re.search(r"\d L\b", text)
    # 9 L is 9 / 3.785411784 = 2.38 gal.
    assert "2.38 gal measured" in text
    line = re.search(r'volume = "(.*)"', text)
    assert line is not None
    assert read_volume_l(line[1]) == pytest.approx(found.learned.result.likely, rel=5e-3)
