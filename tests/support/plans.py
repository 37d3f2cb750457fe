"""Plans built by hand, for tests of the stages that come after reading.

Everything has a default, so that a test names only what it is about.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, time
from fractions import Fraction
from typing import Any

from rootroom.catalogue.spread import Spread
from rootroom.containers.container import Container
from rootroom.plan.entries import Bed, Layer, Supply
from rootroom.plan.model import (
    Factors,
    Garden,
    Mix,
    Move,
    Plan,
    PlantGroup,
    PlantKind,
    Roster,
    Work,
    WorkDay,
)
from rootroom.problems import Location

HERE = Location("by-hand.toml", 1, 1, 2)
FIRST, LAST = date(2027, 3, 6), date(2027, 6, 6)
NO_CONTAINERS = ("bare root", "cutting", "seed")

# The factors of the worked examples: ball 1, packing 1.15, spill 2 %, each known exactly.
WORKED = Factors(
    packing=Spread.exactly(1.15),
    spill=Spread.exactly(0.02),
    ball=Spread.exactly(1.0),
    settles=Spread.exactly(0.10),
)
DOUBTFUL = Factors(
    packing=Spread(1.05, 1.15, 1.25),
    spill=Spread(0.0, 0.02, 0.05),
    ball=Spread(0.80, 0.92, 1.0),
    settles=Spread(0.05, 0.10, 0.20),
)


def spread(value: float | Spread) -> Spread:
    """Return a known figure as a spread; a spread as it is."""
    return value if isinstance(value, Spread) else Spread.exactly(value)


def pot(text: str, fill_l: float | Spread, **more: Any) -> Container:
    """Return a container of this fill [L]; the brim is the fill unless given."""
    fill = spread(fill_l)
    return Container(
        text=text,
        kind=more.pop("kind", "own"),
        brim_l=spread(more.pop("brim_l", fill)),
        fill_l=fill,
        **more,
    )


def tray(cells: int, fill_l: float | Spread) -> Container:
    """Return a tray whose cells take `fill_l` [L] each."""
    return pot(f"{cells}-cell tray", fill_l, kind="tray", cells=cells)


def nothing(text: str = "seed") -> Container:
    """Return what a plant without a ball stands in."""
    return pot(text, 0.0, kind=text, holds=False)


def move(old: Container, to: Container | None = None, **more: Any) -> Move:
    """Return a move; `refresh` and `place` in place of `to`."""
    number = more.pop("number", 1)
    mix = more.pop("mix", "tree" if to is not None or "refresh" in more else None)
    return Move(
        number=number,
        old=old,
        to=to,
        place=more.pop("place", None),
        refresh=more.pop("refresh", None),
        mix=mix,
        opens=more.pop("opens", FIRST),
        due=more.pop("due", LAST),
        where=HERE,
        **more,
    )


def group(name: str, count: int, *moves: Move, crop: str | None = None) -> PlantGroup:
    """Return plants that stand in the old container of their first move."""
    return PlantGroup(name, count, PlantKind(crop, moves[0].old, moves, HERE))


def roster(groups: Iterable[PlantGroup]) -> Roster:
    """Return groups as columns; equal kinds are shared."""
    kinds: list[PlantKind] = []
    rows = list(groups)
    for row in rows:
        if row.kind not in kinds:
            kinds.append(row.kind)
    return Roster(
        tuple(kinds),
        [row.name for row in rows],
        [row.count for row in rows],
        [kinds.index(row.kind) for row in rows],
    )


def mix(name: str, parts: Mapping[str, int | str | Fraction], **more: Any) -> Mix:
    """Return a mix; nothing is lost in blending unless `shrink` says so."""
    shares = {part: Fraction(share) for part, share in parts.items()}
    return Mix(name, shares, HERE, spread(more.pop("shrink", 0.0)), **more)


def bed(
    name: str,
    area_m2: float,
    depth_m: float,
    layers: Sequence[tuple[str, float | None]],
    **more: Any,
) -> Bed:
    """Return a bed; layers are pairs of what they are of and their depth [m]."""
    return Bed(
        name=name,
        shape_text=more.pop("shape_text", ""),
        area_m2=area_m2,
        depth_m=depth_m,
        already_m=more.pop("already_m", 0.0),
        layers=tuple(Layer(of, depth) for of, depth in layers),
        settles=spread(more.pop("settles", 0.10)),
        opens=more.pop("opens", FIRST),
        due=more.pop("due", LAST),
        where=HERE,
        **more,
    )


def work(**more: Any) -> Work:
    """Return work on Saturdays in March with a vessel of 70 L and a scoop of 5 L."""
    days = tuple(WorkDay(date(2027, 3, day), 240.0, 1) for day in (6, 13, 20, 27))
    given: dict[str, Any] = {
        "days": days,
        "first": FIRST,
        "last": LAST,
        "start": time(9),
        "spare_share": 0.15,
        "vessel_l": 70.0,
        "scoop_l": 5.0,
        "store_l": 150.0,
        "store_days": 14,
        "setup_min": 20.0,
        "mix_setup_min": 20.0,
    }
    return Work(**{**given, **more})


def plan(
    groups: Iterable[PlantGroup] = (),
    mixes: Iterable[Mix] = (),
    beds: Iterable[Bed] = (),
    *,
    factors: Factors = WORKED,
    supplies: Iterable[Supply] = (),
    **more: Any,
) -> Plan:
    """Return a plan without problems."""
    return Plan(
        file="by-hand.toml",
        garden=more.pop("garden", Garden("Test Yard", "metric", "EUR", None, date(2027, 4, 12))),
        work=more.pop("work", work()),
        factors=factors,
        sure_share=more.pop("sure_share", 0.9),
        plants=roster(groups),
        beds=tuple(beds),
        mixes={one.name: one for one in mixes},
        ingredients=more.pop("ingredients", {}),
        containers=more.pop("containers", {}),
        stock=more.pop("stock", {}),
        stored=more.pop("stored", {}),
        supplies=tuple(supplies),
        suppliers=more.pop("suppliers", {}),
        minutes=more.pop("minutes", {}),
    )
