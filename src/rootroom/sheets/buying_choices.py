"""What other choices would cost, and what a trip brings home."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import TYPE_CHECKING

from attrs import evolve

from rootroom.sheets.fetching import packs_text
from rootroom.sheets.layout import clip, day_short, fill, table, tidy
from rootroom.sheets.money import amount_text, money, per_volume, signed, volume_name
from rootroom.units import show_mass, show_minutes, show_volume

if TYPE_CHECKING:
    from rootroom.buying.shopping import Comparison, Shopping, Turn
    from rootroom.units import System


# What is named with its load: a cubic foot, or what one feels in a car [L, kg].
BULKY_L, BULKY_KG = 28.0, 10.0


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
    if not lines:
        return ""
    body = [fill(line, indent="  ", hanging="    ") for line in lines]
    return "\n".join(["Where the choice turns, all else the same", *body])


def least_texts(shopping: Shopping) -> list[str]:
    """Return in a sentence each least order that makes the list buy far more than is needed."""
    texts = []
    for one in shopping.least_orders:
        needed, bought = (
            amount_text(x, "l", shopping.system, up=True) for x in (one.needed_l, one.bought_l)
        )
        text = (
            f"The least order at {tidy(one.source)} is "
            f"{amount_text(one.least_l, 'l', shopping.system, up=True)}: {bought} are bought "
            f"where {needed} would do. "
        )
        if one.other_cents is None:
            texts.append(text + "No other way has it all.")
            continue
        names = " and ".join(map(tidy, one.other_from)) or "elsewhere"
        cents = one.other_cents - shopping.cost_cents
        texts.append(
            f"{text}The next best way, from {names}, costs "
            f"{money(one.other_cents, shopping.currency)} in all, "
            f"{money(cents, shopping.currency)} more."
        )
    return texts


def _turn_text(turn: Turn, currency: str) -> str:
    assert turn.at_cents is not None
    where = f", {tidy(turn.source)}" if turn.source else ""
    head = f"{tidy(turn.of)} {tidy(turn.pack)}{where}, now {money(turn.price_cents, currency)}"
    at = money(turn.at_cents, currency)
    change = Fraction(turn.at_cents - turn.price_cents, turn.price_cents)
    if turn.direction == "up":
        return f"{head}: another list is cheaper from {at} ({signed(change)})"
    return f"{head}: worth buying at {at} ({signed(change)}) or less"


def staged(shopping: Shopping) -> str:
    """Return what is fetched for which session, where it does not come all at once."""
    lines = [fill(one, indent="  ", hanging="    ") for one in stage_texts(shopping)]
    return "\n".join(["In stages, each for the session of the day", *lines]) if lines else ""


def stage_texts(shopping: Shopping) -> list[str]:
    """Return a line for each day that goods are fetched for, none where it is one day alone."""
    lines = {line.supply: line for line in shopping.lines}
    days = sorted({stage.day for stage in shopping.stages})
    if len(days) < 2:
        return []
    found = []
    for day in days:
        parts = [stage for stage in shopping.stages if stage.day == day]
        packs = [packs_text(evolve(lines[one.supply], packs=one.packs)) for one in parts]
        found.append(f"{day_short(day)}: {', '.join(packs)}")
    return found


def room_text(shopping: Shopping) -> str:
    """Return what the room for goods leads to: further trips, or too much all the same."""
    if shopping.room_l is None:
        return ""
    room = show_volume(shopping.room_l, shopping.system)
    text = ""
    if shopping.further_cents:
        cents = money(shopping.further_cents, shopping.currency)
        text = f" {cents} of it is for further trips, since there is room for {room}."
    if shopping.over_room_l > 1:
        over = show_volume(shopping.over_room_l, shopping.system)
        text += f" At most {over} more than {room} lie there on one day."
    return text


def load_text(shopping: Shopping, source: str | None, *, each_good: bool = True) -> str:
    """Return what a trip to a supplier brings home: the bulky goods, volume as packed and weight.

    And how long all trips take, where the plan says it. Empty for what is delivered or light;
    without `each_good` for all goods together.
    """
    lines = [line for line in shopping.lines if line.source == source]
    fees = {fee.kind: fee.times for fee in shopping.fees if fee.source == source}
    if "delivery" in fees:
        return ""
    system, trips = shopping.system, fees.get("trip", 1)
    bulky = [one for one in lines if one.room_l >= BULKY_L or one.mass_kg >= BULKY_KG]
    texts = []
    if bulky:
        room, mass = sum(one.room_l for one in lines), sum(one.mass_kg for one in lines)
        head = _load(room / trips, mass / trips, system)
        each = [
            f"{clip(one.of, 24)} {_load(one.labelled or 0.0, one.mass_kg, system)}" for one in bulky
        ]
        if len(bulky) == 1 and trips == 1:
            each = [clip(bulky[0].of, 24)]
        head += f" a trip of {trips}" if trips > 1 else ""
        texts.append(f"load {head}" + (f" ({'; '.join(each)})" if each_good else ""))
    minutes = shopping.trip_min.get(source or "")
    if minutes:
        texts.append(f"{show_minutes(minutes)} to fetch it")
    return ", ".join(texts)


def _load(litres: float, kilograms: float, system: System) -> str:
    parts = [show_volume(litres, system, up=True)] if litres else []
    parts += [f"about {show_mass(kilograms, system)}"] if kilograms else []
    return ", ".join(parts)
