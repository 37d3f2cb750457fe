"""What each field of an event may be: every number, date and row is bounded where it is read.

A record may come from a phone, an editor or another program. Counts, amounts, minutes and money
are bounded as in a plan, so that no line can lead to a figure that the stages cannot work with.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from datetime import date
from functools import lru_cache
from math import isfinite
from typing import Any

from rootroom.plan.dates import YEARS
from rootroom.plan.names import LONGEST
from rootroom.plan.values import MOST, show
from rootroom.problems import TextError
from rootroom.tolerances import AS_WRITTEN
from rootroom.visible import printable

MOST_L = 1e7
"""Litres [L] of one amount, as in a plan."""

MOST_CENTS = 10**11
"""Money of one line [cents], as in a plan."""

MOST_MINUTES = 60.0 * 24 * 7
"""Person-minutes [min] of one line: a week, as in a plan."""

MOST_PACKS = 10.0**6
"""Packages of one line: more than any supplier has."""

LONGEST_NOTE = 10_000
"""Characters of a note, some four pages."""

_FRACTION = re.compile("[1-9][0-9]{0,40}(/[1-9][0-9]{0,40})?")

Check = Callable[[Any], bool]
Checks = Mapping[str, Check]


def _up_to(most: float) -> Check:
    """Return the check of a number; a whole one of 400 digits is compared, never converted."""
    return lambda value: type(value) in (int, float) and 0.0 <= value <= most and isfinite(value)


def _whole(most: int, least: int = 0) -> Check:
    return lambda value: type(value) is int and least <= value <= most


def is_text(value: Any) -> bool:
    """Whether a value may be what somebody typed; anything may hide in it."""
    return isinstance(value, str) and len(value) <= LONGEST_NOTE


def is_name(value: Any) -> bool:
    """Whether a value may be the name of something: as in a plan, nothing hides in it."""
    return isinstance(value, str) and len(value) <= LONGEST and printable(value)


def is_amount(value: Any) -> bool:
    """Whether a value is a number that an amount may have [0 to 10,000,000]."""
    return _litres(value)


@lru_cache(maxsize=4096)  # a record has few days and many lines
def read_day(text: str) -> date:
    """Return a date, year-month-day; ValueError or TypeError for another text or year."""
    day = date.fromisoformat(text)
    if day.year not in YEARS:
        raise ValueError(f"a year must lie in 1900 to 2200, got {text!r}")
    return day


def _day(value: Any) -> bool:
    try:
        read_day(value)
    except (TypeError, ValueError):
        return False
    return True


def _amounts(value: Any) -> bool:
    return (
        isinstance(value, dict) and all(map(is_name, value)) and all(map(_litres, value.values()))
    )


def _by_day(value: Any) -> bool:
    return isinstance(value, dict) and all(map(_day, value)) and all(map(_sum, value.values()))


def _names(value: Any) -> bool:
    return isinstance(value, list) and len(value) > 0 and all(map(is_name, value))


def _parts(value: Any) -> bool:
    """Whether a value is a recipe: shares above 0 as exact fractions in text, by ingredient."""
    return (
        isinstance(value, dict)
        and all(map(is_name, value))
        and all(isinstance(one, str) and _FRACTION.fullmatch(one) for one in value.values())
    )


def _or_null(check: Check) -> Check:
    return lambda value: value is None or check(value)


def _one_of(*known: str) -> Check:
    return lambda value: isinstance(value, str) and value in known


def _rows(needed: Checks, others: Checks) -> Check:
    """Return the check of a list of rows: what is needed is there, and all that is known fits."""
    known = {**others, **needed}

    def fits(row: Any) -> bool:
        return (
            isinstance(row, dict)
            and all(name in row for name in needed)
            and all(known[name](value) for name, value in row.items() if name in known)
            and ("mix" not in row or "mix" in needed or "l" in row)
        )

    return lambda value: isinstance(value, list) and all(map(fits, value))


_litres = _up_to(MOST_L)
_minutes = _up_to(MOST_MINUTES)
_share = _up_to(1.0)
_packs = _up_to(MOST_PACKS)
_count = _whole(MOST)
_place = _whole(MOST, 1)
_cents = _whole(MOST_CENTS)

PLANTS: Checks = {"plant": is_name, "move": _place, "count": _count}
AMOUNT: Checks = {"mix": is_name, "l": _litres}
EMPTY: Checks = {"container": is_name, "count": _count}

# A posted plan holds what the stages came to, which may be more than one line may tell.
_sum, _whole_sum = _up_to(1e15), _whole(10**15)

WORK_ROW: Checks = {
    "day": _day, "kind": is_name, "name": is_name, "number": _count, "count": _whole_sum,
}  # fmt: skip
WORK_ROW_MORE: Checks = {
    "share": _up_to(1 + AS_WRITTEN), "minutes": _sum, "l": _sum, "mix": is_name, "of": is_name,
    "to": is_name, "sorts": _amounts,
}  # fmt: skip
GOOD_ROW: Checks = {"of": is_name, "packs": _sum, "cents": _whole_sum}
GOOD_ROW_MORE: Checks = {
    "day": _day, "supply": _or_null(_count), "pack": _or_null(is_name), "from": _or_null(is_name),
    "tax_cents": _whole_sum, "fee_cents": _whole_sum,
}  # fmt: skip
MIX_ROW: Checks = {"mix": is_name, "ready": _share, "parts": _parts}
MIX_ROW_MORE: Checks = {"bags": _by_day}

KINDS: Mapping[str, Checks] = {
    "moved": PLANTS,
    "lost": PLANTS,
    "not yet": PLANTS,
    "counted": PLANTS,
    "filled": {"bed": is_name, "layer": _place, "share": _share},
    "blended": AMOUNT,
    "used": AMOUNT,
    "left": AMOUNT,
    "spilled": AMOUNT,
    "taken out": {"l": _litres},
    "bought": {"of": is_name, "packs": _packs, "paid_cents": _or_null(_cents)},
    "in stock": {
        "of": is_name,
        "supply": _place,
        "packs": _or_null(_packs),
        "l": _or_null(_litres),
    },
    "freed": EMPTY,
    "broken": EMPTY,
    "empty": EMPTY,
    "worked": {"minutes": _minutes},
    "measured": {
        "what": _one_of("packing", "spill", "ball", "fill", "shrink", "swells"),
        "of": is_name,
        "value": _up_to(MOST_L),
    },
    "timed": {"work": is_name, "count": _count, "minutes": _minutes},
    "weather": {"weather": is_name},
    "session": {"state": is_name},
    "note": {"text": is_text},
    "cared": {"due": _day, "do": is_name, "plants": _names, "count": _count},
    "day off": {"day": _day, "reason": is_text},
    "postponed": {"until": _day, "reason": is_text},
    "planned": {"sessions": _rows(WORK_ROW, WORK_ROW_MORE)},
    "taken back": {},
}
"""The kinds of version 2, and what each field of theirs must be."""

OPTIONAL: Mapping[str, Checks] = {
    **{kind: {"sort": is_name} for kind in ("moved", "lost", "counted")},
    "not yet": {"until": _day, "sort": is_name},
    "planned": {"goods": _rows(GOOD_ROW, GOOD_ROW_MORE), "mixes": _rows(MIX_ROW, MIX_ROW_MORE)},
    "used": {"planned": lambda value: isinstance(value, bool)},
    "filled": {"of": is_name},
    "cared": {"of": is_name},
    "blended": {"batches": _up_to(float(MOST)), "loose_l": _amounts},
    "taken out": {"of": is_name},
    "bought": {
        "supply": _place,
        "from": _or_null(is_name),
        "pack": is_name,
        "tax_cents": _cents,
        "fee_cents": _cents,
    },
    "measured": {"times": _whole(100_000, 1)},
    "timed": {"container": is_name},
}

_FIELDS = {
    kind: (tuple(fields.items()), tuple(OPTIONAL.get(kind, {}).items()))
    for kind, fields in KINDS.items()
}


def checked(kind: str, raw: Mapping[str, Any]) -> dict[str, Any]:
    """Return the fields of a known kind; keys that are not known are left out.

    Raises TextError for a field that is missing or cannot be what it says.
    """
    needed, others = _FIELDS[kind]
    data = {}
    for name, check in needed:
        try:
            value = raw[name]
        except KeyError:
            raise TextError(f"an event without {name!r}", code="damaged-line") from None
        if not check(value):
            raise _wrong(kind, name, value)
        data[name] = value
    for name, check in others:
        if name in raw:
            if not check(raw[name]):
                raise _wrong(kind, name, raw[name])
            data[name] = raw[name]
    return data


def _wrong(kind: str, name: str, value: Any) -> TextError:
    return TextError(f"`{name}` of `{kind}` cannot be {show(value)[1:-1]}", code="damaged-line")


def dates_in(data: Mapping[str, Any]) -> Iterator[date]:
    """Yield the dates that an event's fields hold, those of a posted plan's rows included."""
    for name in ("day", "until", "due"):
        if name in data:
            yield read_day(data[name])
    for name in ("sessions", "goods"):
        for row in data.get(name, ()):
            if "day" in row:
                yield read_day(row["day"])
