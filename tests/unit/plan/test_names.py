"""Two spellings that a person takes for one name are one name, wherever it stands."""

from __future__ import annotations

import unicodedata

import pytest

from rootroom.plan.names import closest, meant, one_name, suggest, tidy
from rootroom.plan.reader import read_plan

FAMILY = "\U0001f469\u200d\U0001f469\u200d\U0001f467"


def read(tmp_path, text, rows=None):
    """Return the plan of a text under a garden's head."""
    head = "[garden]\nlast_frost = 2027-04-12\n"
    (tmp_path / "plan.toml").write_text(head + text, encoding="utf-8")
    if rows is not None:
        (tmp_path / "plants.csv").write_text(rows, encoding="utf-8")
    return read_plan(tmp_path / "plan.toml")


def codes(problems):
    """Return the codes of errors."""
    return [problem.code for problem in problems if problem.severity == "error"]


SAME = [
    ("Fig", "Fig "),
    ("Fig", "FIG"),
    ("Fig", " fig"),
    ("Old fig", "Old  fig"),
    ("Old fig", "Old\u00a0fig"),
    ("Old fig", "Old\u2009fig"),
    (unicodedata.normalize("NFC", "Käthe"), unicodedata.normalize("NFD", "Käthe")),
    ("Straße", "STRASSE"),
]
PLANT = '[[plants]]\nname = "{}"\ncount = 2\nnow = "#1"\n'


@pytest.mark.parametrize(("one", "other"), SAME)
def test_error_two_plants_of_one_name(one, other, tmp_path):
    """Plants whose names differ in case, spaces or normal form alone have one name."""
    assert one_name(one) == one_name(other)
    _, problems = read(tmp_path, PLANT.format(one) + PLANT.format(other))
    assert ["duplicate-name"] == codes(problems)


@pytest.mark.parametrize(("one", "other"), SAME)
@pytest.mark.parametrize("kind", ["mixes", "ingredients", "containers", "suppliers"])
def test_error_two_tables_of_one_name(kind, one, other, tmp_path):
    """So have tables."""
    body = {
        "mixes": "parts = { peat = 1 }",
        "ingredients": 'density = "100 kg/m3"',
        "containers": 'volume = "5 L"',
        "suppliers": "trip = 3",
    }[kind]
    _, problems = read(tmp_path, f'[{kind}."{one}"]\n{body}\n[{kind}."{other}"]\n{body}\n')
    assert "duplicate-name" in codes(problems)


@pytest.mark.parametrize(("one", "other"), SAME)
def test_every_reference_finds_its_name_in_any_spelling(one, other, tmp_path):
    """A mix, a container, a bed, an ingredient and a supplier are found; the table's name stays."""
    plan, problems = read(
        tmp_path,
        f'''
[mixes."{one} mix"]
parts = {{ "{other} stuff" = 1, peat = 1 }}
hold = ["{one} stuff"]
[mixes.open]
parts = {{ "{other} mix" = 1, perlite = 1 }}
[ingredients."{one} stuff"]
density = "100 kg/m3"
[containers."{one} pot"]
volume = "5 L"
[suppliers."{one} yard"]
trip = 3.00
[[beds]]
name = "{one} bed"
shape = "8 ft x 4 ft"
depth = "10 in"
layers = [ {{ of = "{other} mix" }} ]
[[plants]]
name = "Bay"
count = 2
now = "#1"
moves = [ {{ to = "{other} pot", mix = "{other} mix" }}, {{ to = "{other} bed" }} ]
[[supplies]]
of = "{other} stuff"
pack = "5 L"
price = 3
from = "{other} yard"
''',
    )
    assert [] == codes(problems)
    kind = plan.plants.kinds[0]
    assert tidy(f"{one} mix") == kind.moves[0].mix == plan.beds[0].layers[0].of
    assert tidy(f"{one} pot") == kind.moves[0].to.text
    assert tidy(f"{one} bed") == kind.moves[1].place
    assert {tidy(f"{one} stuff"), "peat"} == set(plan.mixes[tidy(f"{one} mix")].parts)
    assert {tidy(f"{one} mix"), "perlite"} == set(plan.mixes["open"].parts)
    assert frozenset({tidy(f"{one} stuff")}) == plan.mixes[tidy(f"{one} mix")].hold
    assert tidy(f"{one} stuff") == plan.supplies[0].of
    assert [tidy(f"{one} yard")] == list(plan.suppliers)


