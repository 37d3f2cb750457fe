"""Planning again from a record: the season that is left, and what changes of the posted plan.

What the posted plan blends, buys ready-made and buys where is kept. It is given up where it cannot
be had any more, or on request (`anew`); where it has become much dearer, that is told.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any, TypeVar

from attrs import frozen

from rootroom.record.apply import State, plan_from, replay
from rootroom.record.events import Event, holding
from rootroom.record.mix_and_goods import paid_cents
from rootroom.record.posted import Choices, choices_of, posted_blends, posted_first
from rootroom.replanning.changes import BLEND, Change, Missed, find_changes, find_missed
from rootroom.season import Season, make_season
from rootroom.tolerances import SAME_SHARE

if TYPE_CHECKING:
    from rootroom.buying.shopping import Made, Shopping
    from rootroom.plan.model import Plan

Key = tuple[str, int]
Number = TypeVar("Number", int, float)

MUCH = 0.10
"""The posted choices are much dearer where they cost this share more of what is still to pay."""


@frozen
class ListChange:
    """What is bought or made otherwise than posted: of what, from what to what, and why."""

    of: str
    before: str
    after: str
    reason: str


@frozen(eq=False)
class Replanned:
    """What is left of a season after its record.

    `paid_cents` and `to_pay_cents` come to the cost of the season, tax and fees included.
    `dearer_cents` is what the posted choices cost more than the list made anew, where that is much.
    """

    season: Season
    state: State
    changes: tuple[Change, ...]
    list_changes: tuple[ListChange, ...]
    missed: tuple[Missed, ...]
    paid_cents: int
    to_pay_cents: int
    dearer_cents: int = 0

    @property
    def holds(self) -> bool:
        """Whether nothing changes of the posted plan, but what is blended on days that stay."""
        posted = {line.day for line in self.season.plan.posted}
        stay = posted & {session.date for session in self.season.schedule.sessions}
        return not self.list_changes and all(
            change.kind == BLEND and stay >= {*change.before, *change.after}
            for change in self.changes
        )


def replan(
    written: Plan, events: Sequence[Event], *, seconds: float | None = None, anew: bool = False
) -> Replanned:
    """Plan what is left after a record, near to the last posted plan; `written` is the plan file's.

    `seconds` [s] limits each search.
    """
    events = posted_first(events)
    state = replay(written, events)
    free = plan_from(written, state, anew=True)
    plan = free if anew else plan_from(written, state)
    season = make_season(plan, seconds=seconds)
    dearer, why = 0, "planned anew" if anew else "it comes out otherwise for what is left"
    if not anew and not _can_be_had(season.shopping):
        other = make_season(free, seconds=seconds)
        if _can_be_had(other.shopping):
            season, why = other, "as posted it cannot be had any more"
    elif not anew:
        dearer = _dearer(season, free, seconds)
    before = replay(written, events[: _posted_last(events) + 1])
    changes = find_changes(
        season.plan,
        season.schedule,
        done=_more(state.done, before.done),
        filled=_more(state.filled, before.filled),
        today=_first_left(state),
        stops=state.called_off,
        blends={
            day: batches
            for day, batches in posted_blends(events).items()
            if day not in state.worked
        },
    )
    return Replanned(
        season=season,
        state=state,
        changes=changes,
        list_changes=tuple(_list_changes(events, season.shopping, why)),
        missed=find_missed(season.plan, season.schedule),
        paid_cents=paid_cents(state.goods.paid),
        to_pay_cents=season.shopping.cost_cents,
        dearer_cents=dearer,
    )


def _can_be_had(shopping: Shopping) -> bool:
    return shopping.status in ("optimal", "feasible")


def _dearer(season: Season, free: Plan, seconds: float | None) -> int:
    """Return how much dearer the posted choices are, if that is much [cents]; both lists alike."""
    from rootroom.buying.shop import shop

    if season.plan.mixes == free.mixes and season.plan.supplies == free.supplies:
        return 0
    as_posted, anew = (
        shop(plan, season.needs, demand=season.demand, seconds=seconds)
        for plan in (season.plan, free)
    )
    if not (_can_be_had(as_posted) and _can_be_had(anew)):
        return 0
    more = as_posted.cost_cents - anew.cost_cents
    return more if more > MUCH * anew.cost_cents else 0


def _first_left(state: State) -> date | None:
    """Return the first day that is planned: today, or tomorrow after a day's work."""
    if state.last is None:
        return None
    return state.last + timedelta(1) if state.last in state.worked else state.last


