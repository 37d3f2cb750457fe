"""Plans side by side: what each takes, what it costs, and what differs between them.

`read_settings` and `with_settings` make a variant of a plan's text, `compare` plans each of them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, Literal

from attrs import frozen

from rootroom.plan.differences import Difference, differences, listed_differences
from rootroom.problems import TextError

if TYPE_CHECKING:
    from rootroom.demand.estimates import Estimate
    from rootroom.plan.model import Plan
    from rootroom.season import Season
    from rootroom.units import System

USUAL_NAME = "changed"
"""What a variant goes by whose settings give it no name."""

_NAMED = re.compile(r"""\s*([^."'=:]+):\s+(\S.*)""", re.DOTALL)


@frozen
class Setting:
    """One value of a plan to set, `at` as `plants.Fig.to`; an empty `value` takes it away."""

    at: str
    value: str


@frozen
class Outcome:
    """What one plan comes to.

    `mixes` [L] counts what goes into other mixes too; `cost_cents` is what the list costs,
    `bought_kg` [kg] the weight of what is bought as far as it is known, `unpriced` what lacks a
    price, and `enough` says that all that is needed can be had. `minutes` are person-minutes of
    the sessions, `evening_min` those of the evenings before; `moved_kg` [kg] is all weight moved,
    `heaviest_kg` [kg] the heaviest single thing. `late_plant_days` counts days late times plants,
    `left_out` plants that do not fit. `differs` is against the first plan of the comparison.
    """

    name: str
    file: str
    system: System
    currency: str
    mixes: Mapping[str, Estimate]
    cost_cents: int
    bought_kg: float
    enough: bool
    unpriced: tuple[str, ...]
    pots_bought: int
    sessions: int
    status: Literal["optimal", "feasible", "infeasible", "limit"]
    first: date | None
    last: date | None
    minutes: float
    evening_min: float
    moved_kg: float
    heaviest_kg: float
    late_plant_days: int
    left_out: int
    clock: bool
    differs: tuple[Difference, ...] = ()

    @property
    def proved(self) -> bool:
        """Whether fewer sessions would not do."""
        return self.status == "optimal"

    @property
    def complete(self) -> bool:
        """Whether all work is planned."""
        return self.status in ("optimal", "feasible")


@frozen
class Compared:
    """A plan to set beside others: its name in the table, its text and what was read of it."""

    name: str
    text: str
    plan: Plan


def read_settings(texts: Iterable[str]) -> dict[str, list[Setting]]:
    """Return the settings of each variant by its name, in the order given.

    A text is `plants.Fig.to=#5`, or `big pots: plants.Fig.to=#5`; those of one name make one
    variant, those without a name another. TextError for a text without `=`.
    """
    found: dict[str, list[Setting]] = {}
    for text in texts:
        named = _NAMED.fullmatch(text)
        name, rest = (named[1].strip(), named[2]) if named else (USUAL_NAME, text)
        at, sign, value = _parted(rest)
        if not sign or not at:
            raise TextError(
                f"nothing to set: `{text}`",
                code="unknown-name",
                hint="write what and how, as `plants.Fig.to=#5` or `big pots: plants.Fig.to=#5`",
            )
        found.setdefault(name, []).append(Setting(at, value))
    return found


def _parted(text: str) -> tuple[str, str, str]:
    """Return what stands before and behind the first `=` outside quotes."""
    quote = ""
    for at, letter in enumerate(text):
        if quote:
            quote = "" if letter == quote else quote
        elif letter in "\"'":
            quote = letter
        elif letter == "=":
            return text[:at].strip(), "=", text[at + 1 :].strip()
    return text, "", ""


def with_settings(text: str, settings: Iterable[Setting]) -> str:
    """Return a plan's text with values set; TextError where one leads nowhere."""
    from rootroom.plan.editing import remove, set_value

    for setting in settings:
        if setting.value:
            text = set_value(text, setting.at, setting.value)
        else:
            text = remove(text, setting.at)
    return text


def compare(plans: Sequence[Compared], *, seconds: float | None = None) -> tuple[Outcome, ...]:
    """Plan each of some plans and say what differs from the first.

    `seconds` [s] limits the search for each plan's days and list.
    """
    from rootroom.season import make_season

    return tuple(
        outcome(one, make_season(one.plan, seconds=seconds), beside=plans[0]) for one in plans
    )


def outcome(one: Compared, season: Season, *, beside: Compared) -> Outcome:
    """Return what a plan comes to, and what differs from the plan `beside`."""
    plan, schedule, shopping = one.plan, season.schedule, season.shopping
    sessions = schedule.sessions
    return Outcome(
        name=one.name,
        file=plan.file,
        system=plan.garden.system,
        currency=plan.garden.currency,
        mixes=season.demand.mixes,
        cost_cents=shopping.cost_cents,
        bought_kg=sum(line.mass_kg for line in shopping.lines),
        enough=shopping.status in ("optimal", "feasible"),
        unpriced=tuple(dict.fromkeys(left.of for left in shopping.unpriced)),
        pots_bought=sum(schedule.containers_to_buy.values()),
        sessions=len(sessions),
        status=schedule.status,
        first=sessions[0].date if sessions else None,
        last=sessions[-1].date if sessions else None,
        minutes=sum(session.minutes for session in sessions),
        evening_min=sum(step.minutes for session in sessions for step in session.before),
        moved_kg=sum(session.moved_kg for session in sessions),
        heaviest_kg=max((session.heaviest_kg for session in sessions), default=0.0),
        late_plant_days=schedule.late_plant_days,
        left_out=sum(left.count for left in schedule.left_out),
        clock=schedule.clock,
        differs=_differs(beside, one),
    )


def _differs(beside: Compared, one: Compared) -> tuple[Difference, ...]:
    if beside is one:
        return ()
    found = differences(beside.text, one.text)
    listed = any("rows" in entry for text in (beside.text, one.text) for entry in _entries(text))
    return (*found, *listed_differences(beside.plan, one.plan)) if listed else found


def _entries(text: str) -> list[dict[str, object]]:
    import tomllib

    entries = tomllib.loads(text).get("plants", [])
    return entries if isinstance(entries, list) else []
