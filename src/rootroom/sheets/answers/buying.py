"""The shopping list as plain text within 80 columns, and as CSV."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

from rootroom.counts import some_of
from rootroom.sheets.answers.check import pressed_lines
from rootroom.sheets.layout import clip, csv_text, fill, fitted_table, item, listed, table, tidy
from rootroom.sheets.views.shopping import (
    FEES,
    NOBODY,
    least_texts,
    room_texts,
    seasons_text,
    shopping_view,
    stage_texts,
)
from rootroom.sheets.writing import (
    LITRES_PER_CU_FT,
    ScreenWriter,
    amount_text,
    money,
    per_volume,
    share_text,
    signed,
    volume_name,
)
from rootroom.tolerances import UNTOLD
from rootroom.units import show_volume
from rootroom.units.showing import BESIDE

if TYPE_CHECKING:
    from rootroom.buying.shopping import Comparison, Line, Shopping, Turn, Unit
    from rootroom.sheets.views.model import MadeView, ShoppingView, SupplierView
    from rootroom.units import System

BLANK = "______"


def buying_text(shopping: Shopping, *, why: bool = False) -> str:
    """Return the list; with `why` what each package is for, what else would cost, and the proof."""
    writer = screen_writer(shopping)
    view = shopping_view(shopping, writer)
    notes = [*least_texts(shopping, writer), *pressed_lines(shopping.assumed, shopping.system)]
    parts = [
        headline_text(shopping),
        listed(
            "Cannot be had:", [item(f"{one.text}, {one.uses}. {one.change}") for one in view.short]
        ),
        *map(_supplier, view.suppliers),
        listed(
            "In stages, each for the session of the day", map(item, stage_texts(shopping, writer))
        ),
        *_there(view),
        "\n".join(map(fill, notes)),
        _made(shopping, view.made),
    ]
    if why:
        parts += [
            _counted(shopping), compare_text(shopping), turns_text(shopping),
            _left(shopping, view), _why(shopping, writer), _proof(shopping),
        ]  # fmt: skip
    return "\n\n".join(part for part in parts if part)


def screen_writer(shopping: Shopping) -> ScreenWriter:
    """Return how a list is written on a screen."""
    return ScreenWriter(shopping.system, "", shopping.currency, shopping.spoons)


def totals_text(shopping: Shopping) -> str:
    """Return what is paid to each supplier, fees with it; nothing where it is one alone."""
    named = [
        f"{NOBODY.lower() if source is None else clip(source, 24)} "
        f"{money(cents, shopping.currency)}"
        for source, cents in shopping.totals.items()
    ]
    return fill(", ".join(named), indent="  ", hanging="  ") if len(named) > 1 else ""


def saved_text(shopping: Shopping) -> list[str]:
    """Return for each mix with a price beside it what blending saves, a line each."""
    lines = []
    for one in shopping.compare:
        shares = [ready.saved_share for ready in one.ready if ready.saved_share is not None]
        if shares:
            least = min(shares)
            kind = "saves" if least >= 0 else "costs more by"
            lines.append(
                fill(
                    f"Blending {tidy(one.mix)} {kind} {share_text(abs(least))} beside the cheapest "
                    "ready-made.",
                    indent="  ",
                    hanging="  ",
                )
            )
    return lines


def buying_csv(shopping: Shopping) -> str:
    """Return the lines of the list and the fees as CSV, with an empty column for the price paid."""
    header = (
        "supplier", "supply", "good", "pack", "packs", "each", "cost", "currency",
        "needed", "unit", "US needed", "US unit", "by", "paid",
    )  # fmt: skip
    rows: list[Sequence[str | int | None]] = [
        (
            line.source, line.supply, line.of, line.pack, line.packs,
            money(line.each_cents, shopping.currency), money(line.cost_cents, shopping.currency),
            shopping.currency, f"{line.need:.3f}", line.unit, *_us(line.need, line.unit),
            None if line.by is None else line.by.isoformat(), None,
        )
        for line in shopping.lines
    ]  # fmt: skip
    rows += [
        (
            fee.source, None, FEES[fee.kind], None, fee.times if fee.kind == "trip" else None,
            None, money(fee.cents, shopping.currency), shopping.currency, *(None,) * 6,
        )
        for fee in shopping.fees
    ]  # fmt: skip
    return csv_text(header, rows)


def _us(need: float, unit: Unit) -> tuple[str, str]:
    us = BESIDE.get(unit)
    return (f"{need:.3f}", unit) if us is None else (f"{us.of(need):.3f}", us.name)


def _counted(shopping: Shopping) -> str:
    """Return what one pack is counted as, wherever that is not what its label says."""
    system = shopping.system
    counted: dict[str, None] = {}
    for line in shopping.lines:
        each = _each(line, system) if line.unit == "l" else ""
        label = None if line.labelled is None else show_volume(line.labelled / line.packs, system)
        if each and each != label:
            counted[f"{tidy(line.of)} {tidy(line.pack)} as {each}"] = None
    wholes = "Needed is in all, loose, from whomever it comes."
    if not counted:
        return fill(wholes) if shopping.lines else ""
    return fill(
        f"{wholes} A pack is counted loose, as what it comes to at least in most cases (bags may "
        f"hold less than their label): {', '.join(counted)}."
    )


def _each(line: Line, system: System) -> str:
    """Return what one pack comes to, in cubic feet to the hundredth if its label is in them."""
    litres, foot = line.contents / line.packs, float(LITRES_PER_CU_FT)
    if system == "us" and litres < foot <= (line.labelled or 0.0) / line.packs:
        return f"{litres / foot:.2f} cu ft"
    return show_volume(litres, system)


def headline_text(shopping: Shopping) -> str:
    """Return what the list costs, how far that is proved, and how often it is enough."""
    total = f"{money(shopping.cost_cents, shopping.currency)} {tidy(shopping.currency)}"
    if shopping.status == "limit":
        return "No list was found in the time allowed; a longer --seconds may find one."
    if not shopping.lines and not shopping.short:
        text = "Nothing to buy."
    elif shopping.status == "infeasible":
        text = f"Not everything can be had. Shopping for the rest: {total}."
    elif shopping.status == "optimal":
        text = f"Shopping: {total}, the cheapest, proved."
    elif shopping.cost_cents == shopping.bound_cents:
        text = (
            f"Shopping: {total}, the cheapest, proved; time ran out before it was settled "
            "which of the equally cheap lists leaves least over."
        )
    else:
        over = money(shopping.cost_cents - shopping.bound_cents, shopping.currency)
        text = f"Shopping: {total}, at most {over} above the cheapest; the time limit ended it."
    if shopping.unpriced:
        text += f" Not in it, as no supplier sells {_unpriced_names(shopping)}."
    raised = f" Prices raised by {share_text(shopping.prices_up)}." if shopping.prices_up else ""
    text = " ".join([text, *room_texts(shopping, screen_writer(shopping))]) + raised
    if shopping.without:
        text += f" Without {', '.join(sorted(map(tidy, shopping.without)))}."
    if shopping.lines and not shopping.short:
        text += f" Enough in {seasons_text(shopping.sure)} of 100 seasons, measured to the recipe."
    return fill(text)


def _unpriced_names(shopping: Shopping) -> str:
    names = [clip(one.of, 24) for one in shopping.unpriced]
    if len(names) == 1:
        return f"it: {names[0]}"
    return f"them: {some_of(names, 3)}"


def _supplier(one: SupplierView) -> str:
    """Return the table of a supplier."""
    rows = [
        [row.packs, row.what, row.pack, row.cost, row.needed, row.by, BLANK] for row in one.rows
    ]
    rows += [
        ["", fee.what + ", all in one" * fee.all_in_one, "", fee.cost, "", fee.by, ""]
        for fee in one.fees
    ]
    rows.append(["", "together", "", one.total, "", "", BLANK])
    heads = ("packs", "what", "pack", "cost", "needed", "by", "paid")
    shown = fitted_table(heads, rows, "rllrrrr")
    shown += "\n" + fill(one.loads, indent="    ", hanging="    ") if one.loads else ""
    return f"{one.name}\n{shown}"


def _there(view: ShoppingView) -> Iterable[str]:
    """Yield what is there already, and what has no price."""
    if view.stock:
        rows = [[one.what, one.pack, one.amount] for one in view.stock]
        yield "Use first, from what is there\n" + table(("what", "pack", "used"), rows, "llr")
    if view.unpriced:
        head = "Warning: no supply names these, so they have no price and are not in the cost"
        goods = [[one.what, one.amount] for one in view.unpriced]
        yield f"{head}\n" + table(("what", "needed"), goods, "lr")


def _made(shopping: Shopping, made: Sequence[MadeView]) -> str:
    texts = [f"{one.mix}: {one.ways}" + (f"; {one.parts}" if one.parts else "") for one in made]
    shown = listed("Blended or bought", map(item, texts))
    return "\n".join([shown, *saved_text(shopping)]) if shown else ""


def _left(shopping: Shopping, view: ShoppingView) -> str:
    if not view.left:
        return ""
    rows = [[one.what, one.likely, one.left] for one in view.left]
    shown = "Left over\n" + table(("what", "most likely", "if much is needed"), rows, "lrr")
    if any(one.likely is not None and one.likely < one.left - UNTOLD for one in shopping.left):
        shown += "\n" + fill(
            "Bags of ready-made mix are used up before any is blended, so when less is needed "
            "fewer of them and more of the parts are left.",
            indent="  ",
            hanging="  ",
        )
    return shown


def _why(shopping: Shopping, writer: ScreenWriter) -> str:
    rows = [
        [clip(why.of, 20), writer.amount(why.of, why.amount, why.unit), clip(why.use, 42)]
        for why in shopping.why
    ]
    return "What it is for\n" + table(("what", "amount", "for"), rows, "lrl") if rows else ""


def _proof(shopping: Shopping) -> str:
    level = round(shopping.level * 100)
    return fill(
        f"Amounts are read at percentile {level} of each mix and ingredient, packs that swell at "
        f"percentile {100 - level}. No list costs less than "
        f"{money(shopping.bound_cents, shopping.currency)}. "
        "Of equally cheap lists the one that leaves least "
        "over was taken, then the one of fewest packs, then the one nearest the plan's recipes, "
        "then packs from early in the file. Tax is on goods, not on trips or deliveries, rounded "
        "to the nearest cent for each supplier, half up."
    )


def compare_text(shopping: Shopping) -> str:
    """Return own mix beside ready-made, per volume; empty where neither has a price."""
    rows = [row for one in shopping.compare for row in _compare_rows(one, shopping)]
    notes = [
        fill(f"{tidy(one.mix)} is not compared: no price for {', '.join(map(tidy, one.unpriced))}.")
        for one in shopping.compare
        if one.unpriced and one.ready
    ]
    if not rows and not notes:
        return ""
    header = ("saved", "mix", "own used", "own loose", "ready", "pack")
    title = (
        f"Own mix beside ready-made, per {volume_name(shopping.system)}, tax with it, trips without"
    )
    shown = [table(header, rows, "rlrrrl")] if rows else []
    return "\n".join([title, *shown, *notes])


def _compare_rows(one: Comparison, shopping: Shopping) -> Iterable[list[str]]:
    if one.own_cents_per_l is None or one.own_loose_cents_per_l is None:
        return
    own, loose = (
        per_volume(x, shopping.system, shopping.currency)
        for x in (one.own_cents_per_l, one.own_loose_cents_per_l)
    )
    if not one.ready:
        yield ["", clip(one.mix, 16), own, loose, "", ""]
    for ready in one.ready:
        saved = "" if ready.saved_share is None else signed(ready.saved_share).removeprefix("+")
        pack = clip(ready.pack + (f", {ready.source}" if ready.source else ""), 22)
        price = per_volume(ready.cents_per_l, shopping.system, shopping.currency)
        yield [saved, clip(one.mix, 16), own, loose, price, pack]


def turns_text(shopping: Shopping) -> str:
    """Return at which prices another list would be cheaper, and from where on bulk is."""
    lines = [
        _turn_text(turn, shopping.currency) for turn in shopping.turns if turn.at_cents is not None
    ]
    for bulk in shopping.bulk:
        if bulk.from_l is not None:
            volume = amount_text(bulk.from_l, "l", shopping.system, up=True)
            lines.append(
                f"{tidy(bulk.of)}: in bulk from {tidy(bulk.source)}, fees with it, no dearer than "
                f"packs from about {volume} on"
            )
    return listed("Where the choice turns, all else the same", map(item, lines))


def _turn_text(turn: Turn, currency: str) -> str:
    assert turn.at_cents is not None
    where = f", {tidy(turn.source)}" if turn.source else ""
    head = f"{tidy(turn.of)} {tidy(turn.pack)}{where}, now {money(turn.price_cents, currency)}"
    at = money(turn.at_cents, currency)
    change = Fraction(turn.at_cents - turn.price_cents, turn.price_cents)
    if turn.direction == "up":
        return f"{head}: another list is cheaper from {at} ({signed(change)})"
    return f"{head}: worth buying at {at} ({signed(change)}) or less"
