"""The catalogue's data files: complete, sourced, and read into what they say."""

from __future__ import annotations

import pytest

from rootroom.catalogue.containers import container_table
from rootroom.catalogue.ingredients import (
    factor,
    factor_rows,
    find_ingredient,
    ingredient_aliases,
    ingredients,
    usual_shrink,
)
from rootroom.catalogue.minutes import minutes, minutes_rows
from rootroom.catalogue.tables import GRADES, read_table
from rootroom.catalogue.uses import crops, find_crop

FILES = ("containers", "crops", "factors", "ingredients", "minutes")


def rows_in(value):
    """Yield every table within a data file, whatever its depth."""
    if isinstance(value, dict):
        yield value
        for each in value.values():
            yield from rows_in(each)
    elif isinstance(value, list):
        for each in value:
            yield from rows_in(each)


def keys_of(row):
    """Return the keys of a row's sources, the first one being what its grade is of."""
    return [row["source"]] if isinstance(row["source"], str) else row["source"]


@pytest.mark.parametrize("name", FILES)
def test_every_source_is_listed_and_used(name):
    """Each `source` is a key under [sources], and each of those stands beside some row."""
    table = dict(read_table(name))
    listed = set(table.pop("sources"))
    used = {key for row in rows_in(table) if "source" in row for key in keys_of(row)}

    assert listed == used


@pytest.mark.parametrize("name", FILES)
def test_every_sourced_row_has_a_grade(name):
    """No figure stands without how far it can be trusted."""
    rows = [row for row in rows_in(read_table(name)) if "source" in row]

    assert rows
    assert [] == [row for row in rows if row.get("grade") not in GRADES]


def test_rows_from_memory_say_so():
    """What rests on memory or on common practice alone is graded M, and nothing else is."""
    table = read_table("containers")
    weak = {"practice", "ansi-memory"}
    rows = [row for row in rows_in(table) if "source" in row]

    assert [] == [r for r in rows if (keys_of(r)[0] in weak) != (r["grade"] == "M")]


def test_classes_have_their_bands():
    """The bands are those of the standard's table, low and high."""
    bands = {
        name: (round(row.brim_l.low / 0.016387064, 6), round(row.brim_l.high / 0.016387064, 6))
        for name, row in container_table().classes.items()
    }

    assert {
        "#SP1": (6.5, 8.0),
        "#SP2": (13.0, 15.0),
        "#SP3": (20.0, 30.0),
        "#SP4": (51.0, 63.0),
        "#SP5": (93.0, 136.0),
        "#1": (152.0, 251.0),
        "#2": (320.0, 474.0),
        "#3": (628.0, 742.0),
        "#5": (785.0, 1242.0),
        "#7": (1337.0, 1790.0),
        "#10": (2080.0, 2646.0),
        "#15": (2768.0, 3696.0),
        "#20": (4520.0, 5152.0),
        "#25": (5775.0, 6861.0),
    } == bands


def test_no_class_holds_549_cubic_inches():
    """The classes leave gaps, and 549 cubic inches lie in one."""
    litres = 549 * 0.016387064

    assert [] == [row.name for row in container_table().classes.values() if row.holds_brim(litres)]


def test_headspace_grows_with_width():
    """A quarter inch below 3 in, half below 7, one below 14, one and a half below 20, then two."""
    inches = [
        round(container_table().headspace_m(width * 0.0254) / 0.0254, 6)
        for width in (2, 3, 6, 7, 13.9, 14, 20, 40)
    ]

    assert [0.25, 0.5, 0.5, 1.0, 1.0, 1.5, 2.0, 2.0] == inches


def test_shipped_ingredients_of_the_plan_format():
    """Every name that the plan format promises is there, with a density."""
    promised = (
        *("peat", "coir", "bark", "compost", "manure", "leaf mold", "old mix", "perlite"),
        *("vermiculite", "pumice", "sand", "grit", "topsoil", "loam", "logs", "straw"),
        *("worm castings", "dolomitic lime", "tomato feed"),
    )

    assert [] == [name for name in promised if name not in ingredients()]
    assert [] == [row.name for row in ingredients().values() if row.density_kg_per_m3 is None]


