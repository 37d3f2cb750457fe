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
