"""The shopping list by supplier, as texts that can be laid out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from attrs import evolve

from rootroom.counts import some_of
from rootroom.sheets.answers.check import pressed_lines
from rootroom.sheets.layout import WIDTH
from rootroom.sheets.views.before_and_after import packs_text
from rootroom.sheets.views.model import (
    FeeRow,
    Good,
    LeftRow,
    MadeView,
    PackRow,
    ShoppingView,
    Short,
    Stock,
    SupplierView,
)
from rootroom.sheets.writing import LITRES_PER_CU_FT, share_text, signed
from rootroom.tolerances import UNTOLD
from rootroom.units import show_minutes

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rootroom.buying.shopping import Change, Fee, Left, Line, Made, Shopping, Unit
    from rootroom.buying.shopping import Short as ShortGood
    from rootroom.sheets.writing import Writer

# What is named with its load: a cubic foot, or what one feels in a car [L, kg].
BULKY_L, BULKY_KG = 28.0, 10.0
FEES = {"trip": "trip", "delivery": "delivery", "tax": "tax on the goods"}
NOBODY = "No supplier named"


def shopping_view(shopping: Shopping, writer: Writer) -> ShoppingView:
    """Return the list as a view."""
    return ShoppingView(
        total=writer.money(shopping.cost_cents),
        notes=cost_notes(shopping, writer),
        suppliers=[_supplier(shopping, source, writer) for source in shopping.by_source],
        stock=[
            Stock(
                what=writer.name(use.of),
                pack="own" if use.packs is None else writer.name(use.pack),
                amount=writer.amount(use.of, use.used, use.unit),
            )
            for use in shopping.stock
        ],
        unpriced=[
            Good(writer.name(one.of, 40), writer.amount(one.of, one.left, one.unit, up=True))
            for one in shopping.unpriced
        ],
        short=[_short(one, writer) for one in shopping.short],
        made=[_made(name, made, writer) for name, made in shopping.made.items()],
        left=[_left(one, writer) for one in shopping.left if worth_telling(one)],
    )


def cost_notes(shopping: Shopping, writer: Writer) -> list[str]:
    """Return in sentences how good the list is, and how often it is enough."""
    if shopping.status == "limit":
        return ["No shopping list was found in the time allowed."]
    if shopping.status == "infeasible":
        return ["Not everything can be had: see the shopping list."]
    if not shopping.lines:
        return ["Nothing to buy."]
    over = shopping.cost_cents - shopping.bound_cents
    if shopping.status == "optimal":
        proof = "No cheaper list exists (proved)."
    elif not over:
        proof = (
            "No cheaper list exists (proved); time ran out before it was settled "
            "which of the equally cheap ones leaves least over."
        )
    else:
        proof = f"At most {writer.money(over)} above the cheapest list."
    enough = (
        f"The shopping is enough in {seasons_text(shopping.sure)} of 100 "
        "seasons, measured to the recipe."
    )
    pressed = pressed_lines(shopping.assumed, shopping.system)
    return [
        proof,
        enough,
        *room_texts(shopping, writer),
        *(f"For {text}." for text in stage_texts(shopping, writer)),
        *least_texts(shopping, writer),
        *(line.replace("`", "") + "." for line in pressed),
    ]


def seasons_text(sure: float) -> str:
    """Return how many seasons of a hundred; a drawn hundred is no promise of every one."""
    return "more than 99" if sure > 0.99 else f"about {round(sure * 100)}"


def _supplier(shopping: Shopping, source: str | None, writer: Writer) -> SupplierView:
    lines, fees = shopping.by_source[source]
    days = [line.by for line in lines if line.by is not None]
    loads = load_text(shopping, source, writer)
    told = [f"first needed {writer.day_week(min(days))}"] if days else []
    return SupplierView(
        name=NOBODY if source is None else writer.name(source, WIDTH),
        total=writer.money(shopping.totals[source]),
        by="; ".join([*told, loads] if loads else told),
        load=load_text(shopping, source, writer, each_good=False),
        loads=loads,
        rows=[_row(line, writer) for line in lines],
        fees=[_fee(fee, lines, writer) for fee in fees],
    )


def _row(line: Line, writer: Writer) -> PackRow:
    return PackRow(
        packs=writer.number(line.packs),
        what=writer.name(line.of, 18),
        pack=writer.name(line.pack, 12),
        cost=writer.money_plain(line.cost_cents),
        needed=writer.amount(line.of, line.need, line.unit, up=True),
        by="" if line.by is None else writer.day_short(line.by),
        record={"supply": line.supply, "of": line.of, "planned": line.packs},
    )


def _fee(fee: Fee, lines: Sequence[Line], writer: Writer) -> FeeRow:
    """Return a fee; a single trip or delivery brings everything, so by the first of the days."""
    once = fee.kind != "tax" and fee.times == 1
    days = [line.by for line in lines if line.by is not None]
    return FeeRow(
        what=FEES[fee.kind] + (f", {fee.times} times" if fee.times > 1 else ""),
        cost=writer.money_plain(fee.cents),
        by=writer.day_short(min(days)) if once and days else "",
        all_in_one=once and len(lines) > 1,
    )


def _short(one: ShortGood, writer: Writer) -> Short:
    missing, need = (writer.amount(one.of, x, one.unit, up=True) for x in (one.missing, one.need))
    uses = dict.fromkeys(writer.name(use, WIDTH) for use in one.uses)
    told = [f"for {some_of(uses, between='; ')}"] if uses else []
    told += [] if one.by is None else [f"from {writer.day_long(one.by)}"]
    return Short(
        text=f"{writer.name(one.of)}: {missing} of {need} missing",
        uses=", ".join(told),
        change=f"Would do: {_change_text(one.change, one.unit, writer)}.",
    )


def _change_text(change: Change, unit: Unit, writer: Writer) -> str:
    """Return in words the smallest change that would do."""
    supply = f"supply {change.supply}"
    return {
        "at_most": f"`at_most = {change.then}` in place of {change.now} on {supply}",
        "have": f"{writer.amount('', change.amount, unit, up=True)} more of your own (`have` of "
        f"{supply}), or a supply that sells it",
        "price": f"a `price` on {supply}, which has a pack and none",
        "least": f"an order at {change.source} that reaches its `least` of "
        f"{writer.volume(change.amount, up=True)} ({supply})",
        "without": f"buying at {change.source} after all ({supply})",
    }[change.kind]


def _made(name: str, made: Made, writer: Writer) -> MadeView:
    ways = (("blended", made.blended_l), ("ready-made", made.ready_l))
    parts = [
        f"{writer.name(part.of)} {share_text(part.share)}"
        + (f" ({signed(part.difference_share)})" if made.bent else "")
        for part in made.parts
    ]
    head = "parts bent from the plan's" if made.bent else "parts as planned"
    blended = made.blended_l > 0
    return MadeView(
        mix=writer.name(name, WIDTH),
        ways=" and ".join(f"{writer.volume(x, up=True)} {how}" for how, x in ways if x > 0)
        or "none",
        parts=f"{head}: {', '.join(parts)}" if blended else "",
        bent=blended and made.bent,
    )


def worth_telling(left: Left) -> bool:
    """Return whether enough is left of a good for a line."""
    return max(left.left, left.likely or 0.0) >= UNTOLD


def _left(one: Left, writer: Writer) -> LeftRow:
    likely, left = ("" if x is None else _over(x, one, writer) for x in (one.likely, one.left))
    return LeftRow(what=writer.name(one.of), likely=likely, left=left)


def _over(amount: float, row: Left, writer: Writer) -> str:
    """Return one of a row's two amounts, both in the larger one's unit."""
    if amount < UNTOLD:
        return "none"
    if row.unit == "l" and writer.system == "us":
        quarter = float(LITRES_PER_CU_FT) / 4
        if amount < 4 * quarter <= max(row.left, row.likely or 0.0):
            # A quarter is the finest step of the larger unit; less than that is said to be less.
            return f"{('under ¼', '¼', '½', '¾', '1')[round(amount / quarter)]} cu ft"
    return writer.amount("", amount, row.unit)


def least_texts(shopping: Shopping, writer: Writer) -> list[str]:
    """Return in a sentence each least order that makes the list buy far more than is needed."""
    texts = []
    for one in shopping.least_orders:
        needed, bought, least = (
            writer.volume(x, up=True) for x in (one.needed_l, one.bought_l, one.least_l)
        )
        text = (
            f"The least order at {writer.name(one.source, WIDTH)} is {least}: {bought} are bought "
            f"where {needed} would do. "
        )
        if one.other_cents is None:
            texts.append(text + "No other way has it all.")
            continue
        names = [writer.name(name, WIDTH) for name in one.other_from]
        texts.append(
            f"{text}The next best way, from {' and '.join(names) or 'elsewhere'}, costs "
            f"{writer.money(one.other_cents)} in all, "
            f"{writer.money(one.other_cents - shopping.cost_cents)} more."
        )
    return texts


def stage_texts(shopping: Shopping, writer: Writer) -> list[str]:
    """Return a line for each day that goods are fetched for, none where it is one day alone."""
    lines = {line.supply: line for line in shopping.lines}
    days = sorted({stage.day for stage in shopping.stages})
    if len(days) < 2:
        return []
    found = []
    for day in days:
        parts = [stage for stage in shopping.stages if stage.day == day]
        packs = [packs_text(evolve(lines[one.supply], packs=one.packs)) for one in parts]
        found.append(f"{writer.day_short(day)}: {', '.join(packs)}")
    return found


def room_texts(shopping: Shopping, writer: Writer) -> list[str]:
    """Return what the room for goods leads to: further trips, or too much all the same."""
    if shopping.room_l is None:
        return []
    room, texts = writer.volume(shopping.room_l), []
    if shopping.further_cents:
        cents = writer.money(shopping.further_cents)
        texts.append(f"{cents} of it is for further trips, since there is room for {room}.")
    if shopping.over_room_l > 1:
        over = writer.volume(shopping.over_room_l)
        texts.append(f"At most {over} more than {room} lie there on one day.")
    return texts


def load_text(
    shopping: Shopping, source: str | None, writer: Writer, *, each_good: bool = True
) -> str:
    """Return what a trip to a supplier brings home: the bulky goods, volume as packed and weight.

    And how long all trips take, where the plan says it. Empty for what is delivered or light;
    without `each_good` for all goods together.
    """
    lines, charged = shopping.by_source[source]
    fees = {fee.kind: fee.times for fee in charged}
    if "delivery" in fees:
        return ""
    trips = fees.get("trip", 1)
    bulky = [one for one in lines if one.room_l >= BULKY_L or one.mass_kg >= BULKY_KG]
    texts = []
    if bulky:
        room, mass = sum(one.room_l for one in lines), sum(one.mass_kg for one in lines)
        head = _load(room / trips, mass / trips, writer)
        each = [
            f"{writer.name(one.of, 24)} {_load(one.labelled or 0.0, one.mass_kg, writer)}"
            for one in bulky
        ]
        if len(bulky) == 1 and trips == 1:
            each = [writer.name(bulky[0].of, 24)]
        head += f" a trip of {trips}" if trips > 1 else ""
        texts.append(f"load {head}" + (f" ({'; '.join(each)})" if each_good else ""))
    minutes = shopping.trip_min.get(source or "")
    if minutes:
        texts.append(f"{show_minutes(minutes)} to fetch it")
    return ", ".join(texts)


def _load(litres: float, kilograms: float, writer: Writer) -> str:
    parts = [writer.volume(litres, up=True)] if litres else []
    parts += [f"about {writer.mass(kilograms)}"] if kilograms else []
    return ", ".join(parts)
