"""Every number of `--why` can be redone from the numbers beside it."""

from __future__ import annotations

import re
from math import pi  # noqa: F401

import pytest
from attrs import evolve

from rootroom.catalogue.spread import Spread
from rootroom.containers.text import read_container
from rootroom.demand.find import find_demand
from rootroom.demand.why import Figure, why
from rootroom.plan.model import Plan
from rootroom.problems import TextError
from rootroom.sheets.answers.demand import explanation_text, why_demand_text
from rootroom.units import Rate, System
from tests.support.plans import DOUBTFUL, bed, group, mix, move, nothing, plan, pot, tray

NAMES = ("Fig", "Thyme", "Mint", "Kale", "Old fig", "Basil", "South")


@pytest.fixture
def garden() -> Plan:
    """Return a plan with every kind of move, and containers of every shape."""
    one, three = read_container("#1"), read_container("#3")
    square, barrel = read_container("4 in square pot"), read_container("half barrel")
    apart = move(three, square, shared=3, into=6)
    groups = [
        group("Fig", 18, move(one, three, mix="tree")),
        group("Thyme", 10, move(square, three, per_pot=3)),
        group("Mint", 2, move(three, one, into=3, keep_share=0.8)),
        group("Kale", 60, move(nothing(), tray(50, 0.04)), move(tray(50, 0.04), square, number=2)),
        group("Old fig", 1, move(barrel, refresh=1 / 3)),
        group("Basil", 7, apart, move(square, place="sold", number=2)),
    ]
    lime = {"lime": Rate(0.003, None), "feed": Rate(None, 0.001)}
    mixes = [
        mix("tree", {"bark": 3, "fine": 1}, shrink=0.15, add=lime),
        mix("fine", {"peat": 1}, shrink=0.1),
    ]
    south = bed(
        "South", 3.0, 0.3, [("logs", 0.05), ("tree", None)], already_m=0.02, shape_text="3 m x 1 m"
    )
    return plan(groups, mixes, [south], factors=DOUBTFUL)


def redo(figure: Figure) -> float:
    """Return what the numbers of a figure come to."""
    text = re.sub(r"\bx\b", "*", figure.numbers).replace("^", "**")
    assert re.fullmatch(r"[\d\s.e*+/()-]+", text), text
    return float(eval(text))


@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize("name", NAMES)
def test_each_formula_gives_its_figure(garden: Plan, name: str, system: System) -> None:
    """The numbers beside a figure come to that figure, to what their digits allow."""
    garden = evolve(garden, garden=evolve(garden.garden, system=system))
    redone = 0
    for passage in why(garden, find_demand(garden), name).passages:
        for figure in passage.figures:
            if figure.numbers and figure.name not in ("area", "pots"):
                assert redo(figure) == pytest.approx(figure.unit.of(figure.value), rel=2e-5), figure
                redone += 1
    assert redone >= 3


def test_the_explanation_ends_in_the_figure_of_the_demand(garden: Plan) -> None:
    """What is explained is what `demand` prints."""
    found = find_demand(garden)
    for row in found.moves:
        titles = {p.title: p for p in why(garden, found, row.plant).passages}
        (passage,) = (p for t, p in titles.items() if t.startswith(f"{row.plant}, move {row.move}"))
        assert passage.figures[-1].value == pytest.approx(row.mix_l.likely)


def test_the_text_ends_with_likely_and_median(garden: Plan) -> None:
    """The last line has both figures of the demand, and says which one to plan on."""
    demand = find_demand(garden)
    row = demand.moves.of_row(0)[0].mix_l
    told = explanation_text(why(garden, demand, garden.plants.names[0]), "metric")
    last = " ".join(told.split())
    last = last[last.index("In the end") :]

    assert f"likely {row.likely:.3g} L, median {row.median:.3g} L" in last
    assert last.endswith("The median is what to plan on.")
    name = garden.beds[0].name
    layers = [one.litres for one in demand.beds if one.bed == name]
    assert [one.median for one in layers] == [x.median for _, x in why(garden, demand, name).ends]


