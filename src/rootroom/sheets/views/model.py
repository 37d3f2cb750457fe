"""What the sheets say, as texts that every medium lays out: paper, page, text and calendar.

Every figure is already written as it is measured; a template only places it. What is handed back to
the record stands beside it in the names of the plan and base units, as `Event`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from attrs import field, frozen

if TYPE_CHECKING:
    from rootroom.sheets.views.demand import Amounts

Event = Mapping[str, str | int | float | None]
"""What a tick or a count on the phone is handed back as; `planned` is what the plan has."""

Texts = Sequence[str]


@frozen
class Evening:
    """Steps of the evening before of one kind; `short` tells a long list in a few words.

    `who` has what is fetched, where somebody is named.
    """

    kind: str
    who: str
    items: Texts
    short: Texts
    head: str = field(init=False)

    @head.default
    def _head(self) -> str:
        return f"{self.kind.capitalize()}, {self.who}" if self.who else self.kind.capitalize()


@frozen
class RecipeRow:
    """A layer of a batch in scoops: of a batch, of a last smaller one, and of all."""

    part: str
    batch: str
    last: str
    all: str


@frozen
class BatchView:
    """The batches of one mix; `boxes` are ticked one a batch, `last` says if one is smaller."""

    mix: str
    title: str
    many: str
    batches: str
    record: Event
    boxes: int
    last: bool
    makes: str
    scoop: str
    rows: Sequence[RecipeRow]
    adds: Texts
    order: str
    tip: str
    water: str


@frozen
class Ticked:
    """A line that is ticked, and what the record is told then."""

    text: str
    record: Mapping[str, Any]


@frozen
class WorkRow:
    """A line of work; `boxes` are ticked one a pot, of more a `tally` is kept.

    `name` is how the line begins, `what` the plant, bed or mix that it is about, if any.
    `counted` says how many there are, `shared` how they are divided and share pots.
    `marks` says where the plants stand, their tag and their sorts; of several `sorts` each has its
    own count.
    """

    kind: str
    start: str
    minutes: str
    number: str
    name: str
    what: str
    people: str
    record: Event
    way: str = ""
    counted: str = ""
    shared: str = ""
    mix: str = ""
    pot: str = ""
    pot_exact: str = ""
    amount: str = ""
    adds: Texts = ()
    checkpoint: str = ""
    boxes: int = 0
    tally: str = ""
    weight: str = ""
    names: Texts = ()
    more_names: str = ""
    marks: str = ""
    sorts: Sequence[Ticked] = ()


@frozen
class Material:
    """What must be at hand, and where it comes from."""

    amount: str
    what: str
    source: str


@frozen
class Used:
    """A mix of which the scoops really used are noted."""

    mix: str
    record: str
    text: str
    planned: str


@frozen
class SessionView:
    """One session; of a long day `grouped` has rows of the same move together.

    `may_take` is the work that may be planned on the day, `care` names every caution in a word,
    `cautions` tells the most urgent; `moved` is all that is lifted, in `weights` where it is heavy.
    """

    id: str
    number: int
    of: str
    title: str
    day: str
    day_short: str
    clock: str
    people: str
    minutes: str
    may_take: str
    before: Sequence[Evening]
    batches: Sequence[BatchView]
    work: Sequence[WorkRow]
    more_work: str
    grouped: Sequence[WorkRow]
    materials: Sequence[Material]
    tools: str
    moved: Texts = ()
    weights: Texts = ()
    care: Texts = ()
    cautions: Texts = ()
    more_cautions: bool = False
    rain: Texts = ()
    after: Texts = ()
    empties: Texts = ()
    left: Texts = ()
    used: Sequence[Used] = ()
    counts: Texts = ()


@frozen
class Doubt:
    """What to measure, and the line of the plan for what was measured."""

    text: str
    line: str


@frozen
class Cost:
    """What something costs."""

    what: str
    cost: str


@frozen
class SessionRow:
    """A session in the table of the season."""

    number: str
    day: str
    time: str
    people: str
    work: str
    what: str


@frozen
class FullCaution:
    """A caution in full: its `line`, and `more` about it."""

    line: str
    more: str


@frozen
class SeasonView:
    """The season page."""

    mixes: Sequence[Amounts]
    ingredients: Sequence[Amounts]
    additions: Sequence[Amounts]
    check: str
    doubts: Sequence[Doubt]
    costs: Sequence[Cost]
    saved: Texts
    sessions: Sequence[SessionRow]
    session_notes: Texts
    late: Texts
    dates: Texts
    care: Sequence[Ticked]
    why: Texts
    cures: Texts
    cautions: Sequence[FullCaution]


@frozen
class PackRow:
    """Packages of one good to buy."""

    packs: str
    what: str
    pack: str
    cost: str
    needed: str
    by: str
    record: Event


@frozen
class FeeRow:
    """What a supplier charges beside the goods; `by` when, where one way brings all of several."""

    what: str
    cost: str
    by: str
    all_in_one: bool


@frozen
class SupplierView:
    """What is bought from one supplier; `load` is that of a trip, in `loads` with each good's."""

    name: str
    total: str
    by: str
    load: str
    loads: str
    rows: Sequence[PackRow]
    fees: Sequence[FeeRow]


@frozen
class Stock:
    """What is there already and used first."""

    what: str
    pack: str
    amount: str


@frozen
class Good:
    """A good and how much of it."""

    what: str
    amount: str


@frozen
class Short:
    """What cannot be had, what for and from when, and the change that would do."""

    text: str
    uses: str
    change: str


@frozen
class MadeView:
    """How a mix is made; `parts` tells its parts, which are not the plan's where it is `bent`."""

    mix: str
    ways: str
    parts: str
    bent: bool


@frozen
class LeftRow:
    """What is left of a good, at plan-on figures and if much is needed."""

    what: str
    likely: str
    left: str


@frozen
class ShoppingView:
    """The shopping list."""

    total: str
    notes: Texts
    suppliers: Sequence[SupplierView]
    stock: Sequence[Stock]
    unpriced: Sequence[Good]
    short: Sequence[Short]
    made: Sequence[MadeView]
    left: Sequence[LeftRow]


@frozen
class SheetsView:
    """All sheets of a season; `digest` changes with anything that they say."""

    language: str
    garden: str
    file: str
    made_by: str
    scoop_l: float
    season: SeasonView
    shopping: ShoppingView
    sessions: Sequence[SessionView]
    digest: str = ""
