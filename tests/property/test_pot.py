"""Laws of water and air in pots that hold for every shape, curve and mix."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rootroom.catalogue.curves import published_mixes, retentions
from rootroom.catalogue.ingredients import ingredients
from rootroom.catalogue.spread import Spread
from rootroom.containers.shapes import Box, Cone, Cylinder, Pyramid, Stack
from rootroom.pot.curve import Curve
from rootroom.pot.fitting import fit_curve
from rootroom.pot.lifting import lift
from rootroom.pot.mixture import figures_of_parts
from rootroom.pot.water import water_and_air

pytestmark = pytest.mark.property

SIZE = st.floats(0.03, 0.8)
CURVE = st.builds(
    lambda theta_s, share, alpha, n: Curve(theta_s, share * theta_s, 10**alpha, n),
    st.floats(0.2, 0.97),
    st.floats(0, 0.9),
    st.floats(-3, 1.5),
    st.floats(1.05, 8),
)


@given(CURVE, SIZE, SIZE, SIZE)
def test_air_and_water_make_the_porosity(curve, top, bottom, height):
    """Air + water = porosity, and both lie between nothing and it."""
    found = water_and_air(Cone(top, bottom, height), curve)
    assert found.air_share + found.capacity_share == pytest.approx(curve.theta_s, abs=1e-12)
    assert -1e-12 <= found.air_share <= curve.theta_s
    assert curve.theta_r - 1e-12 <= found.capacity_share <= curve.theta_s + 1e-12
    assert curve.theta_r - 1e-12 <= found.unavailable_share <= found.capacity_share + 1e-12


@given(CURVE, SIZE, SIZE, st.floats(1.01, 4))
def test_taller_pot_never_has_less_air(curve, width, height, ratio):
    """With straight walls a taller pot holds at least as much air (Owen and Altland 2008)."""
    short = water_and_air(Cylinder(width, height), curve)
    tall = water_and_air(Cylinder(width, height * ratio), curve)
    assert tall.air_share >= short.air_share - 1e-10


@given(CURVE, SIZE, SIZE, st.floats(0.2, 0.95))
def test_wider_above_holds_less_water(curve, width, height, ratio):
    """More of a pot that widens upwards lies high: it never holds a greater share of water."""
    straight = water_and_air(Cylinder(width, height), curve)
    widening = water_and_air(Cone(width, width * ratio, height), curve)
    assert widening.capacity_share <= straight.capacity_share + 1e-10


@given(CURVE, SIZE, SIZE, SIZE)
def test_only_the_height_counts_with_straight_walls(curve, side, other, height):
    """Form and width of straight walls do not matter."""
    box = water_and_air(Box(side, other, height), curve)
    round_one = water_and_air(Cylinder(0.3, height), curve)
    assert box.capacity_share == pytest.approx(round_one.capacity_share, abs=1e-12)


@given(CURVE, SIZE, SIZE, SIZE, st.lists(st.floats(0.05, 0.95), min_size=1, max_size=3))
def test_slices_add_up_in_any_cut(curve, top, bottom, height, cuts):
    """A pot cut into slices and stacked again holds what the whole one holds."""
    marks = sorted({0.0, 1.0, *(round(cut, 6) for cut in cuts)})
    widths = [bottom + (top - bottom) * mark for mark in marks]
    slices = [
        Cone(widths[i + 1], widths[i], height * (marks[i + 1] - marks[i]))
        for i in range(len(marks) - 1)
    ]
    whole = water_and_air(Cone(top, bottom, height), curve)
    stacked = water_and_air(Stack(slices), curve)
    assert stacked.capacity_share == pytest.approx(whole.capacity_share, abs=1e-9)


@given(st.floats(0.3, 0.97), st.floats(0.05, 0.95), st.floats(0.02, 0.5), st.floats(1.12, 4))
def test_fit_gives_back_what_was_measured(porosity, share, core, n):
    """A fitted curve holds the measured water in the core that it was measured in."""
    capacity = porosity * share
    curve = fit_curve(
        porosity_share=porosity, capacity_share=capacity, core_m=core, n=n, residual_share=0.05
    )
    found = water_and_air(Cylinder(0.1, core), curve)
    assert found.capacity_share == pytest.approx(capacity, abs=1e-8)
    assert found.porosity_share == porosity


@given(
    st.dictionaries(st.sampled_from(sorted(retentions())), st.integers(1, 9), min_size=1),
    st.floats(0, 0.2),
    st.floats(0.05, 0.4),
)
def test_blend_keeps_its_balance(parts, shrink, height):
    """Likely air and water sum to the pores; every range holds its likely value; dry mass stays."""
    known = {name: part for name, part in parts.items() if name in ingredients()}
    if not known:
        return
    whole = sum(known.values())
    shares = {name: part / whole for name, part in known.items()}
    figures = figures_of_parts("mix", shares, Spread(0.0, shrink, 0.3), ingredients=ingredients())
    assert figures.water is not None
    found = figures.water.in_pots([Pyramid((0.2, 0.2), (0.15, 0.1), height)])[0]
    assert found.air.likely + found.capacity.likely == pytest.approx(found.porosity.likely)
    assert 0 <= found.air.low
    assert 0 <= found.available.low <= found.capacity.high <= found.porosity.high < 1
    assert found.available.likely <= found.capacity.likely
    lost = shrink if len(shares) > 1 else 0.0
    mass = sum(
        share * ingredients()[name].dry_density_kg_per_m3.likely for name, share in shares.items()
    )
    assert figures.dry_kg_per_m3.likely * (1 - lost) == pytest.approx(mass)


KNOWN = [mix for mix in published_mixes() if all(name in retentions() for name in mix.parts)]


@pytest.mark.parametrize("mix", KNOWN, ids=lambda one: one.name)
def test_order_of_parts_changes_nothing(mix):
    """Parts in another order give the same figures to the last bit that is shown."""
    shares = {name: part / 100 for name, part in mix.parts.items()}
    turned = dict(reversed(shares.items()))
    found = [
        figures_of_parts("mix", one, Spread(0, 0.1, 0.2), ingredients=ingredients())
        .water.in_pots([Cylinder(0.1, 0.1)])[0]
        .capacity
        for one in (shares, turned)
    ]
    assert found[0].low == pytest.approx(found[1].low, abs=1e-12)
    assert found[0].likely == pytest.approx(found[1].likely, abs=1e-12)


@given(
    st.sampled_from(["us", "metric"]),
    st.floats(0, 60),
    st.floats(0, 60),
    st.floats(0, 60),
    st.floats(0, 130),
    st.floats(0, 15),
    st.floats(0.1, 8),
    st.sampled_from(["good", "fair", "poor"]),
)
def test_limit_is_never_above_the_constant(system, h, v, d, a, per_min, hours, coupling):
    """No lift has a limit above the load constant; a worse hold or more lifts never raise it."""
    values = {"h": h, "v": v, "d": d, "a": a, "hours": hours}
    found = lift(system, per_min=per_min, coupling=coupling, **values)
    assert 0 <= found.limit <= (51 if system == "us" else 23)
    assert (found.limit == 0) == bool(found.outside)
    assert lift(system, per_min=per_min, coupling="poor", **values).limit <= found.limit + 1e-12
    assert lift(system, per_min=per_min + 1, coupling=coupling, **values).limit <= found.limit
