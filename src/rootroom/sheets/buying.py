"""The shopping list as plain text within 80 columns, and as CSV."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rootroom.counts import some_of
from rootroom.sheets.buying_choices import (
    compare_text,
    least_texts,
    load_text,
    room_text,
    staged,
    turns_text,
)
from rootroom.sheets.check import pressed_lines
from rootroom.sheets.layout import (
    clip,
    csv_text,
    day_long,
    day_short,
    fill,
    fitted_table,
    table,
    tidy,
)
from rootroom.sheets.money import (
    LITRES_PER_CU_FT,
    addition_text,
    amount_text,
    money,
    share_text,
    signed,
)  # fmt: skip
from rootroom.tolerances import UNTOLD
from rootroom.units import show_volume
from rootroom.units.showing import BESIDE

if TYPE_CHECKING:
    from rootroom.buying.shopping import (
        Change,
        Fee,
        Left,
        Line,
        Made,
        Shopping,
        Short,
        Unit,
    )
    from rootroom.units import System

BLANK = "______"
FEES = {"trip": "trip", "delivery": "delivery", "tax": "tax on the goods"}


def buying_text(shopping: Shopping, *, why: bool = False) -> str:
    """Return the list; with `why` what each package is for, what else would cost, and the proof."""
    parts = [headline_text(shopping)]
    if shopping.short:
        parts.append(_short(shopping))
    parts += _suppliers(shopping)
    notes = [*least_texts(shopping), *pressed_lines(shopping.assumed, shopping.system)]
    parts += [staged(shopping), _stock(shopping), _unpriced(shopping)]
    parts += ["\n".join(map(fill, notes)), _made(shopping)]
    if why:
        parts += [
            _counted(shopping), compare_text(shopping), turns_text(shopping), _left(shopping),
            _why(shopping), _proof(shopping),
        ]  # fmt: skip
    return "\n\n".join(part for part in parts if part)


def supplier_totals(shopping: Shopping) -> dict[str, int]:
    """Return what is paid to each supplier, fees with it [cents]."""
    totals: dict[str, int] = {}
    for source, cents in (
        *((line.source, line.cost_cents) for line in shopping.lines),
        *((fee.source, fee.cents) for fee in shopping.fees),
    ):
        name = "no supplier named" if source is None else source
        totals[name] = totals.get(name, 0) + cents
    return totals


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


def change_text(change: Change, system: System, unit: Unit) -> str:
    """Return in words the smallest change that would do."""
    supply = f"supply {change.supply}"
    amount = amount_text(change.amount, unit, system, up=True)
    return {
        "at_most": f"`at_most = {change.then}` in place of {change.now} on {supply}",
        "have": f"{amount} more of your own (`have` of {supply}), or a supply that sells it",
        "price": f"a `price` on {supply}, which has a pack and none",
        "least": f"an order at {change.source} that reaches its `least` of "
        f"{amount_text(change.amount, 'l', system, up=True)} ({supply})",
        "without": f"buying at {change.source} after all ({supply})",
    }[change.kind]


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
    text += room_text(shopping) + raised
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


def seasons_text(sure: float) -> str:
    """Return how many seasons of a hundred; a drawn hundred is no promise of every one."""
    return "more than 99" if sure > 0.99 else f"about {round(sure * 100)}"


def _short(shopping: Shopping) -> str:
    lines = ["Cannot be had:"]
    for short in shopping.short:
        lines.append(fill(_short_text(short, shopping.system), indent="  ", hanging="    "))
    return "\n".join(lines)


def _short_text(short: Short, system: System) -> str:
    missing = amount_text(short.missing, short.unit, system, up=True)
    need = amount_text(short.need, short.unit, system, up=True)
    text = f"{tidy(short.of)}: {missing} of {need} missing"
    if short.uses:
        text += f", for {'; '.join(map(tidy, short.uses))}"
    if short.by is not None:
        text += f", from {day_long(short.by)}"
    return f"{text}. Would do: {change_text(short.change, system, short.unit)}."


def _suppliers(shopping: Shopping) -> list[str]:
    """Return a table for each supplier, in the order of the lines."""
    blocks = []
    for source, (lines, fees) in shopping.by_source.items():
        rows = [_line_row(line, shopping) for line in lines]
        rows += [_fee_row(fee, lines, shopping.currency) for fee in fees]
        total = sum(line.cost_cents for line in lines) + sum(fee.cents for fee in fees)
        rows.append(["", "together", "", money(total, shopping.currency), "", "", BLANK])
        heads = ("packs", "what", "pack", "cost", "needed", "by", "paid")
        shown = fitted_table(heads, rows, "rllrrrr")
        load = load_text(shopping, source)
        shown += "\n" + fill(load, indent="    ", hanging="    ") if load else ""
        blocks.append(f"{'No supplier named' if source is None else tidy(source)}\n{shown}")
    return blocks


def _line_row(line: Line, shopping: Shopping) -> list[str]:
    return [
        str(line.packs),
        clip(line.of, 18),
        clip(line.pack, 12),
        money(line.cost_cents, shopping.currency),
        _good(line.of, line.need, line.unit, shopping, up=True),
        "" if line.by is None else day_short(line.by),
        BLANK,
    ]


def _good(of: str, amount: float, unit: Unit, shopping: Shopping, *, up: bool = False) -> str:
    return addition_text(of, amount, unit, shopping.spoons, shopping.system, up=up)


def _fee_row(fee: Fee, lines: Sequence[Line], currency: str) -> list[str]:
    """Return a fee; a single trip or delivery brings everything, so by the first of the days."""
    what, day = FEES[fee.kind], ""
    days = [line.by for line in lines if line.by is not None]
    if fee.times > 1:
        what += f", {fee.times} times"
    elif fee.kind != "tax":
        what += ", all in one" if len(lines) > 1 else ""
        day = day_short(min(days)) if days else ""
    return ["", what, "", money(fee.cents, currency), "", day, ""]


def _stock(shopping: Shopping) -> str:
    if not shopping.stock:
        return ""
    rows = [
        [clip(use.of, 24), clip(use.pack, 16), _good(use.of, use.used, use.unit, shopping)]
        for use in shopping.stock
    ]
    return "Use first, from what is there\n" + table(("what", "pack", "used"), rows, "llr")


def _unpriced(shopping: Shopping) -> str:
    if not shopping.unpriced:
        return ""
    rows = [
        [clip(left.of, 40), _good(left.of, left.left, left.unit, shopping, up=True)]
        for left in shopping.unpriced
    ]
    head = "Warning: no supply names these, so they have no price and are not in the cost"
    return f"{head}\n" + table(("what", "needed"), rows, "lr")


def _made(shopping: Shopping) -> str:
    if not shopping.made:
        return ""
    lines = ["Blended or bought"]
    for name, made in shopping.made.items():
        lines.append(fill(_made_text(name, made, shopping.system), indent="  ", hanging="    "))
    lines += saved_text(shopping)
    return "\n".join(lines)


def _made_text(name: str, made: Made, system: System) -> str:
    ways = []
    if made.blended_l > 0:
        ways.append(f"{amount_text(made.blended_l, 'l', system, up=True)} blended")
    if made.ready_l > 0:
        ways.append(f"{amount_text(made.ready_l, 'l', system, up=True)} ready-made")
    text = f"{tidy(name)}: {' and '.join(ways) or 'none'}"
    if made.blended_l <= 0:
        return text
    parts = [
        f"{tidy(part.of)} {share_text(part.share)}"
        + (f" ({signed(part.difference_share)})" if made.bent else "")
        for part in made.parts
    ]
    head = "parts bent from the plan's" if made.bent else "parts as planned"
    return f"{text}; {head}: {', '.join(parts)}"


def _left(shopping: Shopping) -> str:
    left = [one for one in shopping.left if worth_telling(one)]
    if not left:
        return ""
    system = shopping.system
    rows = [
        [
            clip(one.of, 30),
            "" if one.likely is None else _over(one.likely, one, system),
            _over(one.left, one, system),
        ]
        for one in left
    ]
    shown = "Left over\n" + table(("what", "most likely", "if much is needed"), rows, "lrr")
    if any(one.likely is not None and one.likely < one.left - UNTOLD for one in left):
        shown += "\n" + fill(
            "Bags of ready-made mix are used up before any is blended, so when less is needed "
            "fewer of them and more of the parts are left.",
            indent="  ",
            hanging="  ",
        )
    return shown


def worth_telling(left: Left) -> bool:
    """Return whether enough is left of a good for a line."""
    return max(left.left, left.likely or 0.0) >= UNTOLD


def _over(amount: float, row: Left, system: System) -> str:
    """Return one of a row's two amounts, both in the larger one's unit."""
    if amount < UNTOLD:
        return "none"
    if row.unit == "l" and system == "us":
        quarter = float(LITRES_PER_CU_FT) / 4
        if amount < 4 * quarter <= max(row.left, row.likely or 0.0):
            # A quarter is the finest step of the larger unit; less than that is said to be less.
            steps = round(amount / quarter)
            return f"{('under ¼', '¼', '½', '¾', '1')[steps]} cu ft"
    return amount_text(amount, row.unit, system)


def _why(shopping: Shopping) -> str:
    rows = [
        [clip(why.of, 20), _good(why.of, why.amount, why.unit, shopping), clip(why.use, 42)]
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