def test_dry_is_lighter_than_as_handled():
    """No ingredient weighs more without its water."""
    rows = [row for row in ingredients().values() if row.dry_density_kg_per_m3 is not None]

    assert [] == [
        row.name for row in rows if row.dry_density_kg_per_m3.likely > row.density_kg_per_m3.likely
    ]


def test_another_spelling_finds_the_ingredient():
    """Aliases lead to one ingredient each and are no names themselves."""
    assert "bark" == find_ingredient("Pine  Bark").name
    assert find_ingredient("unobtainium") is None
    assert set() == set(ingredient_aliases()) & set(ingredients())
    assert sum(len(row.aliases) for row in ingredients().values()) == len(ingredient_aliases())


def test_shipped_factors():
    """The factors that a plan may name, at their shipped values."""
    assert {
        "packing": (1.05, 1.15, 1.55),
        "spill": (0.0, 0.02, 0.05),
        "ball": (0.80, 0.92, 1.00),
        "settles": (0.05, 0.10, 0.20),
    } == {
        name: (row.spread.low, row.spread.likely, row.spread.high)
        for name, row in factor_rows().items()
        if name in ("packing", "spill", "ball", "settles")
    }


def test_every_factor_says_how_to_replace_it():
    """Beside each stands what to measure and the line to write."""
    assert [] == [row.name for row in factor_rows().values() if not (row.measure and row.line)]


def test_usual_shrink_by_what_is_mixed():
    """One part shrinks nothing, like parts a little, fine in coarse the most."""
    assert usual_shrink([True]) is None
    assert factor("shrink_like") == usual_shrink([False, False]).spread
    assert factor("shrink_unlike") == usual_shrink([True, False, False]).spread


@pytest.mark.parametrize(
    ("kind", "litres", "likely"),
    [("up-pot", 0.6, 1.0), ("up-pot", 2.3, 3.0), ("up-pot", 13.1, 8.0), ("refresh", 100.0, 45.0)],
)
def test_minutes_at_the_table_rows(kind, litres, likely):
    """At a row of the table its own figure counts."""
    assert likely == minutes(kind, litres).likely


@pytest.mark.parametrize("litres", [0.01, 0.05, 0.147, 0.6, 1.0, 2.3, 9.2, 20.0, 49.0, 150.0])
def test_a_nursery_is_never_slower(litres):
    """Of every kind of work its minutes are at most those at home, and some kinds are the same."""
    slower = [
        kind
        for kind in minutes_rows()
        for name in ("low", "likely", "high")
        if getattr(minutes(kind, litres, "nursery"), name)
        > getattr(minutes(kind, litres), name) + 1e-9
    ]

    assert [] == slower
    assert minutes("setup") == minutes("setup", pace="nursery")


def test_minutes_by_the_litre_and_by_the_piece():
    """Blending grows with the litres; a label takes what it takes."""
    assert 100 * minutes("blend").likely == pytest.approx(minutes("blend", 100.0).likely)
    assert minutes("label") == minutes("label", 50.0)
    assert {"up-pot", "refresh", "plant out", "wash", "blend", "fill bed"} <= set(minutes_rows())


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: minutes("juggle"), "kind of work must be one of up-pot,"),
        (lambda: minutes("up-pot", -1.0), "amount must not be negative, got -1.0"),
        (lambda: factor("luck"), "factor must be one of packing,"),
    ],
)
def test_error_names_what_is_shipped(call, message):
    """A name that is not in the catalogue is a mistake of the caller."""
    with pytest.raises(ValueError, match=message):
        call()


def test_crops_by_their_common_names():
    """Plurals, kinds and trees of a crop are that crop; two-word names win."""
    assert find_crop("Cherry tomatoes") == crops()["tomato"]
    assert find_crop("fig tree") == crops()["fig"]
    assert find_crop("sweet potatoes") == crops()["sweet potato"]
    assert find_crop("peaches") == crops()["peach"]
    assert find_crop("ambrosia") is None
    assert find_crop("  ") is None


def test_crops_have_their_traits():
    """Tomatoes are tender annuals, lemons tender and slow, figs woody."""
    traits = {
        name: (row.tender, row.annual, row.small_steps, row.woody)
        for name, row in crops().items()
        if name in ("tomato", "lemon", "fig")
    }

    assert {
        "tomato": (True, True, False, False),
        "lemon": (True, False, True, False),
        "fig": (False, False, False, True),
    } == traits
