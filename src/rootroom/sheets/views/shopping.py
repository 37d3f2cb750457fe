"""The shopping list by supplier, as texts that can be laid out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rootroom.counts import some_of
from rootroom.sheets.buying import change_text, seasons_text, worth_telling
from rootroom.sheets.buying_choices import least_texts, load_text, room_text, stage_texts
from rootroom.sheets.check import pressed_lines
from rootroom.sheets.views.model import (
    Cost,
    Good,
    LeftRow,
    MadeView,
    PackRow,
    ShoppingView,
    Short,
    Stock,
    SupplierView,
)

if TYPE_CHECKING:
    from rootroom.buying.shopping import Fee, Left, Line, Made, Shopping
    from rootroom.sheets.writing import Writer


def shopping_view(shopping: Shopping, writer: Writer) -> ShoppingView:
    """Return the list as a view."""
    return ShoppingView(
        total=writer.money(shopping.cost_cents),
        notes=cost_notes(shopping, writer),
        suppliers=_suppliers(shopping, writer),
        stock=[
            Stock(
                what=writer.name(use.of),
                pack="own" if use.packs is None else writer.name(use.pack),
                amount=writer.amount(use.of, use.used, use.unit),
            )
            for use in shopping.stock
        ],
        unpriced=[
            Good(
                what=writer.name(one.of),
                amount=writer.amount(one.of, one.left, one.unit, up=True),
            )
            for one in shopping.unpriced
        ],
        short=_short(shopping, writer),
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
    stages = [f"For {text}." for text in stage_texts(shopping)]
    room = [text] if (text := room_text(shopping).strip()) else []
    told = [
        *room,
        *stages,
        *least_texts(shopping),
        *(line.replace("`", "") + "." for line in pressed),
    ]
    return [proof, enough, *told]


def _suppliers(shopping: Shopping, writer: Writer) -> list[SupplierView]:
    found = []
    for source, (lines, fees) in shopping.by_source.items():
        total = sum(line.cost_cents for line in lines) + sum(fee.cents for fee in fees)
        days = [line.by for line in lines if line.by is not None]
        told = [f"first needed {writer.day_week(min(days))}"] if days else []
        told += [load] if (load := load_text(shopping, source)) else []
        found.append(
            SupplierView(
                name="No supplier named" if source is None else writer.name(source),
                total=writer.money(total),
                by="; ".join(told),
                load=load_text(shopping, source, each_good=False),
                rows=[_row(line, writer) for line in lines],
                fees=[Cost(what=_fee(fee), cost=writer.money_plain(fee.cents)) for fee in fees],
            )
        )
    return found


def _row(line: Line, writer: Writer) -> PackRow:
    return PackRow(
        packs=writer.number(line.packs),
        what=writer.name(line.of),
        pack=writer.name(line.pack),
        cost=writer.money_plain(line.cost_cents),
        needed=writer.amount(line.of, line.need, line.unit, up=True),
        by="" if line.by is None else writer.day_short(line.by),
        record={"supply": line.supply, "of": line.of, "planned": line.packs},
    )


def _fee(fee: Fee) -> str:
    if fee.kind == "trip" and fee.times > 1:
        return f"trip, {fee.times} times"
    return "tax on the goods" if fee.kind == "tax" else fee.kind


def _short(shopping: Shopping, writer: Writer) -> list[Short]:
    return [
        Short(
            text=(
                f"{writer.name(one.of)}: "
                f"{writer.amount(one.of, one.missing, one.unit, up=True)} of "
                f"{writer.amount(one.of, one.need, one.unit, up=True)} missing"
            ),
            uses=f"for {some_of(dict.fromkeys(map(writer.name, one.uses)), between='; ')}"
            if one.uses
            else "",
            change=f"Would do: {change_text(one.change, shopping.system, one.unit)}.",
        )
        for one in shopping.short
    ]


def _made(name: str, made: Made, writer: Writer) -> MadeView:
    ways = []
    if made.blended_l > 0:
        ways.append(f"{writer.volume(made.blended_l, up=True)} blended")
    if made.ready_l > 0:
        ways.append(f"{writer.volume(made.ready_l, up=True)} ready-made")
    parts = [f"{writer.name(part.of)} {writer.share(float(part.share))}" for part in made.parts]
    bent = made.blended_l > 0 and made.bent
    return MadeView(
        mix=writer.name(name),
        ways=", ".join(ways) or "—",
        bent=f"parts bent from the plan's: {', '.join(parts)}" if bent else "",
    )


def _left(one: Left, writer: Writer) -> LeftRow:
    both = [
        "" if x is None else writer.amount(one.of, x, one.unit, like=max(one.left, one.likely or 0))
        for x in (one.likely, one.left)
    ]
    return LeftRow(what=writer.name(one.of), likely=both[0], left=both[1])
