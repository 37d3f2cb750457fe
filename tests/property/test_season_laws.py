"""Laws of whole seasons over drawn plans: what is brought, what more of something does, twins.

The sums are done again here from the sessions' own lines and cards and the plan's own rates.
The suite draws 40; `LAWS=500 python -m pytest tests/property/test_season_laws.py` draws 500.
"""

from __future__ import annotations

import os
import tempfile
from collections import Counter
from functools import cache
from pathlib import Path

import pytest

from rootroom.buying.shop import shop
from rootroom.demand.find import Demand, find_demand
from rootroom.demand.needs import common_level
from rootroom.plan.model import Plan
from rootroom.plan.reader import read_plan
from rootroom.season import Season
from rootroom.sessions.session import BedLine, PlantLine
from tests.support.seasons import season_of
from tests.support.small_plans import MORE, Change, small_plan

pytestmark = pytest.mark.property

SEEDS = range(int(os.environ.get("LAWS", "40")))
BENT = [300, 354]
"""Plans whose list would bend a recipe to one of four times the unit, and so ask a session more."""

EXACT = 1e-6
MILLILITRE = 1e-3
"""Each plant's and layer's mix is rounded up to a whole one [L]."""


@cache
def season(seed: int, change: Change = "") -> Season:
    """Return the season of a drawn plan, or of one that has more of something."""
    return season_of(small_plan(seed, change))


