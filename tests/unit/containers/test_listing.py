"""Looking through the catalogue."""

from __future__ import annotations

import pytest

from rootroom.containers.text import list_containers, shipped_containers
from rootroom.problems import TextError


def test_without_a_text_all_are_listed():
    """Every kind of container is there, each text once, each with source and grade."""
    found = list_containers()

    assert shipped_containers() == found
    assert len(found) == len({container.text for container in found})
    assert {
        *("class", "round pot", "azalea pot", "pan", "basket", "square pot"),
        *("tray", "bag", "bucket", "code", "half barrel"),
        *("clay pot", "cup", "pack", "window box", "tree pot"),
    } == {container.kind for container in found}
    assert all(container.source and container.grade in "ABCM" for container in found)


def test_a_text_that_can_be_read_is_one_container():
    """A size between those listed is found too."""
    assert ["11 in pot"] == [container.text for container in list_containers("11 in pot")]


def test_words_choose_by_kind():
    """Words, also in the plural, choose from the list."""
    assert {"square pot"} == {container.kind for container in list_containers("square pots")}
    assert {"tray"} == {container.kind for container in list_containers("trays")}
    assert {"clay pot"} == {container.kind for container in list_containers("clay")}
    assert {"window box"} == {container.kind for container in list_containers("window boxes")}
    assert {"cup"} == {container.kind for container in list_containers("cups")}


USUAL = (
    "write it as `#3`, `12 in pot`, `4 in square pot`, `72-cell tray`, `5 gal bag`, `C10`, `15 L`, "
    "or give it a table under [containers]"
)


@pytest.mark.parametrize(
    ("text", "message", "code", "hint"),
    [
        ("zzz", "no container has this in its name: `zzz`", "unknown-container", USUAL),
        (
            "azelea pots",
            "no container has this in its name: `azelea pots`",
            "unknown-container",
            "did you mean `azalea pot`?",
        ),
        (
            "sqare pot",
            "no container has this in its name: `sqare pot`",
            "unknown-container",
            "did you mean `square pot`?",
        ),
        (
            "zz\u202e",
            "a container's text holds a character that cannot be seen: `zz\\u202e`",
            "hidden-character",
            "type the text anew rather than pasting it",
        ),
    ],
)
def test_error_nothing_fits(text, message, code, hint):
    """A text that no container has gets the nearest words of the list."""
    with pytest.raises(TextError) as refused:
        list_containers(text)

    told = refused.value
    assert (message, code, hint) == (told.message, told.code, told.hint)
