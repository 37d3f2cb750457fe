"""How sessions are shown: as text within 80 columns, and as one JSON object."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date, time
from fractions import Fraction

import pytest
from attrs import evolve

from rootroom.catalogue.ingredients import ingredients
from rootroom.plan.entries import Supply
from rootroom.plan.model import Plan
from rootroom.sessions.session import Batches, PlantLine, Session
from rootroom.sessions.timeline import Late
from rootroom.sheets.answers.as_json import sessions_json
from rootroom.sheets.answers.sessions import session_text, sessions_text
from rootroom.sheets.layout import water, wrapped
from rootroom.sheets.views.batches import addition_texts, measure_text, water_text
from rootroom.sheets.views.session import session_view
from rootroom.sheets.views.work_rows import dividing_text, pot_text
from rootroom.sheets.writing import ScreenWriter
from rootroom.units import show_volume
from tests.support.plans import HERE, bed, group, mix, move, nothing, plan, pot, tray, work
from tests.support.scheduling import days, minutes, scheduled

ONE, THREE = pot("#1", 2.5), pot("#3", 9.0)
TREE = mix("tree", {"bark": 2, "peat": 1})
HOSTILE = (
    "<script>alert(1)</script>",
    "=1+1",
    'a "quoted"\nname',
    "right\u202eto left\u200b",
    "\x1b[31mred",
    "🌱" * 40,
    "n" * 10_000,
)


US, METRIC = (ScreenWriter(units, "en_US", "USD") for units in ("us", "metric"))


def shown(one: Plan, session: Session) -> str:
    """Return a session as the terminal shows it."""
    return session_text(session_view(one, session, ScreenWriter.of(one.garden)))


def hostile_plan(names: Sequence[str]) -> object:
    """Return a plan whose plants, mix and bed carry such names."""
    long_old, long_new = pot("4 in square pot", 0.6), pot("the tall terracotta fig pot", 9.0)
    groups = [group(name, 6, move(ONE, THREE, harden_days=3)) for name in names]
    groups += [group(f"{name} again", 6, move(long_old, long_new)) for name in names]
    return plan(
        groups,
        [TREE],
        [bed(names[0], 0.4, 0.2, [("tree", None)])],
        work=work(days=days(6)),
        minutes=minutes(pot_3=5.0),
    )


def test_text_fits_80_columns_whatever_the_names() -> None:
    """No line is longer than 80 characters, and no name writes control characters."""
    one = hostile_plan(HOSTILE)
    text = sessions_text(one, scheduled(one), why=True)  # type: ignore[arg-type]

    assert [] == [line for line in text.splitlines() if len(line) > 80]
    assert "\x1b" not in text
    assert "\u202e" not in text


def test_json_has_the_keys_of_the_format_in_their_order() -> None:
    """The object has exactly the keys that the format names."""
    figs = group("Fig", 4, move(ONE, THREE))
    answer = json.loads(sessions_json(scheduled(plan([figs], [TREE], work=work(days=days(1))))))

    top = ["status", "late_plant_days", "bound_late_plant_days", "bound_sessions"]
    assert [*top, "sessions", "late", "left_out"] == list(answer)
    (session,) = answer["sessions"]
    keys = ["date", "minutes", "free_minutes", "work", "batches", "bring", "cautions"]
    assert keys == list(session)
    assert all(["kind", "name", "move", "count", "minutes"] == list(x) for x in session["work"])
    assert all(["mix", "l", "scoops"] == list(batch) for batch in session["batches"])
    bring = ["containers", "ingredients_l", "additions_kg", "water_l", "tools"]
    assert bring == list(session["bring"])
    assert "2027-03-06" == session["date"]
    moves = [line for line in session["work"] if line["kind"] == "move"]
    assert [("Fig", 1, 4)] == [(x["name"], x["move"], x["count"]) for x in moves]


def test_json_names_late_plants() -> None:
    """Late plants stand with their move, how many and how many days."""
    figs = group("Fig", 25, move(ONE, THREE, due=date(2027, 3, 6)))
    own = minutes(pot_3=6.0, blend=10.0)
    answer = json.loads(
        sessions_json(scheduled(plan([figs], [TREE], work=work(days=days(2)), minutes=own)))
    )

    assert 14 == answer["late_plant_days"]
    assert [{"plant": "Fig", "move": 1, "count": 2, "days": 7}] == answer["late"]


def test_why_says_what_a_day_earlier_or_later_would_cost() -> None:
    """Sage has one day for each move, four plants of Bay could wait."""
    sage = group(
        "Sage",
        4,
        move(nothing("cutting"), ONE, opens=date(2027, 3, 6), due=date(2027, 3, 6)),
        move(ONE, THREE, number=2, opens=date(2027, 3, 20), due=date(2027, 3, 20), harden_days=7),
    )
    bay = group("Bay", 4, move(ONE, THREE, opens=date(2027, 3, 20), due=date(2027, 3, 28)))

    def text(*groups: object) -> str:
        one = plan(groups, [TREE], work=work(days=days(4)))  # type: ignore[arg-type]
        return sessions_text(one, scheduled(one), why=True)

    assert (
        "Why these days\n"
        "  Sat 6 Mar 2027: it is the first work day; 13 Mar would be too late for Sage.\n"
        "  Sat 20 Mar 2027: 13 Mar is too early for Sage, Bay; 27 Mar would be too late\n"
        "    for Sage.\n"
    ) in text(sage, bay)
    assert (
        "  Sat 20 Mar 2027: 13 Mar is too early for Bay; no date would be missed on 27\n    Mar.\n"
    ) in text(bay)


def test_nothing_to_do() -> None:
    """A plan without moves says so and is proved."""
    made = scheduled(plan([], [TREE], work=work(days=days(1))))

    assert "Nothing to do: no plant moves and no bed is filled." == sessions_text(plan(), made)
    assert "optimal" == json.loads(sessions_json(made))["status"]


@pytest.mark.parametrize(("cells", "count", "trays"), [(50, 50, 1), (50, 51, 2)])
def test_whole_trays_are_brought(cells: int, count: int, trays: int) -> None:
    """A begun tray is brought whole."""
    seed = group("Tomato", count, move(nothing(), tray(cells, 0.05)))
    answer = json.loads(sessions_json(scheduled(plan([seed], [TREE], work=work(days=days(1))))))

    assert {f"{cells}-cell tray": trays} == answer["sessions"][0]["bring"]["containers"]


@pytest.mark.worked
@pytest.mark.parametrize(
    ("cups", "text"),
    [(12, "12 cups"), (8, "¼ scoop"), (15, "½ scoop"), (26, "¾ scoop"), (3, "3 cups")],
)
def test_a_pot_is_measured_in_scoops_only_where_they_come_close(cups: int, text: str) -> None:
    """Of a 2 gal scoop (32 cups) a quarter is 8 cups: it stands for 8, not for 12 cups."""
    cup_l = 0.2365882365
    line = PlantLine(
        kind="move", name="Fig", count=1, minutes=1.0, start=time(9), move=1, old="#1", new="#3",
        pots=1, mix="tree", pot_l=cups * cup_l, pot_scoops=cups / 32,
    )  # fmt: skip

    assert text == pot_text(line, US)


@pytest.mark.worked
def test_an_addition_is_given_for_a_batch_and_the_last_smaller_one() -> None:
    """Of 5 units, 2 to a batch, with 500 g of lime each batch gets 200 g, the last one 100 g."""
    lime = {"dolomitic lime": 0.5}
    batch = Batches(
        "tree", 25.0, 5, 2, 1, 10.0, 5.0, {"bark": 2}, {"bark": 5}, {"bark": 25.0}, lime
    )

    expected = "200 g dolomitic lime to a batch, 100 g to the last, 500 g in all"
    assert [expected] == addition_texts(batch, METRIC)


@pytest.mark.worked
@pytest.mark.parametrize(("litres", "text"), [(42.0, "12 gal"), (8.4, "2¼ gal"), (1.0, "4½ cups")])
def test_water_is_poured_in_gallons(litres: float, text: str) -> None:
    """42 L are 11.1 gal, rounded up; nobody pours 1 1/2 cu ft of water."""
    assert text == water(litres, "us")


def test_the_water_of_a_mix_is_named_as_one_water() -> None:
    """The evening's water and the mix's are the same, and what to bring has no third."""
    figs = group("Fig", 4, move(ONE, THREE))
    soaked = mix("tree", {"coir": 1})
    one = plan([figs], [soaked], work=work(days=days(1)), ingredients=ingredients())
    (session,) = scheduled(one).sessions
    (batch,) = session.batches
    text = shown(one, session)

    assert sum(step.water_l for step in session.before) == pytest.approx(batch.water_l)
    assert "of water in all, poured the evening before to soak coir" in water_text(batch, METRIC)
    assert "\nWater" not in text


def test_an_own_heap_is_not_fetched() -> None:
    """Of 200 L of bark in a heap nothing is fetched; peat is, for all sessions at once."""
    heap = Supply(1, "bark", "ingredient", HERE, have_l=Fraction(200))
    figs = group("Fig", 24, move(ONE, THREE))
    own = minutes(pot_3=12.0)
    one = plan([figs], [TREE], work=work(days=days(3)), minutes=own, supplies=[heap])
    sessions = scheduled(one).sessions
    fetched = {x.name: x.amount for s in sessions for x in s.before if x.kind == "fetch"}
    peat = sum(s.bring.ingredients_l.get("peat", 0.0) for s in sessions)

    assert 1 < len(sessions)
    assert {"#3", "peat"} == set(fetched)
    assert peat == pytest.approx(fetched["peat"])


def test_a_measure_that_is_not_the_scoop_goes_by_its_size() -> None:
    """Where the card halves the scoop, only what fills the pots is called a scoop."""
    batch = Batches("tree", 10.0, 1, 1, 0, 10.0, 2.5, {"bark": 2}, {"bark": 2}, {"bark": 5.0})

    assert "scoops of 2.5 L, level" == measure_text(batch, 2.5, "metric")
    assert "measures of 2.5 L, level (not the 5 L scoop)" == measure_text(batch, 5.0, "metric")


def test_batches_for_a_bed_are_tipped_one_by_one() -> None:
    """A bed of six batches is filled batch by batch, and its portions stand in one row."""
    long_bed = bed("Long bed", 1.2, 0.30, [("tree", None)])
    one = plan([], [TREE], [long_bed], work=work(days=days(1)), minutes=minutes(fill_bed=60.0))
    (session,) = scheduled(one).sessions
    text = shown(one, session)

    assert 1 < len([line for line in session.work if line.kind == "fill bed"])
    assert 1 == text.count("fill bed: Long bed")
    assert "  then    tip each batch into Long bed, then blend the next" in text


def test_dividing_and_sharing_a_pot_are_told() -> None:
    """A clump divided in three, three to a pot, is one pot; a knife or spade comes along."""
    clumps = group("Chives", 3, move(ONE, THREE, into=3, per_pot=3))
    one = plan([clumps], [TREE], work=work(days=days(1)))
    (session,) = scheduled(one).sessions
    line = next(line for line in session.plant_lines)

    assert 9 == line.count
    assert "divide 3 in 3 each, 3 to a pot, 3 pots" == dividing_text(line)
    assert "Chives: divide 3 in 3 each, 3 to a pot, 3 pots" in shown(one, session)
    assert "knife or spade" in session.bring.tools


def test_the_table_counts_batches_and_names_containers_in_full() -> None:
    """The row of blending has the batches of the heading; long names take a second line."""
    long_old, long_new = pot("4 in square pot", 0.6), pot("the tall terracotta pot", 9.0)
    figs = group("Fig", 10, move(long_old, long_new))
    one = plan([figs], [TREE], work=work(days=days(1)))
    (session,) = scheduled(one).sessions
    rows = shown(one, session).splitlines()
    blend = next(row for row in rows if "blend: tree" in row)
    at = next(number for number, row in enumerate(rows) if "move: Fig" in row)

    batch = session.batches[0]
    assert str(batch.full + (batch.units_last > 0)) == blend.split()[-1]
    assert "4 in square pot" in rows[at]
    assert "to the tall terracotta pot" == rows[at + 1].strip()
    assert "water in, with each move" == " ".join(rows[at + 2].split()[:5])


def test_of_many_late_moves_the_latest_are_shown_and_the_others_counted() -> None:
    """Twelve lines, the latest and then the largest first, and one for all the others."""
    one = plan([group("Fig", 4, move(ONE, THREE))], [TREE], work=work(days=days(1)))
    late = tuple(Late(f"Row {n}", 1, n % 3 + 1, n // 2, days(1)[0].date) for n in range(1000))
    schedule = evolve(scheduled(one), late=late, late_plant_days=9)
    rows = sessions_text(one, schedule).split("\n\n")[1].splitlines()

    assert 1 + 12 + 1 == len(rows)
    assert "  Row 998, move 1: 3 on Sat 6 Mar 2027, 499 days late" == rows[1]
    assert "  Row 999, move 1: 1 on Sat 6 Mar 2027, 499 days late" == rows[2]
    plants = sum(one.count for one in late if one.days < 494)
    assert f"  and 988 more rows, {plants} plants (sessions --json has them all)" == rows[-1]


def test_rows_of_a_long_day_that_make_the_same_move_are_added_together() -> None:
    """Of 100 rows with two moves two lines are left, with all plants; 40 lines stay as they are."""
    small = pot("#2", 5.0)
    rows = [group(f"Row {n}", 1 + n % 2, move(ONE, (THREE, small)[n % 2])) for n in range(100)]
    own = minutes(pot_3=0.5, pot_2=0.5)
    one = plan(rows, [TREE], work=work(days=days(1, people=4)), minutes=own)
    (session,) = scheduled(one).sessions
    few = evolve(session, work=session.work[:40])
    text = shown(one, session)

    moves = [line.split()[1:] for line in text.splitlines() if "move:" in line]
    assert 104 == len(session.work)
    expected = [["50", "rows", n, "#1", "to", new] for n, new in (("50", "#3"), ("100", "#2"))]
    assert expected == [line[1:7] for line in moves]
    assert (
        "Rows that make the same move are added together; sessions --json has every row."
        in text.splitlines()
    )
    assert "Rows that make" not in shown(one, few)


def test_stored_mix_is_among_what_to_bring_and_no_amount_parts_from_its_unit() -> None:
    """Mix that an earlier session left over stands with what it is of, on one line."""
    figs = group("Fig", 24, move(ONE, THREE))
    one = plan([figs], [TREE], work=work(days=days(3)), minutes=minutes(pot_3=12.0))
    sessions = [session for session in scheduled(one).sessions if session.bring.stored_l]
    (litres,) = sessions[0].bring.stored_l.values()
    text = shown(one, sessions[0])

    assert f"{show_volume(litres, 'metric', up=True)} tree (stored)" in text
    long = wrapped("Bring", [f"{n} × 4 in square pot (bought)" for n in range(40)])
    rows = [row.removeprefix("Bring").strip().rstrip(",") for row in long.splitlines()]
    assert all(row.endswith("square pot (bought)") for row in rows)
