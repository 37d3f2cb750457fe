"""Single questions: one move, container or bed without a plan's season, also asked in text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from attrs import frozen

from rootroom.catalogue.ingredients import factor
from rootroom.containers.beds import read_bed_shape
from rootroom.containers.text import read_container
from rootroom.counts import ceil_count
from rootroom.demand.draws import Draws, Streams, estimate
from rootroom.demand.estimates import Estimate
from rootroom.demand.room import Room, room_of
from rootroom.formulas import bed_l, loose_l
from rootroom.plan.model import Factors
from rootroom.problems import TextError
from rootroom.units import read_length_m

if TYPE_CHECKING:
    from rootroom.containers.container import Container
    from rootroom.plan.model import Factors, Move

DRAWS = 4000


GREATEST_DEPTH_M = 10.0


@frozen
class FillAnswer:
    """Brim, fill and ball of one container [L], and the loose mix for all of them [L].

    `pots` is how many containers, cells of whole trays, or beds are filled.
    """

    pots: int
    brim_l: Estimate
    fill_l: Estimate
    ball_l: Estimate
    mix_l: Estimate


def likely_mix_l(move: Move, plants: int, factors: Factors) -> float:
    """Return the likely loose mix [L] that `plants` plants of a move take.

    As in the demand: shared pots are rounded up, whole trays are filled.
    """
    room = room_of(move)
    if room is None or plants <= 0:
        return 0.0
    fills = {one.text: one.fill_l.likely for one in (move.old, move.new) if one is not None}
    place = room.total_l(fills, factors.ball.likely, room.load(plants, move.pots(plants)))
    return loose_l(place, factors.packing.likely, factors.spill.likely)


def fill_question(
    container: Container, from_container: Container | None, count: int, factors: Factors
) -> FillAnswer:
    """Return what a container takes, and what mix for `count` plants that come from another one.

    Without `from_container` the pots are filled with nothing in them.
    """
    old = from_container.text if from_container is not None and from_container.holds else None
    room = Room(container.text, old, kept=0.0 if old is None else 1.0, per_pot=1, renewed=None)
    pots = ceil_count(count, container.cells) * container.cells
    load = room.load(count, pots) if container.holds else {}
    streams = Streams(DRAWS)
    known = {one.text: one for one in (container, from_container) if one is not None}
    likely = {text: one.fill_l.likely for text, one in known.items()}
    drawn = {text: streams.draw(f"fill of {text}", one.fill_l) for text, one in known.items()}
    ball, balls = factors.ball.likely, streams.draw("ball", factors.ball)
    packing, spill = _shared(factors, streams)
    mix_l = loose_l(room.total_l(likely, ball, load), factors.packing.likely, factors.spill.likely)
    return FillAnswer(
        pots=pots,
        # Brim and fill move together: they are drawn from one stream.
        brim_l=estimate(
            container.brim_l.likely, streams.draw(f"fill of {container.text}", container.brim_l)
        ),
        fill_l=estimate(likely[container.text], drawn[container.text]),
        ball_l=estimate(room.ball_l(likely, ball), room.ball_l(drawn, balls)),
        mix_l=estimate(mix_l, loose_l(room.total_l(drawn, balls, load), packing, spill)),
    )


def bed_question(area_m2: float, depth_m: float, factors: Factors, *, count: int = 1) -> FillAnswer:
    """Return what a bed takes: inside area [m2], depth of the fill once settled [m].

    `count` beds of one kind are filled, and settle alike.
    """
    streams, share = Streams(DRAWS), factors.settles
    volume = 1000 * area_m2 * depth_m
    inside = Estimate(volume, volume, volume, volume)
    drawn = streams.draw("settles", share)
    _, spill = _shared(factors, streams)
    return FillAnswer(
        pots=count,
        brim_l=inside,
        fill_l=inside,
        ball_l=Estimate(0.0, 0.0, 0.0, 0.0),
        mix_l=estimate(
            bed_l(count * volume, share.likely, factors.spill.likely),
            bed_l(count * volume + 0 * drawn, drawn, spill),
        ),
    )


def _shared(factors: Factors, streams: Streams) -> tuple[Draws, Draws]:
    return streams.draw("packing", factors.packing), streams.draw("spill", factors.spill)


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
