"""A plan as frozen records: everything named, dated and in base units.

The reader fills these classes; the stages only read them.
Dates are resolved (`4 weeks before last frost` is a date by now), names point to something that
exists, and every record keeps the place in the file that it came from.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, time
from fractions import Fraction
from typing import TYPE_CHECKING, Literal, overload

from attrs import field, frozen

from rootroom import formulas
from rootroom.catalogue.spread import Spread
from rootroom.counts import ceil_count
from rootroom.plan.entries import (
    NO_MARKS,
    Bed,
    CareStep,
    MadeMove,
    Marks,
    Place,
    PostedLine,
    StoredMix,
    Supplier,
    Supply,
)
from rootroom.plan.names import CARRIED

if TYPE_CHECKING:
    from rootroom.catalogue.curves import CurveValues
    from rootroom.catalogue.ingredients import Ingredient
    from rootroom.catalogue.minutes import Pace
    from rootroom.containers.container import Container
    from rootroom.formulas import Number
    from rootroom.problems import Location
    from rootroom.units import Amount, Rate


@frozen
class Garden:
    """Whose plan it is, and how amounts, money and dates are printed."""

    name: str
    system: Literal["us", "metric"]
    currency: str
    zone: str | None
    last_frost: date | None
    first_frost: date | None = None


@frozen
class WorkDay:
    """One day on which work may be done: clock minutes [min] of each of `people`."""

    date: date
    minutes: float
    people: int


@frozen
class Work:
    """When and with what the work is done.

    `days` are all work days from `first` to `last` in order, the days `off` left out.
    Of each session `spare_share` stays unplanned; `pace` says whose shipped minutes count.
    `room_l` is what of bought goods may lie there, None for any amount.
    """

    days: tuple[WorkDay, ...]
    first: date
    last: date
    start: time
    spare_share: float
    vessel_l: float
    scoop_l: float
    store_l: float
    store_days: int
    setup_min: float
    mix_setup_min: float
    off: frozenset[date] = frozenset()
    pace: Pace = "home"
    room_l: float | None = None


@frozen
class Factors:
    """The season's shared factors: packing and ball as ratios, spill and settles as shares."""

    packing: Spread
    spill: Spread
    ball: Spread
    settles: Spread


@frozen
class Measured:
    """What a grower measured of a finished mix; shares of its volume, density dry [kg/m3].

    `core_height_m` [m] is how high the container of the test was filled; a laboratory's `curve`
    stands in place of pores, air and water.
    """

    porosity_share: float | None = None
    air_share: float | None = None
    capacity_share: float | None = None
    density_kg_per_m3: float | None = None
    core_height_m: float | None = None
    curve: CurveValues | None = None


@frozen
class Mix:
    """A mix: loose parts by volume (of ingredients or other mixes); without parts it is bought.

    `shrink` is the share of the loose volume lost in blending, `flex` how far buying may bend each
    part relative to itself, `hold` the parts that are never raised, `add` rates by addition.
    """

    name: str
    parts: Mapping[str, Fraction]
    where: Location
    shrink: Spread
    flex: Fraction = Fraction(0)
    hold: frozenset[str] = frozenset()
    add: Mapping[str, Rate] = field(factory=dict)
    keeps_days: int | None = None
    only: Literal["own", "ready"] | None = None
    measured: Measured | None = None

    @property
    def bought(self) -> bool:
        """Whether the mix has no recipe and can only be bought ready-made."""
        return not self.parts

    @property
    def is_blended(self) -> bool:
        """Whether it is made of its parts, which it has and is not wanted ready-made."""
        return not self.bought and self.only != "ready"

    @property
    def shares(self) -> dict[str, float]:
        """The share of each part in the loose volume."""
        whole = sum(self.parts.values())
        return {part: float(parts / whole) for part, parts in self.parts.items() if parts > 0}

    @property
    def loses_volume(self) -> bool:
        """Whether blending loses volume: one ingredient alone shrinks nothing."""
        return len(self.shares) > 1

    def loose_per_l(self, shrink: Number) -> Number:
        """Return how many litres of loose parts a litre of the finished mix takes, for a shrink."""
        return formulas.loose_per_l(shrink, len(self.shares) if self.is_blended else 1)

    def loose_parts(self, litres: float) -> dict[str, float]:
        """Return the loose litres [L] of each part in so much finished mix, at likely shrink."""
        loose = litres * formulas.loose_per_l(self.shrink.likely, len(self.shares))
        return {part: loose * share for part, share in self.shares.items()}


