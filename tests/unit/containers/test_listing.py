"""Looking through the catalogue."""

from __future__ import annotations

import pytest

from rootroom.containers.listing import list_containers, shipped_containers
from rootroom.problems import TextError


def test_without_a_text_all_are_listed():
    """Every kind of container is there, each text once, each with source and grade."""
    found = list_containers()

    assert shipped_containers() == found
    assert len(found) == len({container.text for container in found})
    assert {
        *("class", "round pot", "azalea pot", "pan", "basket", "square pot"),
        *("tray", "bag", "bucket", "code", "half barrel"),
    } == {container.kind for container in found}
    assert all(container.source and container.grade in "ABCM" for container in found)


def test_a_text_that_can_be_read_is_one_container():
    """A size between those listed is found too."""
    assert ["11 in pot"] == [container.text for container in list_containers("11 in pot")]


def test_words_choose_by_kind():
    """Words, also in the plural, choose from the list."""
    assert {"square pot"} == {container.kind for container in list_containers("square pots")}
    assert {"tray"} == {container.kind for container in list_containers("trays")}


def test_error_nothing_fits():
    """A text that fits nothing is refused as any other container's text."""
    with pytest.raises(TextError, match="unknown container: `teapots`"):
        list_containers("teapots")
