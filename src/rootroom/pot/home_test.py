"""How to measure a mix at home: fill, soak, drain, measure; about two minutes of hands.

Air is what drains out, over the volume filled; the pores are what went in, over the same
(definitions of the laboratory porometer, Int. J. Agronomy 2012, table 1).
"""

from __future__ import annotations

from attrs import frozen


@frozen
class TestStep:
    """One step: what to do, and which key of `measured` it gives (none for most)."""

    text: str
    key: str = ""


STEPS = (
    TestStep(
        "Take a pot with holes, straight-walled if you have one, about as deep as those you will "
        "fill. Tape the holes shut."
    ),
    TestStep(
        "Mark the fill line. Measure how much water the empty pot takes up to it.",
        "volume",
    ),
    TestStep("Measure from the bottom up to the line.", "height"),
    TestStep(
        "Empty it, fill it to the line with mix as you fill pots, and knock it down twice. "
        "Top up to the line; do not press."
    ),
    TestStep(
        "Pour in measured water slowly, at the side, until it stands at the line; wait ten "
        "minutes and top up. If the mix went in dry (left open for days, light in the hand), all "
        "the water together fills its pores; if it went in moist, leave this figure out.",
        "poured",
    ),
    TestStep(
        "Set the pot over a bowl, pull the tape, and let it drain until no drop falls, half an "
        "hour or so. Measure the water in the bowl.",
        "drained",
    ),
    TestStep("Do it three times and take the middle figures. Then wash your hands."),
)


def plan_line(mix: str = "allround") -> str:
    """Return an example of the lines to write into a plan; its figures are invented."""
    values = 'volume = "3 L", height = "18 cm", poured = "2.3 L", drained = "0.5 L"'
    return f"[mixes.{mix}]\nmeasured = {{ {values} }}"