def _posted_last(events: Sequence[Event]) -> int:
    """Return the place of the last posted plan among the events, -1 without one."""
    return max((n for n, event in enumerate(events) if event.kind == "planned"), default=-1)


def _more(now: Mapping[Key, Number], before: Mapping[Key, Number]) -> dict[Key, Number]:
    """Return by how much each count has grown since the last plan was posted."""
    return {key: n - before.get(key, 0) for key, n in now.items() if n > before.get(key, 0)}


# The list


def _list_changes(events: Sequence[Event], shopping: Shopping, why: str) -> Iterator[ListChange]:
    """Yield what is bought and made otherwise than in the last posted plan."""
    last = _posted_last(events)
    if last < 0 or "mixes" not in events[last].data:
        return  # never posted, or by a version that did not keep it
    choices = choices_of(events)
    for name, made in shopping.made.items():
        yield from _mix_changes(name, made, choices, why)
    posted: dict[Any, Mapping[str, Any]] = {}
    for row in events[last].data.get("goods", ()):
        before = posted.get(row["supply"], {}).get("packs", 0)  # fetched in stages, it has several
        posted[row["supply"]] = {**row, "packs": before + row["packs"]}
    bought = _bought(events[last + 1 :])
    now = {line.supply: line for line in shopping.lines}
    for supply in sorted({*posted, *now}):
        row, line = posted.get(supply), now.get(supply)
        before = 0 if row is None else row["packs"]
        had = bought.get(supply, 0.0)
        after = had + (0 if line is None else line.packs)
        if after == before or (line is None and after > before):
            continue  # more than listed was bought, which nobody has to be told
        of, source, pack = (
            (line.of, line.source, line.pack) if line is not None else _names_in(row or {})
        )
        unit = f" × {pack}" if pack else ""
        at = f" from {source}" if source else ""
        yield ListChange(
            of,
            f"{before:g}{unit}{at}",
            f"{after:g}",
            _reason(of, source, after - before, choices, why),
        )


def _names_in(row: Mapping[str, Any]) -> tuple[str, str | None, str | None]:
    return row["of"], row.get("from"), row.get("pack")


def _reason(of: str, source: str | None, more: float, choices: Choices, why: str) -> str:
    chosen = choices.suppliers.get(of, frozenset())
    if chosen and source not in chosen:
        return why
    if of in choices.ready:
        return f"{'more' if more > 0 else 'less'} of it comes ready-made than was posted"
    return (
        "more is needed than was posted for what is left"
        if more > 0
        else "less is needed for what is left"
    )


def _bought(events: Iterable[Event]) -> Mapping[Any, float]:
    packs: dict[Any, float] = {}
    for event in holding(events):
        if event.kind == "bought":
            supply = event.data.get("supply")
            packs[supply] = packs.get(supply, 0.0) + event.data["packs"]
    return packs


def _mix_changes(name: str, made: Made, choices: Choices, why: str) -> Iterator[ListChange]:
    total = made.blended_l + made.ready_l
    if name not in choices.ready or not total:
        return
    before, after = choices.ready[name], made.ready_l / total
    # Own mix comes first, so what is left of a mix that comes in both ways has more and more bags.
    as_ever = before == after or (0 < before < 1 and after > 0)
    if not as_ever and abs(before - after) > SAME_SHARE:
        yield ListChange(name, _way(before), _way(after), why)
    parts = {part.of: part.share for part in made.parts}
    old = choices.parts.get(name, {})
    alike = set(parts) == set(old)
    if made.blended_l and alike and any(abs(parts[of] - old[of]) > SAME_SHARE for of in parts):
        yield ListChange(name, _recipe(old), _recipe(parts), why)


def _way(ready: float) -> str:
    if ready in (0.0, 1.0):
        return "ready-made" if ready else "blended"
    return f"{ready:.0%} ready-made"


def _recipe(parts: Mapping[str, Any]) -> str:
    whole = sum(float(share) for share in parts.values())
    return ", ".join(f"{of} {float(share) / whole:.0%}" for of, share in parts.items())
