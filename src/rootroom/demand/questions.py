"""Quick questions in the user's own words: how much fills a container, or a bed.

Texts are read here, with the shipped factors unless others are given; the figures come from
`rootroom.demand.quick`. A text that cannot be read raises `TextError`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from rootroom.demand import quick
from rootroom.problems import TextError

if TYPE_CHECKING:
    from rootroom.demand.quick import FillAnswer
    from rootroom.plan.model import Factors

__all__ = ["bed_question", "fill_question", "shipped_factors"]

# As in a plan: more than this is a slip of the key.
MOST_PLANTS = 10_000_000


def shipped_factors() -> Factors:
    """Return the factors that hold where a plan names none."""
    from rootroom.catalogue.factors import factor
    from rootroom.plan.model import Factors

    return Factors(factor("packing"), factor("spill"), factor("ball"), factor("settles"))


def fill_question(
    text: str, from_text: str | None = None, *, count: int = 1, factors: Factors | None = None
) -> FillAnswer:
    """Return what the container `text` takes, for `count` plants that stand in `from_text`.

    Raises TextError for a text or a count that makes no sense, and for a ball that leaves no place.
    """
    from rootroom.containers.text import read_container

    container = read_container(text)
    old = None if from_text is None else read_container(from_text)
    _check_count(count)
    if not container.holds:
        raise TextError(
            f"takes no mix: `{text}`", code="no-container", hint="name a pot, tray, bag or bucket"
        )
    known = shipped_factors() if factors is None else factors
    answer = quick.fill_question(container, old, count, known)
    if old is not None and answer.ball_l.likely >= answer.fill_l.likely:
        raise TextError(
            f"the ball from `{from_text}` is {answer.ball_l.likely:.2f} L and `{text}` takes "
            f"{answer.fill_l.likely:.2f} L, so no place is left",
            code="no-place",
            hint="take a bigger container",
        )
    return answer


def bed_question(
    shape: str, depth: str, *, count: int = 1, factors: Factors | None = None
) -> FillAnswer:
    """Return what a bed of this inside shape takes to be `depth` deep once settled.

    Raises TextError for a shape, depth or count that makes no sense.
    """
    from rootroom.containers.beds import read_bed_shape
    from rootroom.units import read_length_m

    area_m2 = read_bed_shape(shape).area_m2
    depth_m = read_length_m(depth)
    _check_count(count)
    if depth_m <= 0:
        raise TextError(f"a depth is above nothing: `{depth}`", code="depth")
    known = shipped_factors() if factors is None else factors
    return quick.bed_question(area_m2, depth_m, known, count=count, text=shape)


def _check_count(count: int) -> None:
    if not 1 <= count <= MOST_PLANTS:
        raise TextError(
            f"a count is between 1 and {MOST_PLANTS:,}: {count}", code="count", hint=""
        )
