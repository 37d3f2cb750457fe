"""Problems as text on a terminal."""

from __future__ import annotations

from rootroom.problems import Location, Problem
from rootroom.sheets.problems import render_problem, render_problems


def problem(line, start, end, **other):
    """Return a problem at some columns of a line."""
    where = Location("spring.toml", 7, start, end)
    return Problem("some-code", "error", where, "what is wrong: `it`", line=line, **other)


def test_place_line_marker_and_hint():
    """The first line is complete, the marker stands under the mistake, the hint is apart."""
    related = ((Location("spring.toml", 2, 3, 4), "the first is here"),)

    assert (
        "spring.toml:7:7: error: what is wrong: `it` [some-code]\n"
        "    now = it\n"
        "          ^^\n"
        "  spring.toml:2:3: the first is here\n"
        "\n"
        "hint: mend it\n"
    ) == render_problem(problem("now = it", 7, 9, related=related, hint="mend it"))


def test_indent_is_left_out():
    """An indented line is shown from its first sign on."""
    assert ["    now = it", "          ^^"] == render_problem(
        problem("        now = it", 15, 17)
    ).splitlines()[1:3]


def test_long_line_is_cut_around_the_mistake():
    """Of a long line as much as 80 columns take is shown, the mistake among it."""
    line = "x" * 300 + "WRONG" + "y" * 300
    shown, marker = render_problem(problem(line, 301, 306)).splitlines()[1:3]

    assert len(shown) <= 80
    assert "WRONG" == shown[marker.index("^") : marker.rindex("^") + 1]


def test_marker_stands_under_wide_signs():
    """Signs that take two columns move the marker by two."""
    shown, marker = render_problem(problem('名 = "無花果"', 5, 10)).splitlines()[1:3]

    assert '    名 = "無花果"' == shown
    assert "    " + " " * 5 + "^" * 8 == marker


def test_nothing_hides_or_turns_the_direction():
    """Control characters and marks of direction in a name or a path are written out."""
    where = Location("a\nb.toml", 1, 1, 2)
    bad = Problem("code", "error", where, "bad name: `\u202efig`", line="\x1b[31m x")
    text = render_problem(bad)

    assert text.splitlines()[0] == "a\\u000ab.toml:1:1: error: bad name: `\\u202efig` [code]"
    assert "\x1b" not in text


def test_counts_stand_at_the_end():
    """Errors and warnings are counted; nothing is said of no problems."""
    warning = Problem("code", "warning", Location("a", 1, 1, 1), "careful")

    assert "" == render_problems(())
    assert render_problems((warning,)).endswith("\n1 warning\n")
    assert render_problems((problem("x", 1, 2),) * 2 + (warning,)).endswith(
        "\n2 errors, 1 warning\n"
    )


def test_flood_is_cut():
    """Of more than a thousand problems the rest is counted."""
    text = render_problems((problem("x", 1, 2),) * 1500)

    assert text.endswith("\n500 more are not shown\n\n1,500 errors\n")


def test_brief_warnings_are_one_line_each():
    """Where a command has an answer to give, a standing warning takes one line and no count."""
    where = Location("spring.toml", 7, 1, 2)
    warning = Problem("some-code", "warning", where, "odd: `it`", "mend it", (), "x")
    line = "spring.toml:7:1: warning: odd: `it` [some-code]\n"

    assert line == render_problems((warning,), brief_warnings=True)
    assert f"{line}\n" + render_problems((problem("x", 1, 2),)) == render_problems(
        (warning, problem("x", 1, 2)), brief_warnings=True
    )


def test_a_long_hint_is_wrapped():
    """A hint keeps to 80 columns, its lines under each other."""
    hint = "write one of " + ", ".join(f"`word {number}`" for number in range(12))
    lines = render_problem(problem("x", 1, 2, hint=hint)).splitlines()[4:]

    assert f"hint: {hint}" == " ".join(line.strip() for line in lines)
    assert len(lines) > 1
    assert max(map(len, lines)) <= 80
    assert all(line.count("`") % 2 == 0 for line in lines)
