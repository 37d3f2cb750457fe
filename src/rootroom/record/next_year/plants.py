"""The plants of next year's plan: each in the pot where it stands now, with the moves still to do.

Annuals are sown anew as this year. What was sold or planted out is gone. What has stood in its pot
for as long as its crop may is marked as due, with what to do as a comment.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from attrs import evolve, frozen

from rootroom.catalogue.containers import container_table
from rootroom.catalogue.uses import find_crop, repot_years
from rootroom.counts import ceil_count
from rootroom.plan.drafts import toml_text
from rootroom.plan.editing import add_row
from rootroom.plan.names import tidy
from rootroom.plan.tables.plant_table import MOVE_KEYS
from rootroom.record.apply import parts_left
from rootroom.record.next_year.draft import Draft
from rootroom.record.plants import Group

if TYPE_CHECKING:
    from rootroom.plan.model import Move, Plan
    from rootroom.plan.toml.splicing import Path

KEYS_OF_A_MOVE = tuple(key.rstrip("_") for key in MOVE_KEYS)
DUE_REFRESH = "1/3"
"""Share renewed in the same pot (Royal Horticultural Society, Plants in containers)."""


@frozen
class Standing:
    """Plants of a group that stand alike: `made` moves are behind them, `moves` still to do."""

    count: int
    made: int
    since: date | None
    sorts: Mapping[str, int]
    moves: tuple[Move, ...]


def groups_at_the_end(
    plan: Plan, told: Mapping[str, Sequence[Group]], *, as_planned: bool
) -> dict[str, list[Group]]:
    """Return the groups that a record tells of, by name; with `as_planned` all, the others done."""
    found = {name: list(groups) for name, groups in told.items()}
    if as_planned:
        for row, group in enumerate(plan.plants):
            if group.name not in told:
                found.setdefault(group.name, []).append(_as_planned(Group.of(row, group)))
    return found


def carry_plants(draft: Draft, plan: Plan, groups: Mapping[str, Sequence[Group]]) -> dict[str, int]:
    """Change the plants to how they stand; return the pots that annuals leave empty, by text."""
    emptied: dict[str, int] = {}
    rows = draft.data.get("plants", [])
    by_name = {group.name: (row, group) for row, group in enumerate(plan.plants)}
    for index in reversed(range(len(rows))):
        entry = rows[index]
        if entry.get("rows"):
            continue
        row, group = by_name[tidy(entry["name"])]
        told = groups.get(group.name)
        state = told[0] if told else Group.of(row, group)
        if not is_annual(state):
            _carry(draft, index, state)
        elif told:
            for text, count in pots_of(state).items():
                emptied[text] = emptied.get(text, 0) + count
            _note_annual(draft, index, state)
    return emptied


def _as_planned(group: Group) -> Group:
    """Return a group after all its moves, each made on its last day."""
    for number, move in enumerate(group.moves, 1):
        count = group.standing(number - 1) * move.into
        count = count if move.count is None else min(move.count, count)
        pieces = group.take(number - 1, ceil_count(count, move.into))
        group.out[number - 1] += sum(many for _, many in pieces)
        for sort, many in pieces:
            made = min(many * move.into, count)
            count -= made
            group.into[number] += made
            group.put(number, made, move.due, sort)
            group.made.append((number, made, move.due))
    return group


def is_annual(group: Group) -> bool:
    """Return whether plants are sown anew each year."""
    known = None if group.kind.crop is None else find_crop(group.kind.crop)
    return known is not None and known.annual


def pots_of(group: Group) -> dict[str, int]:
    """Return the containers that plants of a group have been moved into, whole ones by text."""
    found: dict[str, int] = {}
    for stage in range(1, len(group.lots)):
        move, count = group.moves[stage - 1], group.standing(stage)
        box = move.stands_in
        if box is not None and box.holds and count:
            whole = ceil_count(ceil_count(count, move.per_pot), box.cells)
            found[box.text] = found.get(box.text, 0) + whole
    return found


def _note_annual(draft: Draft, index: int, group: Group) -> None:
    pots = ", ".join(f"{count} of {text}" for text, count in pots_of(group).items())
    freed = f"; its pots count as empty: {pots}" if pots else ""
    draft.comment(("plants", index), [f"sown anew, as this year{freed}"])


def standing_now(group: Group) -> Iterator[Standing]:
    """Yield the plants that stand in a container, foremost first; those alike are one."""
    found: dict[tuple[int, tuple[int, ...]], list[tuple[int, tuple[Move, ...]]]] = {}
    sorts: dict[tuple[int, tuple[int, ...]], dict[str, int]] = {}
    since: dict[tuple[int, tuple[int, ...]], date | None] = {}
    for stage, count, own, moves in parts_left(group):
        if count and (stage == 0 or group.moves[stage - 1].stands_in is not None):
            # A pot that was filled in part stays so over the winter.
            passed = next((n for n, move in enumerate(moves) if not move.begun), len(moves))
            moves = moves[passed:]
            key = stage + passed, tuple(move.number for move in moves)
            since.setdefault(key, _since(group, stage))
            found.setdefault(key, []).append((count, moves))
            for sort, many in own:
                known = sorts.setdefault(key, {})
                known[sort] = known.get(sort, 0) + many
    for key, parts in found.items():
        total = sum(count for count, _ in parts)
        yield Standing(total, key[0], since[key], sorts.get(key, {}), _joined(parts))


def _joined(parts: Sequence[tuple[int, tuple[Move, ...]]]) -> tuple[Move, ...]:
    """Return the moves that some plants all have to do, with how many of them do each."""
    if len(parts) == 1:
        return parts[0][1]
    steps = []
    for same in zip(*(moves for _, moves in parts), strict=True):
        given = [move.count for move in same]
        goes = [
            count if made is None else made for made, (count, _) in zip(given, parts, strict=True)
        ]
        steps.append(evolve(same[0], count=None if set(given) == {None} else sum(goes)))
    return tuple(steps)


def _since(group: Group, stage: int) -> date | None:
    """Return when the first of some plants came into their pot, or were refreshed in it.

    Carrying them, and filling their pot further, gives the roots no new room.
    """
    steps = range(1, stage + 1)
    moves = group.moves
    potted = [n for n in steps if not (moves[n - 1].carried or moves[n - 1].begun)]
    if not potted:
        return group.kind.since
    if potted[-1] != stage:
        return min((day for n, _, day in group.made if n == potted[-1]), default=None)
    days = [lot.since for lot in group.lots[stage] if lot.count and lot.since is not None]
    return min(days, default=None)


def _carry(draft: Draft, index: int, group: Group) -> None:
    """Write a group as it stands: one row for each pot and stage."""
    path: Path = ("plants", index)
    parts = list(standing_now(group))
    gone = group.into[0] if not parts else 0
    if not parts:
        draft.drop(path)
        draft.notes.append(f"{group.name}: none of {gone} stands in a pot any more; taken out")
        return
    entry = draft.at(path)
    for number, part in reversed(list(enumerate(parts))):
        if number:
            fields = _fields(entry, group, part, _new_name(draft, group.name, pot_of(group, part)))
            raw = {key: toml_text(value) for key, value in fields.items()}
            draft.text = add_row(draft.text, ("plants",), raw, at=index + 1)
            _advise(draft, index + 1, group, part)
    _rewrite(draft, path, group, parts[0])
    _advise(draft, index, group, parts[0])


def _new_name(draft: Draft, name: str, pot: str) -> str:
    """Return a name for plants of a group that stand in another pot, which no row has yet."""
    taken = {row.get("name") for row in draft.data["plants"]}
    wanted, number = f"{name}, in {pot}", 1
    while wanted in taken:
        number += 1
        wanted = f"{name}, in {pot} ({number})"
    return wanted


def pot_of(group: Group, part: Standing) -> str:
    """Return the pot that plants stand in, as the plan's text."""
    if not part.made:
        return group.kind.now.text
    new = group.moves[part.made - 1].stands_in
    assert new is not None
    return new.text


