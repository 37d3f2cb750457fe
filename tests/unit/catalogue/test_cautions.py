"""Cautions: at the step that they concern, ranked, few on a sheet, and never a promise."""

import pytest

from rootroom.catalogue.cautions import ON_A_SHEET, cautions, cautions_for, cautions_on_sheet
from rootroom.catalogue.ingredients import ingredients


def keys(*args, **named):
    """Return the keys of the cautions that are due."""
    return [one.key for one in cautions_for(*args, ingredients=ingredients(), **named)]


def test_nothing_without_work():
    """Where nothing is done nothing is said."""
    assert keys() == []


@pytest.mark.parametrize(
    ("handled", "actions", "places", "kilograms", "key"),
    [
        (["perlite"], ["blend"], [], 0, "dust"),
        (["peat"], ["moisten"], [], 0, "dust"),
        (["peat"], ["move"], [], 0, "legionella"),
        (["topsoil"], ["blend"], [], 0, "dust"),
        ([], ["fill bed"], ["bed"], 0, "shovelling"),
        ([], ["wash"], [], 0, "washing"),
        ([], ["move"], [], 10, "lifting"),
        (["manure"], ["fill bed"], ["bed"], 0, "manure"),
        (["compost"], ["blend"], [], 0, "compost"),
        ([], ["fill bed"], ["bed"], 0, "treated-timber"),
        ([], ["plant out"], ["ground"], 0, "lead"),
        (["sand"], ["blend"], [], 0, "silica"),
        ([], ["refresh"], [], 0, "blades"),
        ([], ["fetch"], [], 0, "bags"),
        ([], [], ["deck"], 0, "floor"),
        ([], ["blend"], [], 0, "heat"),
        ([], ["plant out"], [], 0, "tetanus"),
    ],
)
def test_shown_where_it_concerns(handled, actions, places, kilograms, key):
    """Each caution is shown at the work that it is about."""
    assert key in keys(handled, actions, places, heaviest_kg=kilograms)


@pytest.mark.parametrize(
    ("handled", "actions", "places", "kilograms", "key"),
    [
        (["bark"], ["blend"], [], 0, "dust"),
        (["perlite"], ["wash"], [], 0, "dust"),
        ([], ["sell"], [], 0, "legionella"),
        (["topsoil"], ["blend"], [], 0, "shovelling"),
        ([], ["move"], [], 9.9, "lifting"),
        (["peat"], ["blend"], [], 0, "moss"),
        (["dolomitic lime"], ["blend"], [], 0, "hydrated-lime"),
        (["peat"], ["move"], [], 0, "treated-timber"),
        (["peat"], ["move"], [], 0, "lead"),
    ],
)
def test_not_shown_where_it_does_not_concern(handled, actions, places, kilograms, key):
    """No caution stands at a step that it does not concern: dolomite does not burn."""
    assert key not in keys(handled, actions, places, heaviest_kg=kilograms)


def test_most_urgent_first_and_few_on_a_sheet():
    """Ranks rise, three stand on the sheet and the others on the season page."""
    due = cautions_for(
        ["perlite", "compost", "manure"],
        ["blend", "move", "wash"],
        ["bed"],
        ingredients=ingredients(),
        heaviest_kg=30,
    )
    assert [one.rank for one in due] == sorted(one.rank for one in due)
    sheet, rest = cautions_on_sheet(due)
    assert len(sheet) == ON_A_SHEET
    assert sheet + rest == due


def test_every_caution_can_be_set_off_and_has_its_source():
    """Each has a trigger, a source and a line that fits two lines of a checklist; none promises."""
    for one in cautions():
        assert one.traits or one.ingredients or one.actions or one.places or one.kilograms
        assert one.sources
        assert len(one.line) <= 180, one.key
        assert 0 < len(one.brief) <= 80, one.key
        assert "safe" not in (one.brief + one.line + one.more).casefold().replace("make safe", "")
    names = [one.key for one in cautions()]
    assert len(set(names)) == len(names)


def test_masks_both_the_advice_and_the_finding():
    """On masks the agencies' advice and the study's finding stand in one line."""
    line = next(one.line for one in cautions() if one.key == "legionella")
    assert "Agencies advise a fitted mask" in line
    assert "study" in line


@pytest.mark.parametrize(
    ("handled", "actions", "places", "kilograms"),
    [
        (["perlite", "peat"], ["blend", "move", "wash", "moisten", "fetch"], [], 20),
        (["topsoil", "compost", "coir"], ["blend", "fill bed", "soak"], ["bed"], 0),
        (["sand", "pumice"], ["blend", "move", "fetch"], ["deck"], 28),
    ],
)
def test_dust_stands_on_the_sheet_of_a_day_that_blends(handled, actions, places, kilograms):
    """Whatever else is done that day, the dust of blending is among the few on its sheet."""
    due = cautions_for(handled, actions, places, ingredients=ingredients(), heaviest_kg=kilograms)

    assert {"dust", "legionella"} <= {one.key for one in cautions_on_sheet(due)[0]}
