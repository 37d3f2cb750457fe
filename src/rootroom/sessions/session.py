"""What the sessions stage answers: dated sessions, each with all that is needed to work it.

Sheets, season and record are built on these records.
Everything is in base units: dates, minutes [min], litres [L], kilograms [kg], shares 0 to 1.
Minutes are person-minutes unless a name says `clock`.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, time
from typing import TYPE_CHECKING, Literal

from attrs import field, frozen

if TYPE_CHECKING:
    from rootroom.catalogue.cautions import Caution
    from rootroom.plan.entries import CareStep
    from rootroom.units import Amount

CARRIED = ("bring in", "set out")
"""Kinds of work on plants that are carried in their pots."""

GoodKind = Literal["ingredient", "addition", "container", "mix"]


@frozen
class Checkpoint:
    """After the first `pots` pots `scoops` level scoops of the mix should be used."""

    pots: int
    scoops: float


@frozen(kw_only=True)
class Line:
    """One line of work, in the order in which it is done; `PlantLine` and `BedLine` say more.

    `kind` is a plain trade word: "set up", "lay out", "mix in", "blend", "move", "refresh",
    "fill up", "plant out", "sell", "fill bed", "water in", "wash", "clean up".
    `name` says of what: a plant, a bed, a mix, a container.
    `count` is plants for a plant's move, whole or begun batches for blending, portions for a bed.
    `minutes` [person-minutes] are planned for the line, `start` is the time on the clock and
    `clock_min` [min] how long it takes with the people of the day.
    `mix_l` [L] of `mix` are used. To "mix in" is to put `add`, all of it, into `mix_l` [L] of the
    mix `name` out of bags.
    `share` is the part of the whole group or layer that this line does [0 to 1].
    `moved_kg` [kg] is all that is lifted, 0 where nothing is or nothing is known of the mix.
    `until` is the last day on which the line can still be done without harm, None if it cannot
    wait.
    """

    kind: str
    name: str
    count: int
    minutes: float
    start: time
    clock_min: float = 0.0
    mix: str | None = None
    mix_l: float = 0.0
    people: int = 1
    add: Mapping[str, Amount] = field(factory=dict)
    share: float = 1.0
    moved_kg: float = 0.0
    until: date | None = None


@frozen(kw_only=True)
class PlantLine(Line):
    """A move of plants, counted from 1 by `move`.

    `pots` counts the containers (cells of a tray) that are filled, `pot_l` [L] of mix and
    `pot_scoops` go into one; `add` is what each pot gets besides.
    `frees` and `frees_count` say which containers become empty.
    `weight_kg` [kg] is one filled container (a whole tray) when it has drained, without the plant;
    `moved_kg` is 0 for what is refreshed where it stands.
    Each plant that moves is divided in `into` first, and `per_pot` share a pot.
    Of the pot's fill the share `filled` is in afterwards, and `begun` before where it is filled up.
    `sorts` says how many of the plants are of which sort, in the order of the plan; `place` is
    where they stand before the move, `tag` what is written on them, `care` what follows the move.
    """

    move: int
    old: str
    new: str | None
    pots: int = 0
    pot_l: float = 0.0
    pot_scoops: float = 0.0
    checkpoint: Checkpoint | None = None
    frees: str | None = None
    frees_count: int = 0
    weight_kg: float | None = None
    into: int = 1
    per_pot: int = 1
    filled: float = 1.0
    begun: float = 0.0
    sorts: Mapping[str, int] = field(factory=dict)
    place: str = ""
    tag: str = ""
    care: tuple[CareStep, ...] = ()

    @property
    def stands_in(self) -> str | None:
        """What plants stand in afterwards: where they are carried, the pot that they stood in."""
        return self.old if self.kind in CARRIED else self.new

    @property
    def in_trays(self) -> bool:
        """Whether what is lifted is a tray of several `pots`."""
        return self.moved_kg > 0 and (self.weight_kg or 0.0) * self.pots > 1.01 * self.moved_kg


@frozen(kw_only=True)
class BedLine(Line):
    """A part of a bed's layer; `moved_kg` is what is filled in, as it is handled.

    `of` is the mix or ingredient of the layer, `layer` its number from below, and `lifts` in how
    many lifts it is filled.
    Of a mix that is blended in place `laid_l` [L] are its parts, and `add` goes into all of it.
    """

    of: str
    layer: int
    lifts: int
    laid_l: Mapping[str, float] = field(factory=dict)


@frozen
class Batches:
    """One mix blended in a session: `units` of its recipe in equal batches, a last one may be less.

    `litres` [L] is the finished mix of all batches, `units_each` and `batch_l` [L] are one batch,
    and `units_last` is a last smaller one, 0 where all are alike.
    `scoops` are level scoops of each part for all batches, `card` for one; `scoop_l` [L].
    `add_kg` and `add_l` are for all batches; `water_l` [L] is for all parts, `soak_l` and
    `moisten_l` say for which.
    """

    mix: str
    litres: float
    units: int
    units_each: int
    units_last: int
    batch_l: float
    scoop_l: float
    card: Mapping[str, float]
    scoops: Mapping[str, float]
    ingredients_l: Mapping[str, float]
    add_kg: Mapping[str, float] = field(factory=dict)
    add_l: Mapping[str, float] = field(factory=dict)
    water_l: float = 0.0
    soak_l: Mapping[str, float] = field(factory=dict)
    moisten_l: Mapping[str, float] = field(factory=dict)

    @property
    def batches(self) -> float:
        """How many batches of `batch_l`, the smaller one as its share."""
        return self.units / self.units_each if self.units_each else 0.0

    @property
    def full(self) -> int:
        """How many batches of `batch_l`."""
        return self.units // self.units_each if self.units_each else 0

    @property
    def last_share(self) -> float:
        """The last smaller batch as a share of the others [0 to 1]."""
        return self.units_last / self.units_each if self.units_each else 0.0


@frozen
class Before:
    """A step of the evening before: `kind` is "water", "soak", "moisten", "wash" or "fetch".

    `minutes` [person-minutes] is what it will take, outside the session's minutes. Where the plan
    gives minutes for washing, pots are washed in the session that frees them and not here.
    """

    kind: Literal["water", "soak", "moisten", "wash", "fetch"]
    name: str
    count: int = 0
    litres: float = 0.0
    water_l: float = 0.0
    minutes: float = 0.0
    unit: Literal["", "plants", "pots", "l", "kg", "pieces"] = ""
    amount: float = 0.0


@frozen
class Bring:
    """What must be at hand, whole containers (trays, not cells) by where they come from."""

    from_stock: Mapping[str, int] = field(factory=dict)
    from_freed: Mapping[str, int] = field(factory=dict)
    bought: Mapping[str, int] = field(factory=dict)
    ingredients_l: Mapping[str, float] = field(factory=dict)
    ready_l: Mapping[str, float] = field(factory=dict)
    stored_l: Mapping[str, float] = field(factory=dict)
    additions_kg: Mapping[str, float] = field(factory=dict)
    additions_l: Mapping[str, float] = field(factory=dict)
    water_l: float = 0.0
    tools: tuple[str, ...] = ()

    @property
    def containers(self) -> dict[str, int]:
        """All containers by their text, wherever they come from."""
        total: dict[str, int] = {}
        for part in (self.from_stock, self.from_freed, self.bought):
            for name, count in part.items():
                total[name] = total.get(name, 0) + count
        return total


@frozen
class Waiting:
    """Work that can wait for another day, and until when.

    Of a bed `of` names what the layer is filled with.
    """

    name: str
    move: int | None
    until: date | None
    of: str | None = None


@frozen
class RainNote:
    """If this session is rained off: what can wait (each `until` a work day), and what cannot."""

    can_wait: tuple[Waiting, ...] = ()
    cannot: tuple[Waiting, ...] = ()

    @property
    def until(self) -> date | None:
        """The last day for all that can wait; None if nothing can."""
        days = [one.until for one in self.can_wait if one.until is not None]
        return min(days) if days else None

    @property
    def several(self) -> frozenset[str]:
        """The plants that have more than one move on the day."""
        found: dict[str, set[int | None]] = {}
        for one in (*self.can_wait, *self.cannot):
            found.setdefault(one.name, set()).add(one.move)
        return frozenset(name for name, moves in found.items() if len(moves) > 1)


@frozen
class Session:
    """One day's work.

    `minutes` and `free_minutes` [person-minutes] sum to what may be planned on the day, the spare
    share taken off; `setup_min` is inside `minutes`.
    `people` are there, `people_needed` is the most that any line asks for.
    `left_l` [L] is the mix that should be left after the session, stored and rounded-up batches.
    `moved_kg` [kg] is all weight moved, `heaviest_kg` [kg] the heaviest single thing.
    `cautions` are all that its goods, work and places set off, the most urgent first.
    """

    date: date
    start: time
    minutes: float
    free_minutes: float
    people: int
    people_needed: int
    before: tuple[Before, ...]
    work: tuple[Line, ...]
    batches: tuple[Batches, ...]
    bring: Bring
    frees: Mapping[str, int]
    left_l: Mapping[str, float]
    moved_kg: float
    heaviest_kg: float
    cautions: tuple[Caution, ...]
    rain: RainNote
    afterwards: tuple[str, ...]
    finish: time

    @property
    def plant_lines(self) -> list[PlantLine]:
        """The moves of plants, in the order in which they are made."""
        return [line for line in self.work if isinstance(line, PlantLine)]
