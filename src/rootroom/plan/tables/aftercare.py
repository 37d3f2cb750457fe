"""The key `then` of a move: what is done for the plants after it."""

from __future__ import annotations

from collections.abc import Sequence

from attrs import frozen

from rootroom.plan.aftercare import CareStep
from rootroom.plan.context import Context
from rootroom.plan.dates import MOST_DAYS
from rootroom.plan.diagnostics import Path
from rootroom.plan.measures import MassOrVolume
from rootroom.plan.names import shown, suggest
from rootroom.plan.values import Count, Days, Name, Text


@frozen(eq=False, repr=False)
class CareTable:
    """An entry of `then` as written."""

    do: Name | None = None
    after: Days | None = None
    every: Days | None = None
    times: Count | None = None
    of: Text | None = None
    amount: MassOrVolume | None = None


def read_care(
    tables: Sequence[CareTable | None], path: Path, place: str | None, context: Context
) -> tuple[CareStep, ...]:
    """Return the aftercare of a move to a `place` without mix, or into a container; notes mistakes.

    `path` is that of `then`.
    """
    if place == "sold" and tables:
        context.findings.error(
            path,
            "care-after-leaving",
            "aftercare of plants that are sold",
            hint="leave `then` out; the buyer cares for them",
            key=True,
        )
        return ()
    found = []
    for number, table in enumerate(tables):
        step = None if table is None else _step(table, (*path, number), context)
        if step is not None:
            found.append(step)
    return tuple(found)


def _step(table: CareTable, path: Path, context: Context) -> CareStep | None:
    findings = context.findings
    if table.do is None:
        hint = 'write `do = "feed"`'
        findings.missing(path, "do", "aftercare needs `do`: what is done", hint)
    if table.after is None:
        hint = 'write `after = "3 weeks"`'
        findings.missing(path, "after", "aftercare needs `after`: how long after", hint)
    if not _repeats(table, path, context):
        return None
    of = _good(table, path, context)
    if table.do is None or table.after is None or (of is None and table.amount is not None):
        return None
    every, times = table.every or 0, table.times or 1
    return CareStep(str(table.do), table.after, every, times, of, table.amount)


def _repeats(table: CareTable, path: Path, context: Context) -> bool:
    """Note a repetition of which the interval or the number is missing, or that never ends."""
    findings = context.findings
    for key, other, example in (("every", "times", "4"), ("times", "every", '"2 weeks"')):
        hint = f"write `{other} = {example}` beside it"
        if table.times != 1 and _alone(table, key, other, hint, path, context):
            return False
    if table.every == 0:
        findings.error(
            (*path, "every"), "zero-number", "every 0 days is never over", hint="leave it out"
        )
        return False
    span = (table.after or 0) + (table.every or 0) * ((table.times or 1) - 1)
    if span > MOST_DAYS:
        findings.error(
            (*path, "times"),
            "too-large",
            f"the last time is {span:,} days after the move",
            hint="a plan is for one season: do it less often",
        )
        return False
    return True


def _good(table: CareTable, path: Path, context: Context) -> str | None:
    """Return the addition that is given; note one that is not known, or an amount without one."""
    for key, other, example in (("amount", "of", '"liquid feed"'), ("of", "amount", '"1 tbsp"')):
        hint = f"write `{other} = {example}`: what each plant gets each time"
        if _alone(table, key, other, hint, path, context):
            return None
    if table.of is None:
        return None
    name = context.ingredients.name_of(table.of)
    if name is None:
        hint = f'describe it: `[ingredients."{table.of}"]` with `addition = true`'
        context.findings.error(
            (*path, "of"),
            "unknown-ingredient",
            f"unknown ingredient: `{shown(table.of)}`",
            hint=suggest(table.of, sorted(context.ingredients), hint),
        )
    return name


def _alone(table: CareTable, key: str, other: str, hint: str, path: Path, context: Context) -> bool:
    """Note a key whose other half is not there."""
    alone = getattr(table, key) is not None and getattr(table, other) is None
    if not alone or context.findings.seen((*path, other)):
        return False
    context.findings.error(
        (*path, key), "missing-key", f"`{key}` without `{other}`", hint=hint, key=True
    )
    return True
