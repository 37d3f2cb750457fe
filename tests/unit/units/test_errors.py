"""Whole texts of what is refused, with hints."""

from __future__ import annotations

import time

import pytest

from rootroom import units
from rootroom.problems import TextError
from tests.support.patience import PATIENCE_S

VOLUME = "write it as `2.5 cu ft` or `7 L`"
NUMBERS = "write numbers as `2`, `2.5`, `3/4` or `1 1/2`"
QUART = "write `dry qt` as on a bag of mix, or `liq qt`"
RATE = "write it as `2 lb/yd3`, `3 g/L` or `2 tbsp/gal`"


def _refusal(read, text):
    with pytest.raises(TextError) as caught:
        read(text)
    return caught.value.message, caught.value.code, caught.value.hint


@pytest.mark.parametrize(
    ("text", "message", "code", "hint"),
    [
        ("25 qt", "`qt` can mean more than one unit: `25 qt`", "ambiguous-unit", QUART),
        ("25 Quarts", "`Quarts` can mean more than one unit: `25 Quarts`", "ambiguous-unit", QUART),
        ("2", "a volume needs a unit: `2`", "missing-unit", VOLUME),
        ("3 gall", "unknown unit `gall`: `3 gall`", "unknown-unit", "did you mean `gal`?"),
        ("3 xyzzy", "unknown unit `xyzzy`: `3 xyzzy`", "unknown-unit", VOLUME),
        ("4 C", "`C` can mean more than one unit: `4 C`", "ambiguous-unit", "write `cup`"),
        (
            "3 yd",
            "`yd` does not measure a volume: `3 yd`",
            "wrong-unit",
            "`yd` is a length; a volume is `yd3`",
        ),
        (
            "8 oz",
            "`oz` does not measure a volume: `8 oz`",
            "wrong-unit",
            "`oz` is a weight; a volume is `fl oz`",
        ),
        ("2 lb", "`lb` does not measure a volume: `2 lb`", "wrong-unit", VOLUME),
        (
            "1,5 L",
            "volume has a comma in its number: `1,5 L`",
            "comma-in-number",
            "write `1.5` with a decimal point",
        ),
        (
            "1,000 L",
            "volume has a comma in its number: `1,000 L`",
            "comma-in-number",
            "write `1000` for thousands, `1.000` with a decimal point",
        ),
        (
            "1 000 L",
            "volume has a space in its number: `1 000 L`",
            "bad-number",
            "write `1000` in one piece, a mixed number as `1 1/2`",
        ),
        ("-3 L", "volume is negative: `-3 L`", "negative-number", ""),
        ("−3 L", "volume is negative: `−3 L`", "negative-number", ""),
        ("inf L", "volume is not a finite number: `inf L`", "not-finite", ""),
        ("nan", "volume is not a finite number: `nan`", "not-finite", ""),
        (
            "1e400 L",
            "volume has an exponent in its number: `1e400 L`",
            "bad-number",
            "write the number in full, as `1500`",
        ),
        ("1_000 L", "volume has a number that cannot be read: `1_000 L`", "bad-number", NUMBERS),
        ("1/0 L", "volume divides by zero: `1/0 L`", "bad-number", ""),
        (
            "1 3/2 L",
            "volume is a mixed number whose fraction is not below one: `1 3/2 L`",
            "bad-number",
            "write it as `1 1/2`",
        ),
        (
            "1-2 gal",
            "volume is one number, not a range: `1-2 gal`",
            "bad-number",
            "write the value that you plan on",
        ),
        (
            "9999999999999 L",
            "volume is too large (at most 1e+12): `9999999999999 L`",
            "number-too-large",
            "",
        ),
        (
            "3 gal + 2 L",
            "a volume is one number and one unit: `3 gal + 2 L`",
            "two-units",
            VOLUME,
        ),
        (
            "1 gal 2 cups",
            "a volume is one number and one unit: `1 gal 2 cups`",
            "two-units",
            VOLUME,
        ),
        (
            "L",
            "volume does not start with a number: `L`",
            "bad-number",
            "write how much it holds, a number and a unit: `5 gal` or `20 L`",
        ),
        ("٣ L", "volume does not start with a number: `٣ L`", "bad-number", NUMBERS),
        ("", "volume is empty: ``", "empty-text", ""),
        ("   ", "volume is empty: `   `", "empty-text", ""),
        (
            "3\nL",
            "volume holds a character that cannot be seen: `3\\u000aL`",
            "hidden-character",
            "type the text anew rather than pasting it",
        ),
        (
            "3 \u202eL",
            "volume holds a character that cannot be seen: `3 \\u202eL`",
            "hidden-character",
            "type the text anew rather than pasting it",
        ),
        (
            "7" * 10_000,
            f"volume is longer than 200 characters (10000): `{'7' * 57}...`",
            "text-too-long",
            "",
        ),
    ],
)
def test_error_volume(text, message, code, hint):
    """A volume that cannot be read says why, and what to write."""
    assert (message, code, hint) == _refusal(units.read_volume_l, text)