@frozen
class Move:
    """One step of a plant: into a container, to a place without mix, or refreshed where it is.

    Exactly one of `to`, `place` and `refresh` is set; `place` is a bed's name, "ground",
    "sold", or "shelter" or "outdoors" for plants that are carried there in their pots.
    `refresh` counts as a share of the fill (a depth was turned into that share by the reader).
    `old` is what the plant stands in before; `count` is set where it differs from the move before.
    `opens` is hard, `due` is soft; `dated` says whether the plan gave either.
    `keep_share` is the share of each ball that goes along, after `into` has divided it.
    `shared` is how many plants stand in one old container: the `per_pot` that they were put in by.
    A refresh counts pots by it, so there `per_pot` equals `shared`.
    A pot may be filled in stages: `filled` is the share of its fill that is in after the move. A
    move that fills it up further has `begun`, the share in before, above 0, and counts as a
    refresh of the difference; `old_filled` is how full the pot is that the ball comes from.
    `pot_mix` is what the pots of plants that are carried hold, None where nobody says.
    """

    number: int
    old: Container
    to: Container | None
    place: str | None
    refresh: float | None
    mix: str | None
    opens: date
    due: date
    where: Location
    dated: bool = True
    count: int | None = None
    wait_days: int = 0
    harden_days: int = 0
    per_pot: int = 1
    shared: int = 1
    into: int = 1
    keep_share: float = 1.0
    people: int = 1
    add: Mapping[str, Amount] = field(factory=dict)
    big_step: bool = False
    care: tuple[CareStep, ...] = ()
    filled: float = 1.0
    begun: float = 0.0
    old_filled: float = 1.0
    pot_mix: str | None = None

    @property
    def carried(self) -> bool:
        """Whether plants are carried in their pots, under cover or out again."""
        return self.place in CARRIED

    @property
    def empties(self) -> bool:
        """Whether the old containers are empty afterwards."""
        stays = self.refresh is not None or self.carried or self.place == "sold"
        return not stays and self.old.holds

    @property
    def stands_in(self) -> Container | None:
        """What the plant stands in afterwards; as `new`, and the same pot where it is carried."""
        return self.old if self.carried else self.new

    @property
    def kept_ball(self) -> float:
        """The share of one old pot's whole ball that each plant brings."""
        return self.keep_share * self.old_filled / (self.into * self.shared)

    @property
    def new(self) -> Container | None:
        """What the plant stands in afterwards; None when it leaves for a bed, ground or buyer."""
        return self.old if self.refresh is not None else self.to

    def pots(self, plants: int) -> int:
        """Return how many containers (cells of a tray) are filled: whole trays, shared pots."""
        pots = ceil_count(plants, self.per_pot)
        return ceil_count(pots, self.cells) * self.cells

    @property
    def cells(self) -> int:
        """Cells of the tray that is filled, which is filled whole; 1 for a pot."""
        filled = self.old if self.begun or self.carried else self.to
        return filled.cells if filled is not None else 1

    def containers(self, plants: int) -> int:
        """Return how many whole containers (trays, not cells) this move takes from stock."""
        if self.to is None or not self.to.holds:
            return 0
        return ceil_count(ceil_count(plants, self.per_pot), self.to.cells)


@frozen
class PlantKind:
    """What all rows of one kind share: where they stand now, and every move with its window.

    `since` is when they came into the pot that they stand in, None if nobody said.
    """

    crop: str | None
    now: Container
    moves: tuple[Move, ...]
    where: Location
    tender: bool = False
    stands_m2: float | None = None
    since: date | None = None
    spacing_m: float | None = None

    def counts(self, count: int) -> tuple[int, ...]:
        """Return the number of plants after each move, for a group that starts with `count`."""
        counts = []
        for move in self.moves:
            count = move.count if move.count is not None else count * move.into
            counts.append(count)
        return tuple(counts)


@frozen
class PlantGroup:
    """Some plants of one name that are moved alike."""

    name: str
    count: int
    kind: PlantKind
    marks: Marks = NO_MARKS

    @property
    def counts(self) -> tuple[int, ...]:
        """Number of plants after each move."""
        return self.kind.counts(self.count)


