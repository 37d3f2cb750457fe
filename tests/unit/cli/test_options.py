"""What options say of a text that they cannot take."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner, Result  # noqa: TID251 - the program itself is tried here

from rootroom.cli.app import app

BALCONY = Path(__file__).parents[3] / "plans" / "balcony-in-litres.toml"


def run(*arguments: object) -> Result:
    """Run a command."""
    return CliRunner().invoke(app, [str(one) for one in arguments])


DATES = {
    "1.5.2027": ("a date is written year-month-day: `1.5.2027` [not-a-date]", "write `2027-05-01`"),
    "5/1/2027": (
        "a date is written year-month-day: `5/1/2027` [not-a-date]",
        "write `2027-05-01` or `2027-01-05`",
    ),
    "24/4/27": ("a date is written year-month-day: `24/4/27` [not-a-date]", "write `2027-04-24`"),
    "May 1st, 2027": (
        "a date is written year-month-day: `May 1st, 2027` [not-a-date]",
        "write `2027-05-01`",
    ),
    "1. may 2027": (
        "a date is written year-month-day: `1. may 2027` [not-a-date]",
        "write `2027-05-01`",
    ),
    "today\u202e": (
        "a date is written year-month-day: `today\\u202e` [not-a-date]",
        "as 2027-05-01 for the first of May",
    ),
    "2027-02-30": ("no such date: `2027-02-30` [bad-date]", "as 2027-05-01 for the first of May"),
    "0027-05-01": ("a year must lie in 1900 to 2200: `0027-05-01` [bad-date]", ""),
}


@pytest.mark.parametrize("text", DATES)
def test_error_date_in_another_order(text: str) -> None:
    """A date is told how it is written, with the reading where there is one."""
    done = run("sessions", BALCONY, "--from", text)
    message, hint = DATES[text]

    assert (2, "") == (done.exit_code, done.stdout)
    assert f"error: --from: {message}\n" + (f"\nhint: {hint}\n" if hint else "") == done.stderr


@pytest.mark.parametrize(
    ("command", "option"),
    [
        ("season", "--today"),
        ("demand", "--today"),
        ("buy", "--today"),
        ("sessions", "--today"),
        ("sheets", "--today"),
        ("postpone", "--rain"),
        ("record", "--on"),
        ("record", "--session"),
    ],
)
def test_error_every_option_with_a_date(command: str, option: str) -> None:
    """Every option that takes a date answers alike."""
    done = run(command, BALCONY, option, "1.5.2027")

    assert (2, "") == (done.exit_code, done.stdout)
    assert (
        f"error: {option}: a date is written year-month-day: `1.5.2027` [not-a-date]\n"
        "\nhint: write `2027-05-01`\n"
    ) == done.stderr


def test_date_without_zeros() -> None:
    """A date may leave out zeros, since nothing else can be meant."""
    done = run("sessions", BALCONY, "--from", "2027-5-8", "--json")

    assert done.exit_code in (0, 3), done.output


FIGS = BALCONY.with_name("spring-figs-and-tomatoes.toml")


@pytest.mark.parametrize(
    ("arguments", "message", "hint"),
    [
        (
            ["demand", FIGS, "--why", "tomtao"],
            "unknown plant or bed: `tomtao` [unknown-name]",
            "did you mean `Tomato`?",
        ),
        (
            ["demand", BALCONY, "--why", "tihme"],
            "unknown plant or bed: `tihme` [unknown-name]",
            "did you mean `Thyme`?",
        ),
        (
            ["demand", FIGS, "--why", "fig"],
            "more than one plant or bed: `fig` [unknown-name]",
            "it begins `Fig cuttings`, `Fig, first pots`; write one of them whole",
        ),
        (
            ["buy", FIGS, "--without", "Mil Raod"],
            "unknown supplier: `Mil Raod` [unknown-name]",
            "did you mean `Mill Road`?",
        ),
        (
            ["buy", FIGS, "--without", "\x1b[31m"],
            "unknown supplier: `\\u001b[31m` [unknown-name]",
            "known are `Mill Road`, `Bulk yard`, `Pot barn`",
        ),
        (
            ["sheets", FIGS, "--out", "nowhere", "--only", "calender"],
            "unknown kind of sheet: `calender`",
            "did you mean `calendar`?",
        ),
        (
            ["learned", FIGS, "--beside", FIGS.with_name("spring-figs.toml")],
            f"there is no such record: `{FIGS.with_name('spring-figs.toml')}`",
            "did you mean `spring-figs-and-tomatoes.toml`?",
        ),
        (
            ["pots", "azelea"],
            "no container has this in its name: `azelea`",
            "did you mean `azalea`?",
        ),
    ],
)
def test_error_misspelt_name(arguments: list[object], message: str, hint: str) -> None:
    """A name that nothing has gets the nearest known one, or those that there are."""
    done = run(*arguments)

    assert (2, "") == (done.exit_code, done.stdout)
    assert f"error: {message}\n\nhint: {hint}\n" == done.stderr


def test_name_in_any_case_or_cut_short() -> None:
    """A name may be written in any case, and cut short where it fits only one."""
    whole, short = (run("demand", FIGS, "--why", name) for name in ("Strawberry", "straw"))

    assert (0, whole.stdout) == (short.exit_code, short.stdout)


def test_one_day_alone() -> None:
    """One session is shown without the others, and a day without one is told the days that have."""
    done = run("sessions", BALCONY, "--on", "2027-05-01")
    other = run("sessions", BALCONY, "--on", "2027-05-02")

    assert (0, True, False) == (
        done.exit_code,
        "Sat 1 May 2027" in done.stdout,
        "Sat 29 May 2027" in done.stdout,
    )
    assert (2, "hint: sessions are on 2027-05-01, 2027-05-29") == (
        other.exit_code,
        other.stderr.splitlines()[-1],
    )


@pytest.mark.parametrize("command", ["buy", "sessions", "season", "record", "postpone"])
def test_error_seconds_are_a_number(command: str) -> None:
    """`nan` compares with no bound, and is refused as what it is."""
    result = run(command, BALCONY, "--seconds", "nan")
    assert result.exit_code == 2
    assert "nan is no number of seconds." in result.output


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("100%", "`99 %` is the highest that helps"),
        ("1/1", "`99 %` is the highest that helps"),
        ("0 %", "`50 %` is enough in one season of two"),
    ],
)
def test_error_sure_lies_between_none_and_all(text: str, hint: str) -> None:
    """Nothing is enough in every season: refused on the command line as in a plan."""
    result = run("buy", BALCONY, "--sure", text)
    assert result.exit_code == 2
    assert f"--sure lies above 0 and below 100 %: `{text}`" in result.output
    assert hint in result.output
