"""Labels for pots."""

from __future__ import annotations

import pytest

from rootroom.sheets.views import labels
from rootroom.sheets.views.labels import labels_view
from rootroom.sheets.writing import Writer
from tests.support.seasons import shipped_season

FIGS = "spring-figs-and-tomatoes"


def test_every_first_pot_has_a_label_or_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is left out is counted by plant, and the sum is that of the pots of first moves."""
    season = shipped_season(FIGS)
    writer = Writer.of(season.plan.garden)
    monkeypatch.setattr(labels, "MOST_OF_A_LINE", 20)
    view = labels_view(season.schedule, writer)
    first: dict[str, int | None] = {}
    pots: dict[str, list[int]] = {}
    for session in season.schedule.sessions:
        for line in session.work:
            moved = line.kind == "move" and line.pots
            if moved and first.setdefault(line.name, line.move) == line.move:
                pots.setdefault(line.name, []).append(line.pots)
    over = {n: sum(max(p - 20, 0) for p in each) for n, each in pots.items()}
    over = {name: number for name, number in over.items() if number}

    assert over
    assert sum(sum(each) for each in pots.values()) == len(view["labels"]) + sum(over.values())
    for name, number in over.items():
        assert f"{number} × {name}" in view["more"]
    assert view["more"].endswith("later moves have none of their own.")