@pytest.mark.parametrize("name", [FAMILY, f"Fig {FAMILY}", "Fig\u00a0tree", "می\u200cخواهم"])
def test_names_may_hold_joined_signs_and_other_spaces(name, tmp_path):
    """An emoji of several, letters that are not joined, and a no-break space stand in names."""
    plan, problems = read(tmp_path, PLANT.format(name))
    assert [] == codes(problems)
    assert [name.replace("\u00a0", " ")] == plan.plants.names

    plan, problems = read(
        tmp_path, '[[plants]]\nrows = "plants.csv"\n', f"name,count,now\n {name} ,2,#1\n"
    )
    assert [] == codes(problems)
    assert [name.replace("\u00a0", " ")] == plan.plants.names


@pytest.mark.parametrize("name", ["Fi\u200dg", "\u200dFig", "Fig\u202egib", "Fig\u200b"])
def test_error_what_hides_in_a_name_is_refused(name, tmp_path):
    """A joiner that joins nothing, a mark that turns the writing and a space of no width hide."""
    _, problems = read(tmp_path, PLANT.format(name))
    assert ["hidden-character"] == codes(problems)


def test_unknown_names_hint_at_what_differs():
    """Where two names look alike, the hint names the letter that differs."""
    assert suggest("аllround", ["allround"]) == (
        "did you mean `allround`? here is cyrillic small letter a where that has latin small "
        "letter a"
    )
    assert suggest("alround", ["allround"]) == "did you mean `allround`?"
    assert suggest("lime", ["allround"], "known: allround") == "known: allround"


def test_meant_prefers_the_name_as_written():
    """The exact name wins over another spelling."""
    assert meant("fig", ["Fig", "fig"]) == "fig"
    assert meant("FIG", ["Fig", "Bay"]) == "Fig"
    assert meant("figs", ["Fig"]) is None


def test_closest_is_asked_of_names_of_like_length_alone():
    """A near miss is found however long the others are."""
    assert closest("allruond", ["x" * 400, "allround", "a"]) == "allround"


@pytest.mark.parametrize("zone", ["localtime", "Factory", "posixrules", "posix/UTC", "../UTC", ""])
def test_error_zone_is_a_name_of_the_zone_data_base(zone, tmp_path):
    """Files beside the data base, and what stands in it for an unknown place, are no zones."""
    plan = tmp_path / "plan.toml"
    plan.write_text(f'[garden]\nlast_frost = 2027-04-12\nzone = "{zone}"\n')

    problems = read_plan(plan)[1]
    assert codes(problems) in (["unknown-zone"], ["empty-text"])
    assert f"`{zone}`" not in problems[0].hint


@pytest.mark.parametrize(
    ("price", "currency", "fine"),
    [("800", "JPY", True), ("800.00", "JPY", True), ("800.5", "JPY", False), ("8.5", "USD", True)],
)
def test_yen_have_no_decimals(price, currency, fine, tmp_path):
    """A currency without a smaller coin takes no decimals (ISO 4217: JPY has 0)."""
    _, problems = read(
        tmp_path,
        f'currency = "{currency}"\n[[supplies]]\nof = "peat"\npack = "5 L"\nprice = {price}\n'
        f'[suppliers."Yard"]\ntrip = {price}\n',
    )
    assert codes(problems) == ([] if fine else ["price-decimals"] * 2)


def test_the_bar_separates_too(tmp_path):
    """A list with bars between its columns is read as one with commas."""
    plan, _ = read(tmp_path, '[[plants]]\nrows = "plants.csv"\n', "name|count|now\nFig, old|2|#1\n")
    assert ["Fig, old"] == plan.plants.names


@pytest.mark.parametrize(
    ("text", "code", "hint"),
    [
        ("[work]\ndays = []\n", "no-work-days", 'write `days = ["sat", "sun"]`'),
        ("[work]\npeople = 0\n", "bad-count", "at least 1; a day without anybody goes into `off`"),
        ('[buying]\nsure = "100 %"\n', "bad-share", "`99 %` is the highest that helps"),
        (PLANT.format(" "), "empty-text", "write what belongs there"),
        ('[mixes.""]\nparts = { peat = 1 }\n', "empty-text", 'give it a name: `[mixes."..."]`'),
        (
            '[[plants]]\nrows = "C:\\\\lists\\\\figs.csv"\n',
            "rows-elsewhere",
            'and write `rows = "figs.csv"`',
        ),
        ('[[plants]]\nrows = "../a/figs.csv"\n', "rows-elsewhere", '`rows = "figs.csv"`'),
    ],
)
def test_error_what_is_empty_or_elsewhere_has_its_own_hint(text, code, hint, tmp_path):
    """Nothing of something is answered by what to write."""
    _, problems = read(tmp_path, text)
    assert [code] == [p.code for p in problems if p.severity == "error"]
    assert hint in problems[0].hint
