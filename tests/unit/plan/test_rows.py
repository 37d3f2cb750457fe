"""Plants from a spreadsheet's CSV."""

from __future__ import annotations

import pytest

from rootroom.plan.reader import read_plan

HEAD = """
[garden]
last_frost = 2027-04-12

[mixes.tree]
parts = { bark = 5, peat = 1 }

[[plants]]
rows = "plants.csv"
"""
ROWS = "name,crop,count,now,to,from\nFig,fig,2,#1,#3,last frost\nBay,bay,3,#1,#3,last frost\n"


def read(tmp_path, rows, plan=HEAD):
    """Return the plan with these rows, and the codes of its problems."""
    (tmp_path / "plan.toml").write_text(plan, encoding="utf-8")
    data = rows if isinstance(rows, bytes) else rows.encode()
    (tmp_path / "plants.csv").write_bytes(data)
    plan, problems = read_plan(tmp_path / "plan.toml")
    return plan, [problem.code for problem in problems]


def groups(plan):
    """Return names and counts."""
    return [(group.name, group.count) for group in plan.plants]


@pytest.mark.parametrize(
    "rows",
    [
        ROWS,
        ROWS.replace(",", ";"),
        "\ufeff" + ROWS,
        ROWS.replace("\n", "\r\n"),
        "sep=,\n" + ROWS,
        ROWS.rstrip(),
        ROWS.replace("name,crop,count", "Name, Crop ,COUNT"),
        ROWS + "\n\n,,,,,\n",
        ROWS.replace("\n", ",,\n"),
        ROWS.replace("Bay,", '"Bay",'),
    ],
    ids=["comma", "semicolon", "mark", "crlf", "sep", "no-end", "head", "blank", "wide", "quoted"],
)
def test_forms_of_one_list_say_the_same(rows, tmp_path):
    """Separator, mark, line ends, blank rows and quotes make no difference."""
    plan, codes = read(tmp_path, rows)

    assert codes == []
    assert [("Fig", 2), ("Bay", 3)] == groups(plan)


def test_rows_that_differ_in_name_and_count_share_a_kind(tmp_path):
    """Ten thousand rows of two kinds make two kinds."""
    lines = [f"Plant {i},{i % 40 + 1},#{1 + i % 2},#5,last frost" for i in range(10_000)]
    plan, codes = read(tmp_path, "name,count,now,to,from\n" + "\n".join(lines))

    assert codes == []
    assert 2 == len(plan.plants.kinds)
    assert 10_000 == len(plan.plants)
    assert ("Plant 9999", 40) == groups(plan)[-1]
    assert "#2" == plan.plants[9999].kind.now.text


def test_row_without_now_is_the_next_move(tmp_path):
    """Moves follow each other in rows; names and counts of the first row stand for all."""
    rows = (
        "name,count,now,to,from,wait\n"
        "Fig,18,#1,#3,last frost,\n,,,#5,,4 weeks\nFig,6,,#7,,2 weeks\n"
        "Bay,2,#1,#3,last frost,\n"
    )
    plan, _ = read(tmp_path, rows)

    assert [("Fig", 18), ("Bay", 2)] == groups(plan)
    assert ["#3", "#5", "#7"] == [move.to.text for move in plan.plants[0].kind.moves]
    assert (18, 18, 6) == plan.plants[0].counts
    assert 28 == plan.plants[0].kind.moves[1].wait_days


def test_next_moves_are_joined_across_batches(tmp_path):
    """A move whose plant was the last row of a batch is not lost."""
    rows = "name,count,now,to,from,wait\n"
    for i in range(2000):
        rows += f"Plant {i},3,#1,#3,last frost,\n"
        if i % 7 == 3 or i in (255, 511, 1023):
            rows += ",,,#5,,2 weeks\n"
    plan, _ = read(tmp_path, rows)

    expected = [2 if i % 7 == 3 or i in (255, 511, 1023) else 1 for i in range(2000)]
    assert expected == [len(group.kind.moves) for group in plan.plants]
    assert [f"Plant {i}" for i in range(2000)] == list(plan.plants.names)


