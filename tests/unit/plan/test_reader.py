"""What a plan file says, as records."""

from __future__ import annotations

import subprocess
import sys
import tomllib
from datetime import date, time
from fractions import Fraction
from pathlib import Path

import pytest
from attrs import fields

import rootroom
from rootroom.catalogue.spread import Spread
from rootroom.plan import reader
from rootroom.plan.drafts import starter_plan
from rootroom.plan.entries import PriceBreak
from rootroom.plan.reader import read_plan
from rootroom.plan.structure import key_of
from rootroom.plan.tables import (
    beds,
    containers,
    garden,
    ingredients,
    mixes,
    packs,
    plant_table,
    supplies,
    work,
)
from rootroom.plan.toml.spans import Stop, find_places
from rootroom.season import make_season

EXAMPLE = """
format = 1

supplies = [
  { of = "peat", pack = "3.8 cu ft", swells = { low = 1.5, likely = 1.7, high = 2.0 }, price = 15.20, from = "Mill Road", on_hand = 0.5 },
  { of = "coir", pack = "5 kg", yields = "65 L", water = "22 L", price = 11.00, from = "Mill Road" },
  { of = "perlite", pack = "4 cu ft", price = 31.40, from = "Mill Road", more = [ { packs = 3, price = 29.00 } ], at_most = 6 },
  { of = "pine bark", pack = "0.5 yd3", price = 19.00, from = "Bulk yard" },
  { of = "compost", have = "9 cu ft" },
  { of = "dolomitic lime", pack = "40 lb", weighs = "12 oz/cup", price = 7.00, from = "Mill Road" },
  { of = "#7 pot", pack = 10, price = 45.00, from = "Mill Road" },
  { of = "allround", pack = "2 cu ft", price = 12.30, from = "Mill Road" },
]

[garden]
name = "Ropewalk Yard"
units = "us"
currency = "USD"
zone = "America/New_York"
last_frost = 2027-04-12

[work]
days = ["sat", "sun"]
first = 2027-03-06
last = 2027-06-06
start = "09:00"
hours = { sat = 5, sun = 2.5 }
people = { default = 1, "2027-03-20" = 2 }
off = [2027-04-04]
spare = "15 %"
vessel = "2.5 cu ft"
scoop = "5 gal"
store = "6 cu ft"
store_days = 14
setup = "20 min"

[minutes]
"#5" = 8
"refresh half barrel" = 120

[factors]
packing = { low = 1.05, likely = 1.15, high = 1.25 }
spill = "2 %"
ball = 0.92

[buying]
sure = "80 %"

[mixes.allround]
parts = { "peat moss" = 4, compost = 2, perlite = 2 }
flex = "10 %"
hold = ["compost"]
shrink = "12 %"
add = { "dolomitic lime" = "2 lb/yd3" }
keeps = "14 days"

[mixes.tree]
parts = { bark = 5, peat = 1, perlite = 1 }
only = "own"
measured = { volume = "4 L", poured = "2.4 L", drained = "0.8 L", height = "8 in" }

[mixes.open]
parts = { allround = "2/3", perlite = "1/3" }

[mixes.bagged]

[ingredients."rice hulls"]
density = "100 kg/m3"

[containers."tall fig pot"]
round = { top = "14 in", bottom = "11 in", height = "13 in" }
headspace = "1.5 in"
on_hand = 6
[containers."#3"]
on_hand = 30

[[plants]]
name = "Fig, first pots"
crop = "fig"
count = 18
now = "#1"
stands = "2 ft x 3 ft"
moves = [
  { to = "#3", mix = "tree", from = "4 weeks before last frost", by = "last frost" },
  { to = "tall fig pot", mix = "tree", wait = "10 weeks", count = 6 },
]

[[plants]]
name = "Old fig"
count = 1
now = "half barrel"
moves = [ { refresh = "1/3", mix = "tree", by = "2 weeks before last frost", people = 2 } ]

[[plants]]
name = "Tomato"
crop = "tomato"
count = 24
now = "50-cell tray"
moves = [
  { to = "4 in square pot", mix = "allround", from = "2 weeks before last frost" },
  { to = "5 gal bag", mix = "allround", wait = "3 weeks", by = 2027-06-01, harden = "10 days", add = { "tomato feed" = "2 tbsp" } },
]

[[plants]]
name = "Squash"
count = 8
now = "4 in square pot"
to = "South bed"
from = "2 weeks after last frost"

[[plants]]
name = "Mint"
count = 4
now = "#1"

[[beds]]
name = "South bed"
shape = "8 ft x 4 ft"
depth = "11 in"
already = "3 in"
layers = [ { of = "logs", depth = "3 in" }, { of = "allround" }, { of = "straw", depth = "1 in" } ]
settles = "10 %"
from = 2027-03-20
by = "2 weeks after last frost"

[[beds]]
name = "Round bed"
shape = "round 5 ft"
top_up = "2 in"
mix = "open"

[suppliers."Mill Road"]
trip = 6.00
tax = "7 %"
[suppliers."Bulk yard"]
delivery = 55.00
least = "2 yd3"
lead = "3 days"
carries = ["30 cu ft", "800 lb"]
minutes = "40 min"
"""  # noqa: E501
SHORT = """
plants = [ { name = "Fig", count = 2, now = "#1", to = "#3", from = "last frost" } ]
[garden]
last_frost = 2027-04-12
[mixes.tree]
parts = { bark = 1 }
"""