@frozen(eq=False)
class Roster(Sequence[PlantGroup]):
    """All groups in the order of the file, kept as columns.

    A nursery's list has a hundred thousand rows but few kinds of rows, so the stages work kind by
    kind and a `PlantGroup` is made only when somebody asks for it.
    `names`, `counts` and `kind_of` (an index into `kinds`) are of one length, and so is `mark_of`
    (an index into `marks`), unless no group has any.
    """

    kinds: tuple[PlantKind, ...]
    names: Sequence[str]
    counts: Sequence[int]
    kind_of: Sequence[int]
    marks: tuple[Marks, ...] = ()
    mark_of: Sequence[int] = ()

    def __len__(self) -> int:
        return len(self.names)

    @overload
    def __getitem__(self, index: int) -> PlantGroup: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[PlantGroup]: ...
    def __getitem__(self, index: int | slice) -> PlantGroup | Sequence[PlantGroup]:
        if isinstance(index, slice):
            return [self[i] for i in range(*index.indices(len(self)))]
        kind, marks = self.kinds[self.kind_of[index]], self.marks_at(index)
        return PlantGroup(self.names[index], self.counts[index], kind, marks)

    def __iter__(self) -> Iterator[PlantGroup]:
        return (self[index] for index in range(len(self)))

    def moves_alike(self) -> Iterator[tuple[Move, int, int]]:
        """Yield each move of each number of plants of a kind, and how many groups make it."""
        alike = Counter(zip(self.kind_of, self.counts, strict=True))
        for (number, count), groups in alike.items():
            kind = self.kinds[number]
            for move, plants in zip(kind.moves, kind.counts(count), strict=True):
                yield move, plants, groups

    def marks_at(self, index: int) -> Marks:
        """Return the sorts, place and tag of a group."""
        return self.marks[self.mark_of[index]] if self.mark_of else NO_MARKS


@frozen
class Plan:
    """A whole plan without errors.

    `ingredients` holds every ingredient and addition that is named, the plan's own figures in
    place of the shipped ones; `containers` the plan's own; `stock` the empty containers on hand by
    container text (whole trays); `minutes` the plan's own minutes by container text or kind of
    work. `file` is the plan file's name without its folder. `stored` is finished mix that a record
    tells of, `posted` the days that its last posted plan gave the work, `posted_bags_l` what it
    opens of bags [L] of a mix that is blended too, `made` the moves with aftercare that were made;
    all are empty without one. `places` are those with an area.
    """

    file: str
    garden: Garden
    work: Work
    factors: Factors
    sure_share: float
    plants: Roster
    beds: tuple[Bed, ...]
    mixes: Mapping[str, Mix]
    ingredients: Mapping[str, Ingredient]
    containers: Mapping[str, Container]
    stock: Mapping[str, int]
    supplies: tuple[Supply, ...]
    suppliers: Mapping[str, Supplier]
    minutes: Mapping[str, Spread]
    stored: Mapping[str, StoredMix] = field(factory=dict)
    posted: tuple[PostedLine, ...] = ()
    posted_bags_l: Mapping[str, float] = field(factory=dict)
    made: tuple[MadeMove, ...] = ()
    places: Mapping[str, Place] = field(factory=dict)

    def density_kg_per_l(self, name: str) -> float | None:
        """Return what a litre of an ingredient or addition weighs [kg/L], None if nobody says.

        What the plan says of a package comes before the shipped figure.
        """
        for supply in self.supplies:
            if supply.of == name and supply.mass_kg and supply.loose_l:
                return supply.mass_kg / supply.loose_l.likely
        ingredient = self.ingredients.get(name)
        density = None if ingredient is None else ingredient.density_kg_per_m3
        return None if density is None else density.likely / 1000

    def loose_kg(self, of: str, litres: float) -> float:
        """Return what so much of a mix or ingredient weighs as it is handled [kg].

        A mix is as heavy as the loose parts that go into it, blending only makes it denser; what
        has no known density counts nothing.
        """
        mix = self.mixes.get(of)
        if mix is None or not mix.parts:
            return litres * (self.density_kg_per_l(of) or 0.0)
        shrink = mix.shrink.likely if len(mix.parts) > 1 else 0.0
        total = float(sum(mix.parts.values()))
        return sum(
            self.loose_kg(part, litres / (1 - shrink) * float(share) / total)
            for part, share in mix.parts.items()
        )
