"""Empty containers as they are after what was done, and as they were counted.

Plants that were sold have taken their pots with them; the pots of lost plants are empty again.
Whole containers are counted: trays, not cells.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

from attrs import define

from rootroom.counts import ceil_count
from rootroom.plan.model import Plan
from rootroom.record.events import Event
from rootroom.record.mix_and_goods import Goods, count_goods
from rootroom.record.plants import Group, replay_plants

if TYPE_CHECKING:
    from rootroom.containers.container import Container


@define
class ContainerCount:
    """Containers of one kind.

    on_hand = planned + bought + emptied + freed + unknown + found - broken.

    `emptied` is what moves, losses and counts have left empty less what was filled (below 0: more
    were filled); `unknown` are containers that were filled and that nobody noted as bought; `found`
    is what countings have found beyond all that (below 0: fewer).
    """

    planned: int = 0
    bought: int = 0
    emptied: int = 0
    freed: int = 0
    broken: int = 0
    unknown: int = 0
    found: int = 0

    @property
    def on_hand(self) -> int:
        """Empty ones that are there."""
        have = self.planned + self.bought + self.emptied + self.freed - self.broken
        return have + self.unknown + self.found


def count_containers(
    plan: Plan,
    events: Iterable[Event],
    groups: Mapping[str, Sequence[Group]],
    bought: Mapping[str, int],
    found: Mapping[str, int],
) -> dict[str, ContainerCount]:
    """Return the containers of every kind that the plan or the record names, by their text.

    `bought` and `found`, what countings found beyond the books, are by text in whole containers.
    """
    boxes: dict[str, ContainerCount] = defaultdict(ContainerCount)
    for text, number in plan.stock.items():
        boxes[text].planned = number
    for text, number in bought.items():
        boxes[text].bought += number
    for rows in groups.values():
        for group in rows:
            _add_emptied(group, boxes)
    for event in events:
        if event.kind in ("freed", "broken"):
            box = boxes[event.data["container"]]
            count = event.data["count"]
            if event.kind == "freed":
                box.freed += count
            else:
                box.broken += count
    for text, number in found.items():
        boxes[text].found = number
    for box in boxes.values():
        box.unknown = max(-box.on_hand, 0)
    return dict(boxes)


def _add_emptied(group: Group, boxes: dict[str, ContainerCount]) -> None:
    """Add what a group used to stand in, and take away what it stands in now."""
    for stage in range(len(group.lots)):
        place = _pot(group, stage)
        if place is None:
            continue
        box, plants = place
        if stage == 0:
            boxes[box.text].emptied += ceil_count(group.into[0], plants)
        boxes[box.text].emptied -= ceil_count(group.standing(stage), plants)
        if stage < len(group.moves) and group.moves[stage].place == "sold":
            boxes[box.text].emptied -= ceil_count(group.out[stage], plants)


def containers_there(
    plan: Plan, told: Sequence[Event], groups: Mapping[str, Sequence[Group]], goods: Goods
) -> dict[str, ContainerCount]:
    """Return the empty containers by text; a counting holds, and later events count from it.

    What a counting found beyond the books of its day is found out by replaying up to that day.
    """
    found: dict[str, int] = {}
    counted: dict[tuple[date, str], int] = {}
    for event in told:
        if event.kind == "empty":
            key = event.day, event.data["container"]
            counted[key] = max(counted.get(key, 0), event.data["count"])
    for (day, text), count in sorted(counted.items()):
        before = [event for event in told if event.day <= day]
        then, _ = replay_plants(plan.plants, before)
        bought = count_goods(plan, before, then).boxes
        box = count_containers(plan, before, then, bought, found).get(text, ContainerCount())
        found[text] = found.get(text, 0) + count - box.on_hand
    return count_containers(plan, told, groups, goods.boxes, found)


def _pot(group: Group, stage: int) -> tuple[Container, int] | None:
    """Return what plants of a stage stand in, and how many stand in one; None for no container."""
    moves = group.moves
    if stage < len(moves):
        box, plants = moves[stage].old, moves[stage].shared
    elif moves and (last := moves[-1].stands_in) is not None:
        box, plants = last, moves[-1].per_pot
    else:
        return None
    return (box, plants * box.cells) if box.holds else None