@pytest.mark.parametrize("name", NAMES)
def test_plans_are_told_in_their_own_units(garden: Plan, name: str) -> None:
    """A US plan reads no litre, centimetre or kilogram in a figure, a metric one none of the US."""
    us = r"\d (gal|cu in|cu ft|sq ft|in|lb|oz|tbsp|cup)\b|\[in\]"
    metric = r"\d (L|mL|cm|m2|m|kg|g)\b|\[cm\]"
    for system, own, other in (("us", us, metric), ("metric", metric, us)):
        one = evolve(garden, garden=evolve(garden.garden, system=system))
        told = why_demand_text(one, find_demand(one), name)
        # Names of containers and published sources stay as they are.
        figures = re.sub(r"8 in 10|4 in square pot|fill of [^:]*:|South: .*|= 3 m x 1 m", "", told)
        figures = re.sub(r"source: .*?(?=\n  \w|\n\n)", "", figures, flags=re.DOTALL)
        assert re.search(own, figures)
        assert not re.search(other, figures), re.search(other, figures)
        assert not re.search(r"\.\d{5}", told)


def test_every_factor_names_its_source(garden: Plan) -> None:
    """A factor and a container's volume say where they come from."""
    for name in NAMES:
        for passage in why(garden, find_demand(garden), name).passages:
            for figure in passage.figures:
                named = figure.name in ("packing", "spill", "ball", "settles", "shrink")
                if named or figure.name.startswith("fill of #"):
                    assert figure.source, figure


def test_many_rows_of_one_name_are_told_once_over() -> None:
    """A long list's rows of one name follow the same formulas; the rest are counted."""
    rows = [group("Leek", n, move(nothing(), pot("P9", 0.5))) for n in range(1, 9)]
    leeks = plan(rows, [mix("tree", {"peat": 1})])
    assert why(leeks, find_demand(leeks), "Leek").left_out == 3
    assert "3 more rows of this name" in why_demand_text(leeks, find_demand(leeks), "Leek")


def test_the_text_fits_the_screen(garden: Plan) -> None:
    """No line is wider than 80 columns."""
    for name in NAMES:
        text = why_demand_text(garden, find_demand(garden), name)
        assert max(len(line) for line in text.splitlines()) <= 80


def test_error_unknown_name(garden: Plan) -> None:
    """A name that is neither a plant nor a bed gets the nearest one as a hint."""
    with pytest.raises(TextError, match=r"^no plant or bed has this name: `Thime`$") as caught:
        why(garden, find_demand(garden), "Thime")
    assert (caught.value.code, caught.value.hint) == ("unknown-name", "did you mean `Thyme`?")


def test_no_formula_divides_by_one(garden: Plan) -> None:
    """A whole ball is not divided, and a pot of one plant is not shared."""
    for name, divided in (("Fig", False), ("Mint", True)):
        formulas = [
            figure.formula
            for passage in why(garden, find_demand(garden), name).passages
            for figure in passage.figures
            if figure.name == "ball of a plant"
        ]
        assert [divided] == ["divided into" in formula for formula in formulas]
        assert [False] == ["share it" in formula for formula in formulas]


@pytest.mark.parametrize(("plants", "alike"), [(6, True), (7, False)])
def test_pots_that_share_alike_are_told_by_the_pot(plants: int, alike: bool) -> None:
    """Six plants in threes are two pots alike; the third pot of seven plants takes one ball."""
    shared = move(read_container("4 in square pot"), read_container("#3"), per_pot=3)
    one = plan([group("Thyme", plants, shared)], [mix("tree", {"bark": 1})])
    (formula,) = (
        figure.formula
        for passage in why(one, find_demand(one), "Thyme").passages
        for figure in passage.figures
        if figure.name == "mix"
    )
    assert formula.startswith("mix for a pot x pots") is alike


def test_a_mix_in_a_mix_says_how_it_counts() -> None:
    """Where the usual loss in blending is taken, it says that an inner mix counts as fine."""
    inner = {"peat": 1, "perlite": 1}
    usual = Spread(0.10, 0.15, 0.20)
    one = plan(
        [group("Fig", 3, move(read_container("#1"), read_container("#3"), mix="tree"))],
        [mix("tree", {"bark": 3, "fine": 1}, shrink=usual), mix("fine", inner, shrink=0.1)],
    )
    sources = [
        figure.source
        for passage in why(one, find_demand(one), "Fig").passages
        for figure in passage.figures
        if figure.name == "shrink"
    ]
    assert sources
    assert "; a mix inside it counts as fine" in sources[0]
    assert "counts as fine" not in "".join(sources[1:])
