"""The questions that a plan is made from: time, beds, plants, mix, prices.

Each answer is checked at once by the plan's own readers; a row is tried in a whole plan, so that a
pot too small for its ball is told while it can be said anew.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Sequence
from functools import partial
from pathlib import Path
from typing import Any, cast

from rootroom.catalogue.ingredients import Ingredient
from rootroom.catalogue.uses import find_crop
from rootroom.cli.questions.asking import Answer, Interview
from rootroom.containers.text import is_container
from rootroom.plan import answers
from rootroom.plan.additions import grow
from rootroom.plan.dates import read_date
from rootroom.plan.drafts import Draft
from rootroom.plan.editing import Thing
from rootroom.plan.names import PLACES, known_name, meant
from rootroom.plan.tables.ingredients import Ingredients
from rootroom.plan.toml import splicing
from rootroom.plan.values import read_days
from rootroom.problems import TextError

KEYS = "Enter takes what stands in brackets, < goes back, Ctrl-C leaves without writing."
RECIPE = "Your mix by volume, as 5:1:1 bark peat perlite"
READY = "potting mix"
"""What the only mix is called unless it gets a name."""

PLANT_KEYS = ("name", "crop", "count", "now", "to", "mix", "from", "by", "moves")
"""What is asked of a plant, in the order in which people write it."""

_NO_GOOD = ("unknown-good", "unknown-container", "ambiguous-container", "container-size")

Row = dict[str, Any]
Check = Callable[[Row], Any]
"""Raises TextError for what the whole reader finds wrong with a row as far as it is known."""


def ask_plan(ask: Interview) -> Draft:
    """Return a plan from answers, from the frost to the prices."""
    draft = Draft("made by answering questions; what was not asked stands behind a #")
    ask.say(f"{KEYS}\n")
    _ask_times(ask, draft)
    ask.say("")
    while True:
        names = [str(row["name"]) for row in draft.beds]
        bed = ask_bed(ask, names, partial(answers.refuse_row, draft, "beds"), nothing="none")
        if bed is None:
            break
        draft.beds.append(bed)
    ask.say("")
    while True:
        names = [str(row["name"]) for row, _ in draft.plants]
        check = partial(answers.refuse_row, draft, "plants")
        row = ask_plant(ask, names, check, nothing="that is all" if names else None)
        if row is None:
            break
        draft.plants.append((row, ""))
    ask.say("")
    _ask_mix(ask, draft)
    ask.say("")
    _ask_prices(ask, draft)
    return draft


def _ask_times(ask: Interview, draft: Draft) -> None:
    garden, work = draft.garden, draft.work
    frost = ask.ask(
        "Last frost, the late date, as 2027-04-24", read_date, nothing="nothing depends on it"
    )
    if frost is not None:
        garden["last_frost"] = frost
    else:
        work["first"] = ask.need("First day of work, as 2027-03-13", read_date)
        work["last"] = ask.need("Last day of work", partial(_not_before, work["first"]))
    work["days"] = ask.need("Days that you work", answers.read_days_text, usual="sat sun")
    work["hours"] = ask.need("Hours on each of them", answers.read_hours_text, usual="4")
    garden["units"] = ask.need("Units, us or metric", answers.one_of("us", "metric"), usual="us")
    usual = "USD" if garden["units"] == "us" else "EUR"
    garden["currency"] = ask.need("Currency", partial(_currency, draft), usual=usual)


def _not_before(first: Any, text: str) -> Any:
    day = read_date(text)
    if day < first:
        raise TextError(f"before the first day, {first}: `{day}`", code="window-reversed")
    return day


def _currency(draft: Draft, text: str) -> str:
    code = text.strip().upper()
    tried = Draft("", garden={**draft.garden, "currency": code}, work=draft.work)
    answers.refuse_row(tried, "plants", {"name": "-", "count": 1, "now": "#1"})
    return code


def ask_plant(
    ask: Interview, names: Collection[str], check: Check, *, nothing: str | None
) -> Row | None:
    """Return a plant from answers, None where there is no more to tell.

    `names` are those that are taken; `nothing` says what Enter means in place of a name.
    """

    def read_name(text: str) -> str:
        name = answers.read_name(text)
        if meant(name, names):
            raise TextError(
                f"two plants of one name: `{name}`",
                code="duplicate-name",
                hint="add what tells them apart, as the place or the size",
            )
        return name

    question = "Another plant's name" if nothing else "What will be moved? A plant's name"
    name = ask.ask(question, read_name, nothing=nothing)
    if name is None:
        return None
    crop = find_crop(name)
    row: Row = {"name": name} if crop is None else {"name": name, "crop": crop.name}
    row["count"] = ask.need("  how many", answers.read_count_text)
    trying = partial(_tried, check, row)
    row["now"] = ask.need("  in which pot now, as #1 or 72-cell tray", trying("now", str.strip))
    targets = ask.ask(
        "  into which pot, ground or sold; `#2 then #5` moves twice",
        _tried(check, row, "", read_targets),
        nothing="stays",
    )
    if targets is None:
        return row
    return _ask_windows(ask, row, targets, check, tender=crop is not None and crop.tender)


def _ask_windows(
    ask: Interview, row: Row, targets: Sequence[Row], check: Check, *, tender: bool
) -> Row:
    """Return a plant with the window of each of its moves."""
    earliest = "last frost, as it is tender" if tender else "the first work day"
    if len(targets) == 1:
        return _ask_window(ask, {**row, **targets[0]}, check, (earliest, "the last work day"))
    moves: list[Row] = []
    for number, target in enumerate(targets, start=1):
        check_move = partial(_check_move, check, row, moves, targets[number:])
        open_from = "the first work day" if number == 1 else "any time after"
        open_from = earliest if number == len(targets) and tender else open_from
        moves.append(
            _ask_window(ask, dict(target), check_move, (open_from, "the last work day"), number)
        )
    return {**row, "moves": moves}


def _check_move(check: Check, row: Row, before: list[Row], after: Sequence[Row], move: Row) -> Any:
    return check({**row, "moves": [*before, move, *after]})


def _ask_window(
    ask: Interview, row: Row, check: Check, nothing: tuple[str, str], move: int = 0
) -> Row:
    """Return a row with the days between which it is done; `move` counts those of one plant."""
    questions = ["  not before, as last frost or a date", "  done by, as 5 weeks after last frost"]
    if move:
        later = ", as 3 weeks later" if move > 1 else ""
        questions = [f"  {row['to']}: not before{later}", f"  {row['to']}: done by"]
    for key, question, without in zip(("from", "by"), questions, nothing, strict=True):
        read = partial(_read_opening, move) if key == "from" else _read_closing
        found = ask.ask(question, _tried(check, row, "", read), nothing=without)
        row = {**row, **(found or {})}
    return row


def _read_opening(move: int, text: str) -> Row:
    """Return from when a move may be done: a window, or how long after the move before."""
    later = re.fullmatch(r"(.+?) (?:later|after(?: that)?)", text.strip(), re.IGNORECASE)
    if move > 1 and later is not None:
        read_days(later[1])
        return {"wait": later[1]}
    return {"from": answers.read_when_text(text)}


def _read_closing(text: str) -> Row:
    return {"by": answers.read_when_text(text)}


def read_targets(text: str) -> Any:
    """Return where a plant goes, `#2 then #5` one after the other, as moves of a plan."""
    targets = re.split(r"\s*(?:,?\s*\bthen\b|->|→)\s*", text.strip(), flags=re.IGNORECASE)
    return [{"to": meant(text, PLACES) or text} for text in map(str.strip, targets)]


def ask_bed(
    ask: Interview, names: Collection[str], check: Check, *, nothing: str | None
) -> Row | None:
    """Return a bed that gets mix, None where there is none."""

    def read_name(text: str) -> str:
        name = answers.read_name(text)
        if meant(name, names):
            raise TextError(f"two beds of one name: `{name}`", code="duplicate-name")
        return name

    question = "Another bed's name" if names else "A bed to fill? Its name"
    name = ask.ask(question, read_name, nothing=nothing)
    if name is None:
        return None
    whole: Row = {"name": name, "shape": "8 ft x 4 ft", "depth": "10 in"}
    row: Row = {"name": name}
    for key, question in (
        ("shape", "  how long and wide inside, as 8 ft x 4 ft or round 5 ft"),
        ("depth", "  filled how deep, as 10 in"),
    ):
        row[key] = ask.need(question, _tried(check, {**whole, **row}, key, str.strip))
    there = ask.ask(
        "  how deep is soil in it already, as 3 in",
        _tried(check, row, "already", str.strip),
        nothing="none",
    )
    row = row if there is None else {**row, "already": there}
    return _ask_window(ask, row, check, ("the first work day", "the last work day"))


def _tried(check: Check, row: Row, key: str, read: Callable[[str], Answer]) -> Any:
    """Return a reader whose value is also tried in the whole row, under a key or as its keys."""

    def reader(text: str) -> Answer:
        value: Any = read(text)
        several = {"moves": value} if isinstance(value, list) and not key else value
        check({**row, key: value} if key else {**row, **several})
        return cast("Answer", value)

    return reader


def _ask_mix(ask: Interview, draft: Draft) -> None:
    """Ask for the recipe; without one the mix is bought ready-made."""
    if not draft.beds and not any({"to", "moves"} & set(row) for row, _ in draft.plants):
        return
    parts = ask.ask(RECIPE, answers.read_recipe, nothing="bought ready-made")
    name = ask.need("What you call it", partial(read_mix_name, draft.mixes), usual=READY)
    draft.mixes[name] = parts if parts is not None else {}


def read_mix_name(taken: Collection[str], text: str) -> str:
    """Return a name for a mix that is neither an ingredient's nor another mix's."""
    name = answers.read_name(text)
    if meant(name, taken) or Ingredients({}).name_of(name):
        kind = "a mix" if meant(name, taken) else "an ingredient"
        raise TextError(f"{kind} of this name is there: `{name}`", code="name-taken")
    return name


def _ask_prices(ask: Interview, draft: Draft) -> None:
    """Ask for packages and prices of what the mix is made of, and of the pots."""
    goods = [part for parts in draft.mixes.values() for part in parts or ()]
    goods += [name for name, parts in draft.mixes.items() if not parts]
    if not goods:
        return
    moves = [move for row, _ in draft.plants for move in row.get("moves", [row])]
    pots = dict.fromkeys(str(move["to"]) for move in moves if "to" in move)
    goods += [pot for pot in pots if is_container(pot)]
    if any(draft.mixes.values()) and not ask.yes("Do you know packages and prices?", usual=True):
        return
    shop = None
    for good in goods:
        check = partial(answers.refuse_row, draft, "supplies")
        row = ask_supply(ask, good, check, shop=shop, needed=good in draft.mixes)
        if row is not None:
            draft.supplies.append(row)
            shop = row.get("from", shop)


def ask_supply(
    ask: Interview, good: str, check: Check, *, shop: str | None, needed: bool
) -> Row | None:
    """Return what a good is sold as, None where that is not known."""
    row: Row = {"of": good}
    holds = "how many in a package" if is_container(good) else "a package holds, as 2 cu ft"
    pack = ask.ask(
        f"{good}: {holds}",
        _tried(check, {**row, "price": 0}, "pack", answers.read_pack_text),
        nothing=None if needed else "not known",
    )
    if pack is None:
        return None
    row["pack"] = pack
    row["price"] = ask.need("  and costs", answers.read_price_text)
    where = ask.ask("  at which shop", answers.read_name, usual=shop, nothing="no trip counts")
    return row if where is None else {**row, "from": where}


def ask_addition(ask: Interview, kind: Thing | None, text: str, path: Path) -> tuple[Thing, Row]:
    """Return what is added to a plan's text: of which kind, and its keys and values."""
    data = splicing.read(text).data
    ask.say(f"{KEYS}\n")
    if kind is None:
        read = answers.one_of("plant", "supply", "mix", "bed")
        question = "What do you add: plant, supply, mix or bed"
        kind = cast("Thing", ask.need(question, read, usual="plant"))
    if kind == "mix":
        name = ask.need("What you call the mix", partial(read_mix_name, data.get("mixes", {})))
        own = Ingredients({str(key): Ingredient(str(key)) for key in data.get("ingredients", {})})
        parts = ask.need(RECIPE, lambda said: answers.read_recipe(said, own))
        return kind, {"name": name, "parts": parts}
    if kind == "supply":
        check = partial(grow, text, path, "supply")
        good = ask.need("What can be had, as peat or #3", partial(_good, check))
        shops = [str(row["from"]) for row in data.get("supplies", ()) if "from" in row]
        shop = shops[-1] if shops else None
        return kind, ask_supply(ask, good, check, shop=shop, needed=True) or {}
    names = [str(row["name"]) for row in data.get(f"{kind}s", ()) if "name" in row]
    check = partial(grow, text, path, kind, missing=("missing-mix",))
    asking = ask_plant if kind == "plant" else ask_bed
    row = asking(ask, names, check, nothing=None) or {}
    mixes = list(data.get("mixes", {}))
    if len(mixes) > 1 and any(one.code == "missing-mix" for one in check(row).errors):
        known = partial(known_name, known=mixes, what="mix")
        row["mix"] = ask.need(f"  with which mix: {', '.join(mixes)}", known, usual=mixes[0])
    order = PLANT_KEYS if kind == "plant" else tuple(row)
    return kind, {key: row[key] for key in order if key in row}


def _good(check: Check, text: str) -> str:
    """Return what a supply is of; TextError for what a plan knows nothing of."""
    try:
        check({"of": text.strip(), "pack": 1, "price": 0})
    except TextError as wrong:
        if wrong.code in _NO_GOOD:
            raise
    return text.strip()