@pytest.fixture(scope="module")
def example(tmp_path_factory):
    """Return the large example, which has one warning and no error."""
    path = tmp_path_factory.mktemp("plan") / "spring.toml"
    path.write_text(EXAMPLE, encoding="utf-8")
    plan, problems = read_plan(path)
    assert plan is not None, problems
    assert ["no-window"] == [problem.code for problem in problems]
    return plan


def read(tmp_path, text):
    """Return the plan of a text that has no error, and the codes of its warnings."""
    (tmp_path / "plan.toml").write_text(text, encoding="utf-8")
    plan, problems = read_plan(str(tmp_path / "plan.toml"))
    assert plan is not None, problems
    return plan, [problem.code for problem in problems]


def test_garden_and_factors(example):
    """Garden, factors and certainty are as written; what is not given is shipped."""
    assert "spring.toml" == example.file
    assert ("Ropewalk Yard", "us", "USD") == (
        example.garden.name,
        example.garden.system,
        example.garden.currency,
    )
    assert date(2027, 4, 12) == example.garden.last_frost
    assert Spread(1.05, 1.15, 1.25) == example.factors.packing
    assert Spread.exactly(0.02) == example.factors.spill
    assert Spread.exactly(0.92) == example.factors.ball
    assert 0.8 == example.sure_share


def test_work_days(example):
    """Weekdays between first and last, less the days off, with their own hours and people."""
    days = {day.date: day for day in example.work.days}

    assert date(2027, 4, 4) not in days
    assert 27 == len(days)
    assert (300.0, 2) == (days[date(2027, 3, 20)].minutes, days[date(2027, 3, 20)].people)
    assert (150.0, 1) == (days[date(2027, 3, 21)].minutes, days[date(2027, 3, 21)].people)
    assert time(9) == example.work.start
    assert 70.79211648 == pytest.approx(example.work.vessel_l)
    assert 18.92705892 == pytest.approx(example.work.scoop_l)
    assert (14, 20.0, 0.15) == (
        example.work.store_days,
        example.work.setup_min,
        example.work.spare_share,
    )


def test_minutes(example):
    """Minutes go by a container's one spelling, or by kind of work and container."""
    assert {"#5": 8.0, "refresh half barrel": 120.0} == {
        key: spread.likely for key, spread in example.minutes.items()
    }


def test_mixes(example):
    """Parts go by the one name of an ingredient; a mix without parts is bought."""
    allround = example.mixes["allround"]

    assert {"peat": 4, "compost": 2, "perlite": 2} == dict(allround.parts)
    assert Fraction(1, 10) == allround.flex
    assert {"compost"} == allround.hold
    assert Spread.exactly(0.12) == allround.shrink
    assert 14 == allround.keeps_days
    # 2 lb/yd3 is 2 x 0.45359237 kg in 764.554857984 L.
    assert 0.90718474 / 764.554857984 == pytest.approx(allround.add["dolomitic lime"].kg_per_l)
    assert "own" == example.mixes["tree"].only
    assert {"allround": Fraction(2, 3), "perlite": Fraction(1, 3)} == dict(
        example.mixes["open"].parts
    )
    assert example.mixes["bagged"].bought


def test_home_test_becomes_shares(example):
    """Poured over volume is the porosity, drained over volume the air."""
    measured = example.mixes["tree"].measured

    assert 0.6 == pytest.approx(measured.porosity_share)
    assert 0.2 == pytest.approx(measured.air_share)
    assert 0.2032 == pytest.approx(measured.core_height_m)


