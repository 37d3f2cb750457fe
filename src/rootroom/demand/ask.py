"""A question asked in text, without a plan: what fills this container, or this bed."""

from __future__ import annotations

from attrs import frozen

from rootroom.catalogue.factors import factor
from rootroom.containers.beds import read_bed_shape
from rootroom.containers.text import read_container
from rootroom.demand.quick import FillAnswer, bed_question, fill_question
from rootroom.plan.model import Factors
from rootroom.problems import TextError
from rootroom.units import read_length_m

GREATEST_DEPTH_M = 10.0


@frozen
class Asked:
    """A question as it was understood, the answer, and what is worth knowing about the container.

    `container` is the one spelling of it (or of the bed), `old` what the plant comes from.
    """

    container: str
    old: str | None
    count: int
    answer: FillAnswer
    source: str
    note: str = ""


def shipped_factors() -> Factors:
    """Return the factors that count where no plan says otherwise."""
    return Factors(
        packing=factor("packing"),
        spill=factor("spill"),
        ball=factor("ball"),
        settles=factor("settles"),
    )


def ask_fill(text: str, old: str | None = None, *, count: int = 1) -> Asked:
    """Return what `count` containers take; TextError for a text that names none.

    A ball that leaves no place for mix is an error that names both volumes.
    """
    container = read_container(text)
    if not container.holds:
        raise TextError(
            f"takes no mix: `{container.text}`",
            code="takes-no-mix",
            hint="name a pot, tray, bag or bucket, and what the plant comes from in --from",
        )
    before = None if old is None else read_container(old)
    answer = fill_question(container, before, count, shipped_factors())
    if before is not None and answer.fill_l.likely <= answer.ball_l.likely:
        raise TextError(
            f"no room for mix: the ball from {before.text} has {answer.ball_l.likely:.1f} L, "
            f"and {container.text} takes {answer.fill_l.likely:.1f} L",
            code="no-room",
            hint="name a bigger container, or the one that the plant comes from in --from",
        )
    return Asked(
        container.text,
        None if before is None else before.text,
        count,
        answer,
        source=f"{container.source} (grade {container.grade})" if container.source else "",
        note=container.note,
    )


def ask_bed(shape: str, depth: str, *, count: int = 1) -> Asked:
    """Return what `count` beds take, filled to `depth` once settled; TextError for texts unread."""
    bed = read_bed_shape(shape)
    depth_m = read_length_m(depth)
    if not 0 < depth_m <= GREATEST_DEPTH_M:
        raise TextError(
            f"a bed's depth lies above 0 and up to {GREATEST_DEPTH_M:g} m: `{depth}`",
            code="bad-depth",
        )
    answer = bed_question(bed.area_m2, depth_m, shipped_factors(), count=count)
    return Asked(bed.text, None, count, answer, source="")
