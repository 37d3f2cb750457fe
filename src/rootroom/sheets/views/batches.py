"""The batches of a session as a view: the recipe in scoops, what goes in besides, the steps."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from rootroom.mixing.blend import sized
from rootroom.pot.lime_and_compost import above_published
from rootroom.sheets.layout import halves, water
from rootroom.sheets.views.model import BatchView, RecipeRow
from rootroom.sheets.views.work_rows import MOST_BOXES, above_text
from rootroom.units import show_volume

if TYPE_CHECKING:
    from rootroom.buying.shopping import Unit
    from rootroom.mixing.card import Card
    from rootroom.plan.model import Plan
    from rootroom.sessions.session import Batches, Line
    from rootroom.sheets.writing import Writer
    from rootroom.units import System


def batch_view(
    plan: Plan,
    cards: Mapping[str, Card] | None,
    batch: Batches,
    work: Sequence[Line],
    writer: Writer,
) -> BatchView:
    """Return the batches of one mix; `cards` are those of the season by mix, `work` is the day's.

    Parts stand as they are laid; of a mix without a card in the order of the plan.
    """
    unit = None if cards is None else cards.get(batch.mix)
    card = None if unit is None else sized(unit, batch.units_each)
    mix, last = writer.name(batch.mix), batch.units_last > 0
    tip = tip_text(batch, work, writer)
    return BatchView(
        mix=mix,
        title=f"Blend {mix}",
        many=batches_text(batch),
        batches=f"{batch.batches:.4g}",
        record={
            "kind": "blended",
            "mix": batch.mix,
            "batch_l": round(batch.batch_l, 6),
            "planned": f"{batch.batches:.4g}",
        },
        boxes=min(batch.full + last, MOST_BOXES),
        last=last,
        makes=f"makes {writer.volume(batch.litres)}",
        scoop=measure_text(batch, plan.work.scoop_l, writer.system),
        rows=_recipe(batch, card, writer),
        adds=addition_texts(batch, writer, above_published(plan, plan.mixes[batch.mix])),
        order="" if card is None else _order(card, tip, writer),
        tip=tip,
        water=water_text(batch, writer) if batch.water_l else "",
    )


def _recipe(batch: Batches, card: Card | None, writer: Writer) -> list[RecipeRow]:
    laid = list(batch.card.items())
    if card is not None:
        laid = [(step.of, step.scoops) for step in card.steps if step.kind == "layer"]
    return [
        RecipeRow(
            part=writer.name(part),
            batch=halves(scoops, 4),
            last=halves(scoops * batch.last_share, 4) if batch.units_last else "",
            all=halves(scoops * batch.batches, 4),
        )
        for part, scoops in laid
    ]


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


def tip_text(batch: Batches, work: Iterable[Line], writer: Writer) -> str:
    """Return that batches for a bed go into it one by one: no vessel holds them all."""
    beds = dict.fromkeys(
        writer.name(line.name) for line in work if line.kind == "fill bed" and line.mix == batch.mix
    )
    if not beds or batch.batches <= 1:
        return ""
    return f"tip each batch into {' or '.join(beds)}, then blend the next"


def water_text(batch: Batches, writer: Writer) -> str:
    """Return the water of a mix, all of which is poured when its parts are wetted beforehand."""
    ways = (("soak", batch.soak_l), ("moisten", batch.moisten_l))
    wetted = [f"{how} {', '.join(map(writer.name, of))}" for how, of in ways if of]
    total = water(batch.water_l, writer.system)
    return f"{total} of water in all, poured the evening before to {' and '.join(wetted)}"


def addition_texts(
    batch: Batches, writer: Writer, above: Mapping[str, float] | None = None
) -> list[str]:
    """Return what each addition comes to a batch, the last smaller one, and in all.

    `above` has the published rate [kg/m3] of each that is given at a higher one.
    """
    texts = []
    amounts: tuple[tuple[Unit, Mapping[str, float]], ...]
    amounts = (("kg", batch.add_kg), ("l", batch.add_l))
    for unit, name, amount in ((u, *one) for u, some in amounts for one in some.items()):
        each = amount / batch.batches
        shown = [writer.amount(name, x, unit) for x in (each, each * batch.last_share, amount)]
        parts = [f"{shown[0]} {writer.name(name)} to a batch"]
        if batch.units_last:
            parts.append(f"{shown[1]} to the last")
        if batch.batches > 1:
            parts.append(f"{shown[2]} in all")
        if above and name in above:
            parts.append(above_text(above[name], writer.system))
        texts.append("; ".join(parts) if name in writer.spoons else ", ".join(parts))
    return texts


def _order(card: Card, tip: str, writer: Writer) -> str:
    """Return in a sentence what is done beside laying the parts in the order of their rows."""
    laid = sum(step.kind == "layer" for step in card.steps)
    where = "between the layers" if laid > 1 else "on top"
    told = ["the first part at the bottom"] if laid > 1 else []
    for step in dict.fromkeys(card.steps):
        of = writer.name(step.of)
        if step.kind == "sprinkle" and step.share < 1:
            told.append(f"{where} {_fraction(step.share)} of the {of} each time")
        elif step.kind == "sprinkle":
            told.append(f"{where} all of the {of}")
        elif step.kind == "strew":
            told.append(f"turn, strew the {of} on top")
        elif step.kind == "turn again":
            strewn = any(other.kind == "strew" for other in card.steps)
            told.append(f"turn {step.times + 1 - strewn} times{' more' * strewn}")
    text = "; ".join([*told, tip] if tip else told)
    return f"{text[:1].upper()}{text[1:]}."


def _fraction(share: float) -> str:
    signs = {0.5: "½", 0.333: "⅓", 0.25: "¼", 0.2: "⅕"}
    return signs.get(round(share, 3), f"{share:.0%}")
