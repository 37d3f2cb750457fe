"""Writing all sheets into a folder: which files, whole or not at all, others' left alone."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from attrs import evolve

from rootroom.problems import TextError
from rootroom.sessions.timeline import Hardening, Late
from rootroom.sheets.files import OURS
from rootroom.sheets.kinds import KINDS, write_sheets
from rootroom.sheets.views.season import season_view
from rootroom.sheets.writing import Writer
from tests.support.seasons import HOSTILE, hostile_season, long_season, shipped_season

BEDS = "new-raised-beds"


def contents(folder: Path) -> dict[str, bytes]:
    """Return every file below a folder by its name."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_all_kinds_but_the_tasks_are_written(tmp_path: Path) -> None:
    """Without a wish everything but the task list is there, and the names are told."""
    names = write_sheets(shipped_season(BEDS), tmp_path, paper=None, only=())

    assert {"season.pdf", "season.html", "season.ics"} < set(names)
    assert "tasks.ics" not in names
    assert {*names, OURS} == set(contents(tmp_path))
    assert all(content for content in contents(tmp_path).values())


def test_the_same_season_gives_the_same_bytes(tmp_path: Path) -> None:
    """Two folders, and one written twice, hold the same files."""
    season = shipped_season(BEDS)
    for folder in ("a", "b", "b"):
        write_sheets(season, tmp_path / folder, paper=None, only=())

    assert contents(tmp_path / "a") == contents(tmp_path / "b")


def test_only_what_was_asked_for_is_written_and_the_rest_stays(tmp_path: Path) -> None:
    """Kinds may be repeated or parted by commas; other files of ours stay."""
    season = shipped_season(BEDS)
    write_sheets(season, tmp_path, paper=None, only=("calendar",))
    names = write_sheets(season, tmp_path, paper=None, only=("page, tasks",))

    assert ("season.html", "tasks.ics") == names
    assert {"season.html", "season.ics", "tasks.ics", OURS} == set(contents(tmp_path))


def test_sheets_of_an_earlier_plan_go_when_all_are_written(tmp_path: Path) -> None:
    """A session that is no longer planned leaves no checklist behind."""
    write_sheets(shipped_season(BEDS), tmp_path, paper=None, only=())
    names = write_sheets(shipped_season("balcony-in-litres"), tmp_path, paper=None, only=())

    assert {*names, OURS} == set(contents(tmp_path))


def test_error_a_folder_of_somebody_else_is_left_alone(tmp_path: Path) -> None:
    """Nothing is written where other people's files are."""
    (tmp_path / "thesis.txt").write_text("mine")
    with pytest.raises(TextError, match="holds files that are not ours"):
        write_sheets(shipped_season(BEDS), tmp_path, paper=None, only=())

    assert {"thesis.txt": b"mine"} == contents(tmp_path)


def test_error_unknown_kind_and_paper(tmp_path: Path) -> None:
    """A wrong word names the ones that are known, before anything is written."""
    season = shipped_season(BEDS)
    with pytest.raises(TextError, match="unknown kind of sheet: `posters`") as kind:
        write_sheets(season, tmp_path / "x", paper=None, only=("posters",))
    with pytest.raises(TextError, match="unknown paper: `a5`"):
        write_sheets(season, tmp_path / "x", paper="a5", only=())

    assert all(f"`{name}`" in kind.value.hint for name in KINDS)
    assert not (tmp_path / "x").exists()


def test_nothing_is_half_written_when_a_kind_fails(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """If one kind cannot be made no file of any other is written."""
    season = shipped_season(BEDS)

    def fail(*_: object) -> bytes:
        raise OSError("disk full")

    monkeypatch.setattr("rootroom.sheets.calendar.calendar_ics", fail)
    with pytest.raises(OSError, match="disk full"):
        write_sheets(season, tmp_path / "x", paper=None, only=())

    assert not (tmp_path / "x").exists()


class Texts(HTMLParser):
    """Collects the tags and the texts of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.texts: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a tag and its attributes."""
        self.tags.append(tag)
        self.attributes += attrs

    def handle_data(self, data: str) -> None:
        """Note a text."""
        self.texts.append(data)


def test_hostile_names_are_text_in_the_page(tmp_path: Path) -> None:
    """One script of our own, no event attribute, and every name as typed."""
    write_sheets(hostile_season(), tmp_path, paper=None, only=("page",))
    parsed = Texts()
    parsed.feed((tmp_path / "season.html").read_text("utf-8"))
    text = " ".join(parsed.texts)

    assert 1 == parsed.tags.count("script")
    assert [] == [name for name, _ in parsed.attributes if name.startswith("on")]
    for key, name in HOSTILE.items():
        assert name in text, key


def test_the_page_fetches_nothing(tmp_path: Path) -> None:
    """No address stands in the page that a browser would load from."""
    write_sheets(shipped_season(BEDS), tmp_path, paper=None, only=("page",))
    page = (tmp_path / "season.html").read_text("utf-8")

    assert ["http://www.w3.org/2000/svg"] == sorted(set(re.findall(r"https?://[^\"'\s<]+", page)))
    assert "default-src 'none'" in page
    assert not re.search(r"\b(src|href)=[\"'](?!#)", page)


def test_a_page_of_two_hundred_sessions_stays_small(tmp_path: Path) -> None:
    """A nursery's page still opens on a phone."""
    write_sheets(long_season(200), tmp_path, paper=None, only=("page",))

    assert 2_100_000 > (tmp_path / "season.html").stat().st_size


def test_long_lists_of_the_season_page_are_counted_where_they_end() -> None:
    """Of 100 late moves and 100 hardenings a dozen stand on the page, and how many more."""
    season = shipped_season(BEDS)
    day = season.schedule.sessions[0].date
    late = tuple(Late(f"Row {n}", 1, 1, n, day) for n in range(100))
    hardening = tuple(Hardening(f"Row {n}", 1, day, day) for n in range(100))
    many = evolve(season, schedule=evolve(season.schedule, late=late, hardening=hardening))
    view = season_view(many, Writer.of(season.plan.garden))

    for rows in (view.late, view.dates):
        assert 13 == len(rows)
        assert "and 88 more rows" == rows[-1]
    assert view.late[0].startswith("Row 99: 1 on ")