def test_moves_have_dates_and_containers(example):
    """Windows are dates, `now` of the next move is `to` of the move before, counts fall."""
    fig = example.plants[0]
    first, second = fig.kind.moves

    assert (date(2027, 3, 15), date(2027, 4, 12)) == (first.opens, first.due)
    assert ("#1", "#3", "#3") == (first.old.text, first.to.text, second.old.text)
    assert (example.work.first, example.work.last) == (second.opens, second.due)
    assert (True, False) == (first.dated, second.dated)
    assert 70 == second.wait_days
    assert (18, 6) == fig.counts
    assert 0.6096 * 0.9144 == pytest.approx(fig.kind.stands_m2)
    assert 1 / 3 == pytest.approx(example.plants[1].kind.moves[0].refresh)
    assert 2 == example.plants[1].kind.moves[0].people
    assert ("South bed", None, None) == (
        example.plants[3].kind.moves[0].place,
        example.plants[3].kind.moves[0].to,
        example.plants[3].kind.moves[0].mix,
    )
    assert () == example.plants[4].kind.moves


def test_tender_crop_moves_last_after_the_frost(example):
    """The last move of a tender crop opens at the last frost where it has no `from`."""
    early, late = example.plants[2].kind.moves

    assert example.plants[2].kind.tender
    assert date(2027, 3, 29) == early.opens
    assert date(2027, 4, 12) == late.opens
    assert 10 == late.harden_days
    # 2 tbsp are one fluid ounce.
    assert 0.0295735295625 == pytest.approx(late.add["tomato feed"].l)


def test_beds(example):
    """Depths, layers and windows of a bed; a top-up is a depth with nothing there."""
    south, other = example.beds

    assert 8 * 4 * 0.09290304 == pytest.approx(south.area_m2)
    assert (0.2794, 0.0762) == pytest.approx((south.depth_m, south.already_m))
    assert ["logs", "allround", "straw"] == [layer.of for layer in south.layers]
    assert (date(2027, 3, 20), date(2027, 4, 26)) == (south.opens, south.due)
    assert (0.0508, 0.0) == pytest.approx((other.depth_m, other.already_m))
    assert ["open"] == [layer.of for layer in other.layers]


def test_supplies(example):
    """Packs in their own unit, what they come to, prices in cents, suppliers."""
    peat, coir, perlite, bark, compost, lime, pots, ready = example.supplies

    assert (107.6040170496 * 1.5, 107.6040170496 * 2) == pytest.approx(
        (peat.loose_l.low, peat.loose_l.high)
    )
    assert (1520, Fraction(1, 2)) == (peat.price_cents, peat.on_hand)
    assert (5, Spread.exactly(65.0), 22.0) == (coir.pack.kilograms, coir.loose_l, coir.water_l)
    assert ((PriceBreak(3, 2900),), 6) == (perlite.more, perlite.at_most)
    assert ("bark", "ingredient", "Bulk yard") == (bark.of, bark.of_kind, bark.supplier)
    assert (None, None) == (compost.pack, compost.price_cents)
    assert 9 * 28.316846592 == pytest.approx(float(compost.have_l))
    assert "addition" == lime.of_kind
    assert 40 * 0.45359237 == pytest.approx(lime.mass_kg)
    # 40 lb at 12 oz a cup are 53 1/3 cups.
    assert 640 / 12 * 0.2365882365 == pytest.approx(lime.loose_l.likely)
    assert ("#7", "container", 10) == (pots.of, pots.of_kind, pots.pack.pieces)
    assert ("mix", 8) == (ready.of_kind, ready.number)
    assert (600, Fraction(7, 100)) == (
        example.suppliers["Mill Road"].trip_cents,
        example.suppliers["Mill Road"].tax_share,
    )
    yard = example.suppliers["Bulk yard"]
    assert (5500, 3, None) == (yard.delivery_cents, yard.lead_days, yard.trip_cents)
    assert 2 * 764.554857984 == pytest.approx(float(yard.least_l))
    # 30 cu ft of 28.316846592 L, 800 lb of 0.45359237 kg (NIST Handbook 44).
    assert (pytest.approx(849.50539776), pytest.approx(362.873896), 40.0) == (
        float(yard.carries_l), float(yard.carries_kg), yard.trip_min
    )  # fmt: skip


