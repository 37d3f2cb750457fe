"""One session as plain text: the evening before, batches, what to bring, what comes after."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from rootroom.counts import some_of
from rootroom.demand.recipes import given_by_spoon
from rootroom.pot.lime import above_published
from rootroom.sheets.layout import (
    clip,
    day_long,
    day_short,
    fill,
    halves,
    hour,
    tidy,
    water,
    wrapped,
)
from rootroom.sheets.money import addition_text
from rootroom.sheets.work import work_text
from rootroom.tolerances import UNTOLD
from rootroom.units import Rate, show_mass, show_minutes, show_rate, show_volume

if TYPE_CHECKING:
    from rootroom.buying.shopping import Unit
    from rootroom.catalogue.cautions import Caution
    from rootroom.demand.recipes import Spoons
    from rootroom.plan.model import Plan
    from rootroom.sessions.session import Batches, Before, Line, Session, Waiting
    from rootroom.sheets.fetching import Fetch, Fetches
    from rootroom.units import System


def care_word(caution: Caution) -> str:
    """Return the word or two by which a day names a caution."""
    return caution.key.replace("-", " ")


def session_text(plan: Plan, session: Session, bought: Fetches | None = None) -> str:
    """Return one session as text; `bought` tells what must be fetched in packages."""
    system, spoons = plan.garden.system, given_by_spoon(plan)
    planned = session.minutes + session.free_minutes
    people = f"{session.people} {'people' if session.people != 1 else 'person'}"
    head = f"{day_long(session.date)}, {hour(session.start)} to about {hour(session.finish)}"
    lines = [
        head,
        "=" * len(head),
        f"{show_minutes(session.minutes)} of {show_minutes(planned)} of work for {people}",
    ]
    evening = [] if bought is None else _packages(bought.on(session.date))
    steps = session.before if bought is None else bought.others(session.before)
    if evening or steps:
        lines += ["", "The evening before", *evening, *_before(steps, system, spoons)]
    if session.batches:
        lines += ["", *_batches(plan, session, spoons)]
    lines += ["", work_text(session, system, spoons)]
    texts = (text for line in session.work for text in mixed_in_above(plan, line))
    lines += [fill(text, indent="  ", hanging="    ") for text in texts]
    lines += ["", *_bring(session, system, spoons)]
    lines += [*_after(session, system)]
    return "\n".join(lines)


def _packages(found: Sequence[Fetch]) -> list[str]:
    heads = [f"{one.head}: " if one.head else "" for one in found]
    return [
        wrapped("  fetch", [head + one.packs[0], *one.packs[1:]])
        for head, one in zip(heads, found, strict=True)
    ]


def _before(steps: Iterable[Before], system: System, spoons: Spoons) -> list[str]:
    lines = []
    for kind in ("fetch", "wash", "soak", "moisten", "water"):
        parts = [_step(step, system, spoons) for step in steps if step.kind == kind]
        if parts:
            lines.append(wrapped(f"  {kind}", parts))
    return lines


def _step(step: Before, system: System, spoons: Spoons) -> str:
    name = clip(step.name, 40)
    if step.kind in ("soak", "moisten"):
        return f"{name}: {water(step.water_l, system)} of water"
    if step.unit in ("l", "kg"):
        shown = addition_text(
            step.name, step.amount, step.unit, spoons, system, up=step.unit == "l"
        )
        return f"{shown} {name}"
    times = "" if step.unit == "plants" else "× "
    return f"{step.count} {times}{name}" if step.count else name


def _batches(plan: Plan, session: Session, spoons: Spoons) -> list[str]:
    lines, system = [], plan.garden.system
    for batch in session.batches:
        above = above_published(plan, plan.mixes[batch.mix])
        lines.append(
            f"Blend {clip(batch.mix, 30)}: {batches_text(batch)}, "
            f"makes {show_volume(batch.litres, system)}"
        )
        scoop = measure_text(batch, plan.work.scoop_l, system)
        parts = [f"{halves(n)} {clip(part, 24)}" for part, n in batch.card.items()]
        lines.append(wrapped("  a batch", [f"{scoop}: {parts[0]}", *parts[1:]]))
        if batch.units_last:
            last = [f"{halves(n * batch.last_share)} {clip(p, 24)}" for p, n in batch.card.items()]
            lines.append(wrapped("  last", last))
        added = addition_texts(batch, system, spoons, above)
        lines += [wrapped("  with", [text]) for text in added]
        if batch.water_l:
            lines.append(wrapped("  water", [water_text(batch, system)]))
        if tip := tip_text(batch, session.work):
            lines.append(wrapped("  then", [tip]))
    return lines


def batches_text(batch: Batches) -> str:
    """Return how many batches a mix is blended in, `2 batches and a smaller one`."""
    text = f"{batch.full} batch" if batch.full <= 1 else f"{batch.full} batches"
    return text + " and a smaller one" if batch.units_last else text


def measure_text(batch: Batches, scoop_l: float, system: System) -> str:
    """Return what the parts of a batch are measured with: the scoop, or a smaller measure.

    The card halves a scoop that is too big for the vessel; pots are still filled by the scoop, so
    the other measure goes by its size.
    """
    size = show_volume(batch.scoop_l, system)
    if batch.scoop_l > scoop_l * 0.99:
        return f"scoops of {size}, level"
    return f"measures of {size}, level (not the {show_volume(scoop_l, system)} scoop)"


def tip_text(batch: Batches, work: Iterable[Line]) -> str:
    """Return that batches for a bed go into it one by one: no vessel holds them all."""
    beds = dict.fromkeys(
        clip(line.name, 30) for line in work if line.kind == "fill bed" and line.mix == batch.mix
    )
    if not beds or batch.batches <= 1:
        return ""
    return f"tip each batch into {' or '.join(beds)}, then blend the next"


def water_text(batch: Batches, system: System) -> str:
    """Return the water of a mix, all of which is poured when its parts are wetted beforehand."""
    ways = (("soak", batch.soak_l), ("moisten", batch.moisten_l))
    wetted = [f"{how} {', '.join(clip(part, 24) for part in of)}" for how, of in ways if of]
    total = water(batch.water_l, system)
    return f"{total} of water in all, poured the evening before to {' and '.join(wetted)}"


def addition_texts(
    batch: Batches, system: System, spoons: Spoons, above: Mapping[str, float] | None = None
) -> list[str]:
    """Return what each addition comes to a batch, the last smaller one, and in all.

    `above` has the published rate [kg/m3] of each that is given at a higher one.
    """
    texts = []
    amounts: tuple[tuple[Unit, Mapping[str, float]], ...]
    amounts = (("kg", batch.add_kg), ("l", batch.add_l))
    for unit, name, amount in ((u, *one) for u, some in amounts for one in some.items()):
        each = amount / batch.batches
        shown = [
            addition_text(name, x, unit, spoons, system)
            for x in (each, each * batch.last_share, amount)
        ]
        parts = [f"{shown[0]} {clip(name, 30)} to a batch"]
        if batch.units_last:
            parts.append(f"{shown[1]} to the last")
        if batch.batches > 1:
            parts.append(f"{shown[2]} in all")
        if above and name in above:
            parts.append(_above_text(above[name], system))
        texts.append("; ".join(parts) if name in spoons else ", ".join(parts))
    return texts


def _above_text(kg_per_m3: float, system: System) -> str:
    rate = show_rate(Rate(kg_per_m3 / 1000, None), system)
    return f"more than the {rate} that is published: see its label first"


def mixed_in_above(plan: Plan, line: Line) -> list[str]:
    """Return what is mixed into bags at more than its published rate, a text each."""
    mix = plan.mixes.get(line.name)
    above = above_published(plan, mix) if mix is not None and line.kind == "mix in" else {}
    return [f"{clip(of, 30)}: {_above_text(x, plan.garden.system)}" for of, x in above.items()]


def _bring(session: Session, system: System, spoons: Spoons) -> list[str]:
    bring = session.bring
    kinds = (("stock", bring.from_stock), ("washed", bring.from_freed), ("bought", bring.bought))
    pots = [f"{n} × {clip(name, 24)} ({kind})" for kind, part in kinds for name, n in part.items()]
    goods = _volumes(bring.ingredients_l, system) + _volumes(bring.ready_l, system)
    goods += [f"{text} (stored)" for text in _volumes(bring.stored_l, system)]
    adds = [
        f"{addition_text(name, kg, 'kg', spoons, system)} {clip(name, 30)}"
        for name, kg in bring.additions_kg.items()
    ]
    adds += [
        f"{addition_text(name, litres, 'l', spoons, system, up=True)} {clip(name, 30)}"
        for name, litres in bring.additions_l.items()
    ]
    brought = [parts for parts in (pots, goods, adds) if parts]
    rows = [("" if number else "Bring", parts) for number, parts in enumerate(brought)]
    return [wrapped(head, parts) for head, parts in rows if parts]


def _volumes(volumes: Mapping[str, float], system: System) -> list[str]:
    return [f"{show_volume(x, system, up=True)} {clip(name, 30)}" for name, x in volumes.items()]


def _after(session: Session, system: System) -> list[str]:
    lines = []
    if session.moved_kg:
        text = f"{show_mass(session.moved_kg, system)} moved in all"
        if session.heaviest_kg:
            text += f", the heaviest pot about {show_mass(session.heaviest_kg, system)}"
        if session.people_needed > 1:
            text += f", {session.people_needed} people needed"
        lines.append(wrapped("Weight", [text]))
    if session.cautions:
        lines.append(wrapped("Care", [care_word(one) for one in session.cautions]))
    if session.rain.can_wait or session.rain.cannot:
        lines += _rain(session)
    if session.afterwards:
        lines.append(wrapped("After", session.afterwards))
    if session.frees:
        lines.append(wrapped("Empty", [f"{n} × {clip(x, 24)}" for x, n in session.frees.items()]))
    left = {name: x for name, x in session.left_l.items() if x > UNTOLD}
    if left:
        lines.append(wrapped("Left", _volumes(left, system)))
    return lines


def _rain(session: Session) -> list[str]:
    groups: dict[str, list[Waiting]] = {}
    several = session.rain.several
    for one in session.rain.can_wait:
        assert one.until is not None
        groups.setdefault(day_short(one.until), []).append(one)
    lines = [
        wrapped("Rain" if n == 0 else "", [f"until {day} can wait: {_names(ones, several)}"])
        for n, (day, ones) in enumerate(groups.items())
    ]
    if session.rain.cannot:
        head = "" if groups else "Rain"
        lines.append(wrapped(head, [f"cannot wait: {_names(session.rain.cannot, several)}"]))
    return lines


def waiting_name(name: str, one: Waiting, several: Collection[str]) -> str:
    """Return a plant's name, with its move where the day has several; a bed's with its layer.

    `name` is that of the work, as it is shown, `several` are the plants with more than one move.
    """
    if one.of is not None:
        return f"{name}, {clip(one.of, 24)}"
    return f"{name}, move {one.move}" if one.name in several else name


def _names(ones: Iterable[Waiting], several: Collection[str]) -> str:
    names = dict.fromkeys(waiting_name(clip(one.name, 30), one, several) for one in ones)
    return some_of(names, 8, "; ")


def list_item(text: str) -> str:
    """Return one item of a list, wrapped under its dash."""
    return fill(tidy(text), indent="  - ", hanging="    ")
