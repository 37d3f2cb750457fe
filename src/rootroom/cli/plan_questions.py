"""The questions that a plan is made from: time, plants, mix, prices.

Each answer is checked at once by the plan's own readers; a row is tried in a whole plan, so that a
pot too small for its ball is told while it can be said anew.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

from rootroom.catalogue.crops import find_crop
from rootroom.cli.asking import Answer, Interview
from rootroom.containers.text import read_container
from rootroom.plan import answers
from rootroom.plan.dates import read_date
from rootroom.plan.drafts import Draft
from rootroom.plan.names import meant, one_name
from rootroom.problems import TextError

Row = dict[str, Any]

READY = "potting mix"
"""What the only mix is called unless it gets a name."""


def ask_plan(ask: Interview) -> Draft:
    """Return a plan from answers, from the frost to the prices."""
    draft = Draft("made by answering questions; what was not asked stands behind a #")
    ask.say("Enter takes what stands in brackets, < goes back, Ctrl-C leaves without writing.\n")
    _ask_times(ask, draft)
    ask.say("")
    while True:
        row = ask_plant(ask, draft, first=not draft.plants)
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
    answers.refuse_row(
        Draft("", garden={**draft.garden, "currency": code}, work=draft.work),
        "plants",
        {"name": "-", "count": 1, "now": "#1"},
    )
    return code


def ask_plant(ask: Interview, draft: Draft, *, first: bool) -> Row | None:
    """Return a plant from answers, None where there is no more to tell."""
    names = [one_name(str(row["name"])) for row, _ in draft.plants]

    def read_name(text: str) -> str:
        name = answers.read_name(text)
        if one_name(name) in names:
            raise TextError(
                f"two plants of one name: `{name}`",
                code="duplicate-name",
                hint="add what tells them apart, as the place or the size",
            )
        return name

    if first:
        name = ask.need("What will be moved? A plant's name", read_name)
    else:
        found = ask.ask("Another plant's name", read_name, nothing="that is all")
        if found is None:
            return None
        name = found
    crop = find_crop(name)
    row: Row = {"name": name}
    if crop is not None:
        row["crop"] = crop.name
    row["count"] = ask.need("  how many", answers.read_count_text)
    trying = partial(_tried, draft, row)
    row["now"] = ask.need("  in which pot now, as #1 or 72-cell tray", trying("now", _pot))
    to = ask.ask(
        "  into which pot, ground or sold", trying("to", _target), nothing="it stays as it is"
    )
    if to is None:
        return row
    row["to"] = to
    _ask_window(ask, row, trying, tender=crop is not None and crop.tender)
    return row


def _ask_window(ask: Interview, row: Row, trying: Any, *, tender: bool) -> None:
    earliest = "last frost, as it is tender" if tender else "the first work day"
    for key, question, nothing in (
        ("from", "  not before, as last frost or a date", earliest),
        ("by", "  done by, as 5 weeks after last frost", "the last work day"),
    ):
        when = ask.ask(question, trying(key, answers.read_when_text), nothing=nothing)
        if when is not None:
            row[key] = when


def _tried(
    draft: Draft, row: Mapping[str, Any], key: str, read: Callable[[str], Answer]
) -> Callable[[str], Answer]:
    """Return a reader whose value is also tried in the whole row."""

    def reader(text: str) -> Answer:
        value = read(text)
        answers.refuse_row(draft, "plants", {**row, key: value})
        return value

    return reader


def _pot(text: str) -> str:
    return read_container(text).text


def _target(text: str) -> str:
    return meant(text, ("ground", "sold")) or _pot(text)


def _ask_mix(ask: Interview, draft: Draft) -> None:
    """Ask for the recipe; without one the mix is bought ready-made."""
    if not any("to" in row for row, _ in draft.plants):
        return
    parts = ask.ask(
        "Your mix by volume, as 5:1:1 bark peat perlite",
        answers.read_recipe,
        nothing="bought ready-made",
    )
    name = ask.need("What you call it", partial(read_mix_name, draft.mixes), usual=READY)
    draft.mixes[name] = parts if parts is not None else {}


def read_mix_name(taken: Mapping[str, Any], text: str) -> str:
    """Return a name for a mix that is neither an ingredient's nor another mix's."""
    from rootroom.plan.tables.ingredients import Ingredients

    name = answers.read_name(text)
    if meant(name, taken) or Ingredients({}).name_of(name):
        kind = "a mix" if meant(name, taken) else "an ingredient"
        raise TextError(f"{kind} of this name is there: `{name}`", code="name-taken")
    return name


def _ask_prices(ask: Interview, draft: Draft) -> None:
    """Ask for packages and prices of what the mix is made of."""
    goods = [part for parts in draft.mixes.values() for part in parts or ()]
    goods += [name for name, parts in draft.mixes.items() if not parts]
    if not goods:
        return
    if any(draft.mixes.values()) and not ask.yes("Do you know packages and prices?", usual=True):
        return
    shop = None
    for good in goods:
        row = ask_supply(ask, draft, good, shop=shop, needed=good in draft.mixes)
        if row is not None:
            draft.supplies.append(row)
            shop = row.get("from", shop)


def ask_supply(
    ask: Interview, draft: Draft, good: str, *, shop: str | None, needed: bool
) -> Row | None:
    """Return what a good is sold as, None where that is not known."""

    def tried(key: str, read: Callable[[str], Any]) -> Callable[[str], Any]:
        def reader(text: str) -> Any:
            value = read(text)
            answers.refuse_row(draft, "supplies", {"of": good, "price": 0, key: value})
            return value

        return reader

    question = f"{good}: a package holds, as 2 cu ft or 40 L"
    nothing = None if needed else "not known"
    pack = ask.ask(question, tried("pack", _text), nothing=nothing)
    if pack is None:
        return None
    row: Row = {"of": good, "pack": pack}
    row["price"] = ask.need("  and costs", answers.read_price_text)
    where = ask.ask("  at which shop", answers.read_name, usual=shop, nothing="no trip counts")
    if where is not None:
        row["from"] = where
    return row


def _text(text: str) -> str:
    return text.strip()