@pytest.mark.parametrize(
    ("text", "message", "code", "hint"),
    [
        (
            "5 ft 13 in",
            "length in two units that do not fit together: `5 ft 13 in`",
            "two-units",
            "the first is a whole number, the second below 12; or write it in one unit",
        ),
        ("5 ft -3 in", "length is negative: `5 ft -3 in`", "negative-number", ""),
        (
            "2 cu ft",
            "`cu ft` does not measure a length: `2 cu ft`",
            "wrong-unit",
            "write it as `14 in`, `11 ft 9 in` or `30 cm`",
        ),
    ],
)
def test_error_length(text, message, code, hint):
    """A length likewise."""
    assert (message, code, hint) == _refusal(units.read_length_m, text)


@pytest.mark.parametrize(
    ("text", "message", "code", "hint"),
    [
        ("5 lb", "a rate is an amount for each volume: `5 lb`", "missing-unit", RATE),
        ("2 %", "a rate is an amount for each volume: `2 %`", "missing-unit", RATE),
        (
            "5 lb/yd",
            "`yd` does not measure a volume: `5 lb/yd`",
            "wrong-unit",
            "`yd` is a length; a volume is `yd3`",
        ),
        ("5 lb/", "a volume needs a unit: `5 lb/`", "missing-unit", VOLUME),
        ("5 lb/qt", "`qt` can mean more than one unit: `5 lb/qt`", "ambiguous-unit", QUART),
        ("5 ft/yd3", "`ft` does not measure a rate: `5 ft/yd3`", "wrong-unit", RATE),
        ("lb/yd3", "rate does not start with a number: `lb/yd3`", "bad-number", NUMBERS),
        ("2 lb/0 L", "rate for each volume of nothing: `2 lb/0 L`", "bad-number", ""),
    ],
)
def test_error_rate(text, message, code, hint):
    """A rate likewise."""
    assert (message, code, hint) == _refusal(units.read_rate, text)


@pytest.mark.parametrize(
    ("read", "text", "message", "code", "hint"),
    [
        (
            units.read_mass_kg,
            "1 ton",
            "`ton` can mean more than one unit: `1 ton`",
            "ambiguous-unit",
            "write `short ton` (2000 lb), `long ton` (2240 lb) or `tonne` (1000 kg)",
        ),
        (
            units.read_amount,
            "1 T",
            "`T` can mean more than one unit: `1 T`",
            "ambiguous-unit",
            "write `tsp`, `tbsp` or `tonne`",
        ),
        (
            units.read_amount,
            "3",
            "an amount needs a unit: `3`",
            "missing-unit",
            "write it as `40 lb`, `9 cu ft`, `70 L` or `2 tbsp`",
        ),
        (
            units.read_density_kg_per_m3,
            "2 cups/bu",
            "`cups` does not measure a density: `2 cups/bu`",
            "wrong-unit",
            "write it as `100 kg/m3` or `12 oz/cup`",
        ),
        (
            units.read_minutes,
            "20 m",
            "`m` does not measure a time: `20 m`",
            "wrong-unit",
            "minutes are `min`",
        ),
        (
            units.read_duration_days,
            "1 1/2 weeks",
            "number of days is not whole: `1 1/2 weeks`",
            "not-whole-days",
            "write it as `10 days` or `3 weeks`",
        ),
        (
            units.read_duration_days,
            "2 months",
            "`months` can mean more than one unit: `2 months`",
            "ambiguous-unit",
            "write weeks or days; months differ in length",
        ),
        (
            units.read_share,
            "12",
            "a share needs its `%`: `12`",
            "missing-unit",
            "write it as `12 %` or as a fraction, `1/3`",
        ),
        (
            units.read_share,
            "12 lb",
            "unknown unit of a share: `12 lb`",
            "unknown-unit",
            "write it as `12 %` or `1/3`",
        ),
        (
            units.read_number,
            "12 %",
            "number is a plain number: `12 %`",
            "bad-number",
            "leave out `%`",
        ),
    ],
)
def test_error_other_kinds(read, text, message, code, hint):
    """The other readers likewise."""
    assert (message, code, hint) == _refusal(read, text)


@pytest.mark.parametrize(
    "text",
    [
        "1" * 200,
        "1/" * 100,
        "1 " * 100,
        "'" * 200,
        "1 1/2 " * 33,
        "ft" * 100,
        "1 ft " * 40,
        "½" * 200,
    ],
)
def test_error_comes_quickly(text):
    """Texts made to be slow are refused at once."""
    start = time.perf_counter()
    for read in (units.read_volume_l, units.read_length_m, units.read_rate, units.read_share):
        with pytest.raises(TextError):
            read(text)

    assert time.perf_counter() - start < PATIENCE_S
