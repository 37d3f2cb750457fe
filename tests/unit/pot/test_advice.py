"""What the verdict on a pot advises, written into the plan: the report then says what was told."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from rootroom.plan.reader import read_plan
from rootroom.pot.report import MovedPot, report_pots

PLAN = """
[garden]
last_frost = 2027-04-12
[work]
days = ["sat"]
first = 2027-03-06
last = 2027-06-06
[[plants]]
name = "Tomato"
crop = "tomato"
count = 2
now = "50-cell tray"
to = "{pot}"
mix = "{mix}"
big_step = true
from = 2027-04-12
{mixes}
"""
MEASURED = 'measured = { porosity = "70 %", air = "4 %", height = "8 cm" }'
MIXES = {
    "too wet": "parts = {{ sand = 2, topsoil = 2, compost = 1{more} }}",
    "only fine": "parts = {{ peat = 3, compost = 2{more} }}",
    "some coarse": "parts = {{ topsoil = 3, compost = 2, bark = 1{more} }}",
    "too open": "parts = {{ bark = 4, perlite = 3, grit = 1{more} }}",
    "own shrink": 'parts = {{ sand = 2, topsoil = 2, compost = 1{more} }}\nshrink = "6 %"',
}
WHOLE = {"bought": "", "measured": f"parts = {{ peat = 2, compost = 1 }}\n{MEASURED}"}
POTS = ("#5", "4 in square pot", "8 in pan", "half barrel", "10 gal bag")


def moved(folder: Path, mixes: str, pot: str = "#5", mix: str = "m") -> MovedPot:
    """Return the report's only pot."""
    path = folder / "plan.toml"
    path.write_text(PLAN.format(mixes=mixes, pot=pot, mix=mix), encoding="utf-8")
    plan, problems = read_plan(path)
    assert plan is not None, problems
    (only,) = report_pots(plan).moves
    return only


def advised(pot: MovedPot) -> tuple[str, int, int, str] | None:
    """Return which part is advised, to how many of the mix, and what of what it is to give."""
    assert pot.verdict is not None
    for remedy in pot.verdict.remedies:
        told = re.search(r"1 part of (.+) to (\d+) of it gives (\d+) % (\w+)", remedy.text)
        if told:
            return told[1], int(told[2]), int(told[3]), told[4]
    return None


def check(after: MovedPot, per_cent: int, of: str) -> None:
    """Fail unless the pot holds what was told, and is called usual for it."""
    assert after.pair.water is not None
    assert after.verdict is not None
    found = after.pair.water.air if of == "air" else after.pair.water.capacity
    assert per_cent == round(found.likely * 100)
    assert "usual" in [one.reading for one in after.verdict.comparisons if one.band.of == of]


@pytest.mark.parametrize("pot", POTS)
@pytest.mark.parametrize("name", MIXES)
def test_a_part_that_is_advised_does_what_was_told(name: str, pot: str, tmp_path: Path) -> None:
    """One part more, written beside the others, loses the volume that the recipe then loses."""
    text = "[mixes.m]\n" + MIXES[name]
    advice = advised(moved(tmp_path, text.format(more=""), pot))
    if advice is None:
        return
    part, to_one, per_cent, of = advice
    shares = dict(re.findall(r"(\w+) = (\d+)", re.findall(r"\{\{(.*)\{more", text)[0]))
    have = int(shares.pop(part, 0))
    amounts = {one: int(parts) * to_one for one, parts in shares.items()}
    amounts[part] = have * to_one + have + sum(map(int, shares.values()))
    parts = ", ".join(f"{one} = {amount}" for one, amount in amounts.items())
    changed = re.sub(r"\{\{.*\}\}", lambda _: f"{{ {parts} }}", text)

    check(moved(tmp_path, changed, pot), per_cent, of)


@pytest.mark.parametrize("name", WHOLE)
def test_a_part_for_a_mix_as_a_whole_does_what_was_told(name: str, tmp_path: Path) -> None:
    """A mix that is bought or measured is a part of the new one."""
    text = f"[mixes.m]\n{WHOLE[name]}\n"
    advice = advised(moved(tmp_path, text, "8 in pan"))
    if advice is None:
        assert name == "bought"
        return
    part, to_one, per_cent, of = advice
    new = f"{text}[mixes.new]\nparts = {{ m = {to_one}, {part} = 1 }}\n"

    check(moved(tmp_path, new, "8 in pan", "new"), per_cent, of)


def test_most_of_these_mixes_are_advised(tmp_path: Path) -> None:
    """The cases above are no empty ones."""
    told = [
        advised(moved(tmp_path, "[mixes.m]\n" + text.format(more=""), pot)) is not None
        for text in MIXES.values()
        for pot in POTS
    ]
    assert len(told) / 2 < sum(told)


@pytest.mark.parametrize("name", MIXES)
def test_a_depth_that_is_advised_does_what_was_told(name: str, tmp_path: Path) -> None:
    """A straight pot that is filled as high as told is called usual."""
    text = "[mixes.m]\n" + MIXES[name].format(more="")
    verdict = moved(tmp_path, text, "10 gal bag").verdict
    assert verdict is not None
    for remedy in verdict.remedies:
        if remedy.kind == "depth" and remedy.figure is not None:
            size = f"{remedy.figure * 100:.1f} cm"
            own = (
                f'{text}\n[containers."told"]\nheadspace = "0 cm"\n'
                f'round = {{ top = "30 cm", bottom = "30 cm", height = "{size}" }}\n'
            )
            after = moved(tmp_path, own, "told").verdict
            assert after is not None
            assert "usual" == after.comparisons[0].reading