def read(text: str) -> Plan:
    """Return the plan of a text."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "plan.toml"
        path.write_text(text, encoding="utf-8")
        plan, problems = read_plan(path)
    assert plan is not None, problems
    return plan


def brought(made: Season) -> dict[str, Counter[str]]:
    """Return what all sessions bring, by kind of good and name [L, kg, pieces]."""
    found: dict[str, Counter[str]] = {"l": Counter(), "ready": Counter(), "kg": Counter()}
    for session in made.schedule.sessions:
        found["l"].update(session.bring.ingredients_l)  # type: ignore[arg-type]
        found["ready"].update(session.bring.ready_l)  # type: ignore[arg-type]
        found["kg"].update(session.bring.additions_kg)  # type: ignore[arg-type]
        assert not session.bring.additions_l
    return found


def test_error_the_laws_are_tried_on_something() -> None:
    """The drawn plans are proved, and have beds, nested mixes, additions and pots that serve."""
    made = [season(seed) for seed in SEEDS]

    assert sum(one.schedule.status == one.shopping.status == "optimal" for one in made) >= 7
    assert any(one.plan.beds for one in made)
    assert any(part.is_mix for one in made for c in one.blending.cards.values() for part in c.parts)
    assert any(line.add for one in made for day in one.schedule.sessions for line in day.work)
    assert any(day.bring.from_stock for one in made for day in one.schedule.sessions)
    assert any(len(one.schedule.sessions) > 2 for one in made)
    assert any(one.schedule.late_plant_days for one in made)


@pytest.mark.parametrize("seed", SEEDS)
def test_ingredients_and_additions_are_brought_as_they_are_used(seed: int) -> None:
    """Scoops on the cards and layers of beds are all ingredients, rates and pots all additions."""
    made = season(seed)
    plan, cards, sessions = made.plan, made.blending.cards, made.schedule.sessions
    litres: Counter[str] = Counter()
    kg: Counter[str] = Counter()
    for session in sessions:
        for batch in session.batches:
            card, mix = cards[batch.mix], plan.mixes[batch.mix]
            for part in card.parts:
                scoops = part.scoops / card.units * batch.units
                litres[part.of] += 0 if part.is_mix else scoops * card.scoop_l  # type: ignore[assignment]
            for name, rate in mix.add.items():
                kg[name] += rate.l_per_l * plan.density_kg_per_l(name) * batch.litres  # type: ignore
        for line in session.work:
            if isinstance(line, BedLine) and line.of not in plan.mixes:
                litres[line.of] += line.mix_l  # type: ignore[assignment]
        for line in session.plant_lines:
            for name, amount in line.add.items():
                kg[name] += amount.kg * line.pots  # type: ignore
    assert +litres == pytest.approx(+brought(made)["l"], abs=EXACT)
    assert +kg == pytest.approx(+brought(made)["kg"], abs=EXACT)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_list_and_the_stock_have_what_is_brought(seed: int) -> None:
    """Bought contents and what was had are at least what is brought, of each good that is sold."""
    made = season(seed)
    there: Counter[str] = Counter()
    for line in made.shopping.lines:
        there[line.of] += line.contents  # type: ignore[assignment]
    left = {one.of: one.left for one in made.shopping.left}
    for use in made.shopping.stock:
        there[use.of] += use.used  # type: ignore[assignment]
    for amounts in brought(made).values():
        for name, amount in amounts.items():
            assert amount <= max(there[name], there[name] + left.get(name, 0.0)) + EXACT, name


@pytest.mark.parametrize("seed", SEEDS)
def test_pots_filled_are_bought_had_or_freed_before(seed: int) -> None:
    """Each pot that a move fills is brought; no more from stock, shops or moves than there are."""
    made = season(seed)
    filled: Counter[str] = Counter()
    from_there: Counter[str] = Counter()
    freed: Counter[str] = Counter()
    served: Counter[str] = Counter()
    for session in made.schedule.sessions:
        bring = session.bring
        served.update(bring.from_freed)
        assert all(served[name] <= freed[name] for name in served)
        freed.update(session.frees)
        assert all(x > 0 for x in (*bring.ready_l.values(), *bring.stored_l.values()))
        from_there.update(bring.from_stock)
        filled.update({line.new: line.pots for line in session.plant_lines if line.pots})
        today = Counter(bring.containers)
        wanted: Counter[str] = Counter()
        for line in session.work:
            if isinstance(line, PlantLine) and line.pots and line.kind != "refresh":
                wanted[str(line.new)] += line.pots
        assert +today == +wanted
    assert all(from_there[name] <= made.plan.stock.get(name, 0) for name in from_there)
    bought = dict(made.schedule.containers_to_buy)
    listed = {line.of: line.contents for line in made.shopping.lines if line.kind == "container"}
    assert all(count <= listed[name] for name, count in bought.items())


@pytest.mark.parametrize("seed", SEEDS)
def test_mix_made_is_mix_used_and_less_than_a_unit_over_a_day(seed: int) -> None:
    """Blended and out of bags covers pots, beds and outer mixes; less than a unit a day is over."""
    made = season(seed)
    cards, sessions = made.blending.cards, made.schedule.sessions
    had: Counter[str] = Counter()
    spent: Counter[str] = Counter()
    days: Counter[str] = Counter()
    pieces = 0
    for session in sessions:
        had.update(session.bring.ready_l)  # type: ignore[arg-type]
        for batch in session.batches:
            had[batch.mix] += batch.litres  # type: ignore[assignment]
            days[batch.mix] += 1
            card = cards[batch.mix]
            for part in card.parts:
                if part.is_mix:
                    spent[part.of] += part.litres / card.units * batch.units  # type: ignore[assignment]
        for line in session.work:
            if line.mix:
                spent[line.mix] += line.mix_l  # type: ignore[assignment]
                pieces += line.count
    for name in {*had, *spent}:
        unit_l = cards[name].unit_l if name in cards else 0.0
        over = had[name] - spent[name]
        assert -EXACT <= over <= unit_l * max(days[name], 1) + MILLILITRE * pieces, name


@pytest.mark.parametrize("seed", SEEDS)
def test_the_list_tells_how_far_its_recipes_are_from_the_plans(seed: int) -> None:
    """Shares stand beside those that the plan gives, and the cards are by those used."""
    made = season(seed)
    for name, how in made.shopping.made.items():
        shares = made.plan.mixes[name].shares
        for part in how.parts:
            assert float(part.planned_share) == pytest.approx(shares[part.of])
        card = made.blending.cards.get(name)
        if card is not None and how.blended_l and how.bent:
            assert [float(part.share) for part in how.parts] == pytest.approx(
                [part.share for part in card.parts]
            )


@pytest.mark.parametrize("seed", [*SEEDS, *BENT])
def test_more_of_something_is_never_worse(seed: int) -> None:
    """More room, time or days: lateness and sessions are no more, where both are proved."""
    change = MORE[seed % len(MORE)]
    before, after = season(seed).schedule, season(seed, change).schedule
    if before.status == after.status == "optimal":
        assert (after.late_plant_days, len(after.sessions)) <= (
            before.late_plant_days, len(before.sessions)
        )  # fmt: skip
    # Where all of the work fits, more room does not prove that it does not.
    assert "infeasible" not in (before.status, after.status) or before.status == "infeasible"


def needs_list(text: str) -> tuple[Demand, int]:
    """Return the demand of a plan and what its proved list costs [cents], without sessions."""
    plan = read(text)
    demand = find_demand(plan, draws=400)
    found = shop(plan, common_level(demand, plan.sure_share))
    assert found.status == "optimal"
    return demand, found.cost_cents


@pytest.mark.parametrize("change", ["stock", "price"])
@pytest.mark.parametrize("seed", range(16))
def test_more_stock_or_a_lower_price_never_costs_more(seed: int, change: Change) -> None:
    """A pack on hand more, or a tenth off the peat, never makes the proved list dearer."""
    assert needs_list(small_plan(seed, change))[1] <= needs_list(small_plan(seed))[1]


def amounts(demand: Demand) -> dict[str, float]:
    """Return the median of every mix, ingredient and addition."""
    found = {**demand.mixes, **demand.ingredients}
    medians = {name: figure.median for name, figure in found.items()}
    return medians | {name: one.amount.median for name, one in demand.additions.items()}


@pytest.mark.parametrize("seed", range(16))
def test_the_metric_twin_and_a_split_group_take_the_same(seed: int) -> None:
    """Amounts and cost do not depend on the units, nor on how a group is written down."""
    demand, cost = needs_list(small_plan(seed))
    for twin in (small_plan(seed, metric=True), small_plan(seed, "split")):
        other, cents = needs_list(twin)
        assert amounts(demand) == pytest.approx(amounts(other), rel=1e-9)
        assert cost == cents


@pytest.mark.parametrize("seed", SEEDS[::4])
def test_a_split_group_has_the_same_days(seed: int) -> None:
    """One row of plants or two: no more late, no more sessions, where both are proved."""
    one, two = season(seed).schedule, season(seed, "split").schedule
    if one.status == two.status == "optimal":
        assert one.late_plant_days == two.late_plant_days
        assert len(one.sessions) == len(two.sessions)
    assert ("infeasible" == one.status) == ("infeasible" == two.status)


@pytest.mark.parametrize("seed", SEEDS[1::20])
def test_the_metric_twin_has_the_same_season(seed: int) -> None:
    """Days, batches, what is brought and what it costs are those of the plan in US units."""
    first, second = season(seed), season_of(small_plan(seed, metric=True))
    for one, two in zip(first.schedule.sessions, second.schedule.sessions, strict=True):
        assert one.date == two.date
        assert [x.units for x in one.batches] == [x.units for x in two.batches]
        assert one.bring.ingredients_l == pytest.approx(two.bring.ingredients_l, rel=1e-9)
        assert one.bring.additions_kg == pytest.approx(two.bring.additions_kg, rel=1e-9)
        assert one.bring.containers == two.bring.containers
    assert first.shopping.cost_cents == second.shopping.cost_cents