def _rewrite(draft: Draft, path: Path, group: Group, part: Standing) -> None:
    """Change the row of a group in place, so that what is written beside it stays."""
    entry = draft.at(path)
    wanted = _fields(entry, group, part, group.name)
    if part.made and "moves" in entry and "moves" in wanted:
        for _ in range(part.made):
            draft.drop((*path, "moves", 0))
        first = draft.at((*path, "moves", 0))
        if "wait" in first:
            draft.drop((*path, "moves", 0, "wait"))
        for number, move in enumerate(wanted["moves"]):
            if "count" in move:
                draft.set((*path, "moves", number, "count"), move["count"])
    draft.drop(*((*path, key) for key in entry if key not in wanted))
    for key, value in wanted.items():
        if key != "moves":
            draft.set((*path, key), value)


def _fields(entry: Mapping[str, Any], group: Group, part: Standing, name: str) -> dict[str, Any]:
    """Return the keys of a row for plants that stand alike."""
    kept = {key: value for key, value in entry.items() if key not in ("moves", *KEYS_OF_A_MOVE)}
    fields = {**kept, "name": name, "count": part.count, "now": pot_of(group, part)}
    if "sorts" in entry:
        if sum(part.sorts.values()) == part.count:
            fields["sorts"] = dict(part.sorts)
        else:
            del fields["sorts"]
        if "count" not in entry and "sorts" in fields:
            del fields["count"]
    if part.since is not None:
        fields["since"] = part.since
    if not part.moves:
        return fields
    if "mix" in entry and "moves" in entry:
        fields["mix"] = entry["mix"]
    if "moves" not in entry:
        direct = {key: entry[key] for key in KEYS_OF_A_MOVE if key in entry}
        return {**fields, **direct}
    left = [dict(move) for move in entry["moves"][part.made : part.made + len(part.moves)]]
    if part.made:
        left[0].pop("wait", None)
    for raw, move in zip(left, part.moves, strict=True):
        if move.count is not None:
            raw["count"] = move.count
    return {**fields, "moves": left}


def _advise(draft: Draft, index: int, group: Group, part: Standing) -> None:
    """Write above a row without moves when its roots are due, and what to do then."""
    if part.moves or group.kind.now.cells > 1:
        return
    pot, years = pot_of(group, part), repot_years(group.kind.crop)
    entry = draft.at(("plants", index))
    if part.since is None:
        line = f"in {pot}, nobody noted since when: write `since = 2026-03-15` if you know it"
        draft.comment(("plants", index), [line])
        return
    due = part.since.year + years
    if due <= draft.year:
        draft.notes.append(f"due: {entry['name']}, in {pot} since {part.since}")
    head = f"in {pot} since {part.since}: roots are due every {years} years, so in {due}"
    draft.comment(("plants", index), [head, *_to_accept(entry, pot)])


def _to_accept(entry: Mapping[str, Any], pot: str) -> list[str]:
    """Return what to write on a row for a larger pot, or for fresh mix in the same one."""
    window = 'by = "2 weeks before last frost"'
    found = []
    classes = [one for one in container_table().classes if not one.startswith("#SP")]
    if pot in classes[:-1]:
        found.append(f'  to accept: to = "{classes[classes.index(pot) + 1]}", {window}')
    return [*found, f'  {"or" if found else "to accept"}: refresh = "{DUE_REFRESH}", {window}']