def test_containers_and_stock(example):
    """Own pots by name, stock by the one spelling; every used ingredient is there."""
    assert {"tall fig pot": 6, "#3": 30} == dict(example.stock)
    # Worked in the design: 14/11/13 in with 1.5 in headspace fills to 22.57732 L.
    assert 22.57732 == pytest.approx(example.containers["tall fig pot"].fill_l.likely, abs=5e-6)
    assert {"peat", "bark", "tomato feed", "rice hulls", "logs"} <= set(example.ingredients)
    assert "allround" not in example.ingredients


def test_short_plan_has_sensible_defaults(tmp_path):
    """Names, counts, containers, the last frost and a mix make a plan."""
    plan, warnings = read(tmp_path, SHORT)

    assert [] == warnings
    assert ("plan", "us", "USD", None) == (
        plan.garden.name,
        plan.garden.system,
        plan.garden.currency,
        plan.garden.zone,
    )
    assert (date(2027, 2, 15), date(2027, 6, 7)) == (plan.work.first, plan.work.last)
    assert {5, 6} == {day.date.weekday() for day in plan.work.days}
    assert {(240.0, 1)} == {(day.minutes, day.people) for day in plan.work.days}
    assert "tree" == plan.plants[0].kind.moves[0].mix
    assert 0.9 == plan.sure_share


@pytest.mark.parametrize(
    ("line", "expected"),
    [('currency = "EUR"', ("metric", "EUR")), ('units = "metric"', ("metric", "EUR"))],
)
def test_units_and_currency_go_together(line, expected, tmp_path):
    """One of them lets the other be guessed."""
    plan, _ = read(tmp_path, SHORT.replace("[garden]", f"[garden]\n{line}"))

    assert expected == (plan.garden.system, plan.garden.currency)
    assert (70.0, 10.0) == (plan.work.vessel_l, plan.work.scoop_l)


def test_list_of_dates_is_its_own_season(tmp_path):
    """Work days given as dates need neither first nor last."""
    text = SHORT + "[work]\ndays = [2027-04-17, 2027-04-24, 2027-05-01]\n"
    plan, _ = read(tmp_path, text)

    assert (date(2027, 4, 17), date(2027, 5, 1)) == (plan.work.first, plan.work.last)
    assert 3 == len(plan.work.days)


def test_shared_pots_are_remembered(tmp_path):
    """Plants that share a pot share its ball at the next move, and a refresh counts their pots."""
    text = SHORT.replace(
        'to = "#3", from = "last frost"',
        'moves = [ { to = "#5", per_pot = 2, from = "last frost" }, '
        '{ refresh = "1/3", by = 2027-05-20 }, { to = "#7", by = 2027-05-30 } ]',
    )
    plan, _ = read(tmp_path, text)

    assert [(1, 2), (2, 2), (2, 1)] == [
        (move.shared, move.per_pot) for move in plan.plants[0].kind.moves
    ]


@pytest.mark.parametrize(
    ("plant", "warns"),
    [
        ('now = "#1", to = "#20"', True),
        ('now = "#1", to = "#5"', False),
        ('now = "#1", to = "#20", big_step = true', False),
        ('now = "#1", to = "#3", crop = "lemon"', True),
        ('now = "#1", to = "#20", crop = "tomato", by = "6 weeks after last frost"', False),
        ('now = "72-cell tray", to = "#3"', False),
        ('now = "bare root", to = "#20"', False),
        ('now = "seed", to = "#3"', False),
        ('now = "P9", to = "1 L"', False),
    ],
)
def test_long_steps_warn(plant, warns, tmp_path):
    """More than six times the volume warns, twice for citrus; never what is small or annual."""
    text = SHORT.replace('now = "#1", to = "#3"', plant)
    _, warnings = read(tmp_path, text)

    assert (["long-step"] if warns else []) == warnings


def test_starter_plan_reads_without_a_problem(tmp_path):
    """What `rootroom new` writes passes, and is worth keeping."""
    plan, warnings = read(tmp_path, starter_plan())

    assert [] == warnings
    assert "invented" in starter_plan()
    assert len(plan.plants) >= 4
    assert len(plan.supplies) >= 8


