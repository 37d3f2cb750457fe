"""Laws of reading and showing amounts."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from rootroom import units
from rootroom.problems import TextError
from rootroom.units.known_units import AMBIGUOUS, SPELLINGS

pytestmark = pytest.mark.property

READERS = (
    units.read_volume_l,
    units.read_length_m,
    units.read_area_m2,
    units.read_mass_kg,
    units.read_minutes,
    units.read_duration_days,
    units.read_amount,
    units.read_rate,
    units.read_density_kg_per_m3,
    units.read_share,
    units.read_number,
)
SYSTEMS = st.sampled_from(["us", "metric"])
SHOWN = {
    "volume": units.read_volume_l,
    "length": units.read_length_m,
    "area": units.read_area_m2,
    "mass": units.read_mass_kg,
    "time": units.read_minutes,
    "share": units.read_share,
    "density": units.read_density_kg_per_m3,
    "rate": lambda text: units.read_rate(text).kg_per_l,
}
PIECES = st.lists(
    st.one_of(
        st.sampled_from([*SPELLINGS, *AMBIGUOUS, "/", " per ", " ", "%", ","]),
        st.sampled_from(["1", "2.5", "1 1/2", "½", "-", "+", "e9", "inf", "0", "1/0", "^3", "³"]),
        st.text(max_size=3),
    ),
    max_size=8,
).map("".join)
amounts = st.floats(min_value=1e-9, max_value=1e7, allow_nan=False)


@settings(max_examples=300, deadline=None)
@given(text=st.one_of(st.text(max_size=30), PIECES))
@example(text="1 ft 2")
@example(text="1/ft3/ft3")
@example(text="²½ L")
def test_reading_raises_nothing_but_a_refusal(text):
    """Whatever is written, a reader answers or refuses with a message on one line."""
    refusals = []
    for read in READERS:
        try:
            read(text)
        except TextError as refusal:
            refusals.append(refusal)

    assert all((r.message + r.hint).isprintable() and r.message and r.code for r in refusals)


@settings(max_examples=200, deadline=None)
@given(value=amounts, kind=st.sampled_from(sorted(SHOWN)), system=SYSTEMS, up=st.booleans())
def test_what_is_shown_is_read_back_and_shown_the_same(value, kind, system, up):
    """Showing is stable: what is shown reads as an amount that shows as the same text."""
    text = units.show(value, kind, system, up=up)
    again = SHOWN[kind](text)

    assert again > 0
    assert text == units.show(again, kind, system, up=up)
    assert text == units.show(again, kind, system)


@settings(max_examples=200, deadline=None)
@given(value=amounts, system=SYSTEMS)
def test_rate_by_volume_is_stable_too(value, system):
    """A rate by spoon is shown in a text that reads as the same."""
    text = units.show_rate(units.Rate(None, value), system)

    assert text == units.show_rate(units.read_rate(text), system)


@settings(max_examples=200, deadline=None)
@given(value=st.floats(min_value=0.01, max_value=1e6), system=SYSTEMS)
def test_rounding_is_no_coarser_than_measuring(value, system):
    """A volume of two teaspoons or more is shown within a quarter of itself."""
    shown = units.read_volume_l(units.show_volume(value, system))

    assert abs(shown - value) <= value / 4


@settings(max_examples=200, deadline=None)
@given(value=amounts, kind=st.sampled_from(["volume", "mass", "length", "time"]), system=SYSTEMS)
def test_rounding_up_is_enough(value, kind, system):
    """What is rounded up is never less than the amount."""
    assert SHOWN[kind](units.show(value, kind, system, up=True)) >= value * (1 - 1e-8)


@settings(max_examples=100, deadline=None)
@given(
    whole=st.integers(0, 500),
    over=st.integers(1, 15),
    spelling=st.sampled_from(sorted(SPELLINGS)),
)
def test_all_spellings_of_a_number_and_a_unit_agree(whole, over, spelling):
    """A mixed number, a decimal and an improper fraction of any spelling are one amount."""
    name = SPELLINGS[spelling]
    first = next(s for s, n in SPELLINGS.items() if n == name)
    decimal = f"{float(whole + Fraction(over, 16)):.4f}"
    texts = [
        f"{whole} {over}/16 {spelling}",
        f"{whole}-{over}/16 {spelling}",
        f"{whole * 16 + over}/16{spelling}",
        f"{decimal} {spelling.upper() if len(spelling) > 1 else spelling}",
        f"{decimal} {first}",
    ]

    assert len({_read_any(text) for text in texts}) == 1


def _read_any(text: str) -> tuple[str, float]:
    for kind in ("volume", "length", "area", "mass", "time"):
        try:
            return kind, SHOWN[kind](text)
        except TextError as refusal:
            if refusal.code != "wrong-unit":
                raise
    raise AssertionError(text)


@settings(max_examples=100, deadline=None)
@given(count=st.integers(1, 1000), text=st.sampled_from(["gal", "cu ft", "dry qt", "L", "tbsp"]))
def test_volume_is_in_proportion(count, text):
    """So many of a unit are so many times one, to the last digit of a float."""
    assert count * units.read_volume_l(f"1 {text}") == pytest.approx(
        units.read_volume_l(f"{count} {text}"), rel=1e-15
    )


@settings(max_examples=100, deadline=None)
@given(feet=st.integers(0, 99), inches=st.integers(0, 11))
def test_feet_and_inches_are_inches(feet, inches):
    """Feet and inches together are the inches that they come to."""
    total = units.read_length_m(f"{12 * feet + inches} in")

    assert total == units.read_length_m(f"{feet} ft {inches} in")
    assert total == units.read_length_m(f"{feet}' {inches}\"")