def test_keys_beside_rows_are_defaults(tmp_path):
    """A filled cell wins over the default, an empty one takes it; moves may be shared."""
    plan, _ = read(
        tmp_path,
        "name,count,now,to\nFig,2,#1,\nBay,3,#1,#5\n",
        HEAD + 'to = "#3"\nfrom = "last frost"\n',
    )
    assert ["#3", "#5"] == [group.kind.moves[0].to.text for group in plan.plants]

    plan, _ = read(
        tmp_path,
        "name,count\nFig,2\nBay,3\n",
        HEAD + 'now = "#1"\nmoves = [ { to = "#3", from = "last frost" }, { to = "#5" } ]\n',
    )
    assert [("Fig", 2), ("Bay", 3)] == groups(plan)
    assert 1 == len(plan.plants.kinds)
    assert 2 == len(plan.plants.kinds[0].moves)


def test_names_may_repeat_in_rows(tmp_path):
    """Two rows of one name are two groups."""
    plan, codes = read(tmp_path, ROWS.replace("Bay", "Fig"))

    assert codes == []
    assert [("Fig", 2), ("Fig", 3)] == groups(plan)


def test_cells_hold_dates_flags_and_additions(tmp_path):
    """A cell says what the plan file's value would."""
    rows = (
        "name,count,now,to,by,big step,add,per pot,tender\n"
        "Fig,6,#1,#3,2027-05-01,yes,limestone = 1 tbsp; gypsum = 5 g,2.0,no\n"
    )
    plan, codes = read(tmp_path, rows)
    move = plan.plants[0].kind.moves[0]

    assert codes == []
    assert "2027-05-01" == str(move.due)
    assert move.big_step
    assert 2 == move.per_pot
    assert {"limestone", "gypsum"} == set(move.add)


def test_warnings_count_rows_and_name_the_first(tmp_path):
    """A warning is one line for the plan, however many rows it is about."""
    rows = "name,count,now,to\n" + "".join(f"Fig {i},2,#1,#3\n" for i in range(1234))
    (tmp_path / "plan.toml").write_text(HEAD)
    (tmp_path / "plants.csv").write_text(rows)
    _, problems = read_plan(tmp_path / "plan.toml")

    assert [
        "1,234 plants without `from` and `by`, taken to be the work dates: the first is `Fig 0`"
    ] == [problem.message for problem in problems]


def test_error_too_many_mistakes_end_the_reading(tmp_path):
    """A list of nonsense is not answered by a problem for every row."""
    rows = "name,count,now\n" + "".join(f"Fig,{i},#{i + 100}\n" for i in range(5000))
    plan, codes = read(tmp_path, rows)

    assert plan is None
    assert "too-many-mistakes" == codes[-1]  # [too-many-mistakes]
    assert len(codes) < 400


def test_error_other_encoding_names_the_row(tmp_path):
    """A row in another encoding is named, once, as a spreadsheet numbers it."""
    rows = ROWS.encode() + "Café,fig,2,#1,#3,last frost\n".encode("latin-1") * 3
    (tmp_path / "plan.toml").write_text(HEAD)
    (tmp_path / "plants.csv").write_bytes(rows)
    _, problems = read_plan(tmp_path / "plan.toml")

    assert ["row 4: this is not UTF-8 text"] == [
        p.message for p in problems if p.code == "not-utf-8"
    ]
    assert 4 == problems[0].where.line


def test_error_rows_are_numbered_as_a_spreadsheet_does(tmp_path):
    """A cell of two lines makes one row, while the place is the line of the file."""
    rows = 'name,count,now,note\nFig,2,#1,"one\ntwo"\nBay,2,#44,\n'
    (tmp_path / "plan.toml").write_text(HEAD)
    (tmp_path / "plants.csv").write_text(rows)
    _, problems = read_plan(tmp_path / "plan.toml")
    problem = next(p for p in problems if p.severity == "error")

    assert problem.message.startswith("row 3, column `now`: ")
    assert 4 == problem.where.line


def test_what_stands_beside_rows_moves_nobody_by_itself(tmp_path):
    """A mix and dates for all moves are no move of a plant that stays, and none for the ground."""
    plan = HEAD.replace('"plants.csv"', '"plants.csv"\nmix = "tree"\nby = "last frost"')
    rows = "name,count,now,to\nFig,2,#1,#3\nBay,3,#2,\nMint,4,#1,ground\n"
    found, codes = read(tmp_path, rows, plan)

    assert codes == []
    moves = [[(move.to, move.place) for move in group.kind.moves] for group in found.plants]
    assert ["#3"] == [to.text for to, _ in moves[0]]
    assert [[], [(None, "ground")]] == moves[1:]