def test_a_plant_serves_its_moves_and_days_differ(tmp_path):
    """A mix on the plant fills all pots but goes to no bed; quoted dates and 0 hours are read."""
    plan, _ = read(
        tmp_path,
        """
format = 1
plants = [
  { name = "Fig", count = 4, now = "#1", mix = "tree", moves = [
    { to = "#3", from = "2027-04-03", by = "2027-05-01" },
    { to = "#5", mix = "other", wait = "3 weeks", by = 2027-06-05 },
    { to = "ground", wait = "1 week" } ] },
]
[garden]
last_frost = "2027-04-12"
[work]
hours = { sat = 3, sun = 0 }
[mixes.tree]
parts = { bark = 5, peat = 1 }
[mixes.other]
parts = { bark = 5, peat = 2 }
""",
    )

    first, second, third = plan.plants.kinds[0].moves
    assert ("tree", "other", None) == (first.mix, second.mix, third.mix)
    assert (date(2027, 4, 3), date(2027, 5, 1)) == (first.opens, first.due)
    assert {(5, 180.0)} == {(day.date.weekday(), day.minutes) for day in plan.work.days}


def taken_in(chosen):
    """Return the starter plan with some of its examples, counted from 0, taken out of the notes.

    An example is a run of lines behind a `#` that are TOML; None takes them all.
    """
    lines, number, inside = [], -1, False
    for line in starter_plan().splitlines():
        bare = line.lstrip().removeprefix("# ")
        is_example = line.lstrip().startswith("# ") and bare.startswith(
            ("{ name", "beds = [", "  { name", "]", "[containers", "round", "headspace",
             "on_hand", "off =")
        )  # fmt: skip
        number += is_example and not inside
        inside = is_example
        lines.append(bare if is_example and chosen in (None, number) else line)
    return "\n".join(lines)


@pytest.mark.parametrize("chosen", [*range(9), None])
def test_starter_plan_works_with_its_notes_taken_in(chosen, tmp_path):
    """Every example that stands behind a `#` reads, alone and with all others, and can be done."""
    plan, warnings = read(tmp_path, taken_in(chosen))

    assert [] == warnings
    assert taken_in(chosen) != starter_plan()
    season = make_season(plan)
    assert season.schedule.complete
    assert "optimal" == season.shopping.status
    if chosen is None:
        assert {"Old fig", "Squash", "Sage", "Lemon", "Potatoes", "Chili"} <= set(plan.plants.names)
        assert ["South bed"] == [bed.name for bed in plan.beds]


def test_package_loads_nothing_until_a_name_is_used():
    """Importing the package is free; its public names come from their modules when asked for."""
    code = (
        "import sys, rootroom; before = set(sys.modules);"
        "assert not any(m.startswith('rootroom.') for m in before), before;"
        "assert 'attrs' not in before; rootroom.read_plan;"
        "assert 'rootroom.plan.reader' in sys.modules;"
        "assert 'pint' not in sys.modules and 'numpy' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)

    assert "read_plan" in dir(rootroom)
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        _ = rootroom.nothing


def test_table_over_lines_is_seen_where_the_language_allows_it():
    """TOML 1.1 reads a table over several lines; we name it whichever Python reads."""
    text = "a = [ { b = 1 }, { c = [\n 1,\n] },\n { d = 1,\n   e = { f = 2 } } ]\n"

    with pytest.raises(Stop) as stopped:
        find_places(text)
    assert text.index("{ d") == stopped.value.open[-1][1]


def test_keys_in_the_table_of_keys_are_those_that_are_read():
    """The table of keys names every key, and no other."""
    data = Path(reader.__file__).parent / "data" / "keys.toml"
    tables = {t["name"]: t["keys"] for t in tomllib.loads(data.read_text("utf-8"))["table"]}
    homes = {
        "[garden]": garden.GardenTable,
        "[work]": work.WorkTable,
        "[factors]": garden.FactorsTable,
        "[buying]": garden.BuyingTable,
        "[mixes.NAME]": mixes.MixTable,
        "[ingredients.NAME]": ingredients.IngredientTable,
        "[containers.NAME]": containers.ContainerTable,
        "a move": plant_table.MoveTable,
        "then": plant_table.CareTable,
        "beds": beds.BedTable,
        "supplies": packs.SupplyTable,
        "[suppliers.NAME]": supplies.SupplierTable,
    }
    for name, cls in homes.items():
        named = {key for row in tables[name] for key in row["key"].split(", ")}
        assert {key_of(field.name) for field in fields(cls)} == named, name
    plant = {key for row in tables["plants"] for key in row["key"].split(", ")}
    move = {key_of(field.name) for field in fields(plant_table.MoveTable)}
    read = {key_of(field.name) for field in fields(plant_table.PlantTable)}
    assert read == plant | move
