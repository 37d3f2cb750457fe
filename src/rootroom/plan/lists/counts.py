"""How many a cell says: digits, words, dozens, `about 20`.

A range, `12+` and `a few` are refused with how to settle them; so is `1.000`, which may be a
thousand or one.
"""

from __future__ import annotations

import re

from rootroom.plan.lists.grid import Cell, cell_text
from rootroom.plan.lists.readings import Readings
from rootroom.plan.names import NUMBER_WORDS, shown
from rootroom.plan.tables.csv_sheet import check_thousands
from rootroom.plan.values import MOST
from rootroom.problems import TextError

BARE = re.compile(r"[0-9]+(?:\.[0-9]+)?")
DECIMAL_COMMA = re.compile(r"(?<![0-9.,])([0-9]+),([0-9]{1,2})(?![0-9,.])")

_WORDS = "|".join(NUMBER_WORDS)
_ABOUT = r"(?P<about>~|≈|±|about|approx\.?|approximately|around|roughly|circa|ca\.?|etwa|env\.?)"
_NUMBER = r"[0-9]{1,3}(?:[ \u00a0\u202f'’][0-9]{3})+|[0-9]+(?:[.,][0-9]+)*"
_UNITS = (
    r"x|×|(?:young |small |big )?plants?|pots?|pcs?\.?|pieces?|ea\.?|each|no\.?|nos\.?|units?|ct\.?"
    r"|stück|stk\.?|st\.|pièces?"
)
_COUNT = re.compile(
    rf"(?:{_ABOUT} ?)?(?:x ?|× ?)?"
    rf"(?:(?P<digits>{_NUMBER})|(?P<word>{_WORDS})|(?P<some>(?:an? )?half(?: an?)?|½|an?))?"
    rf" ?(?P<dozen>dozens?|doz\.?|dz\.?)?(?: of)? ?(?:{_UNITS})?",
    re.IGNORECASE,
)
_RANGE = re.compile(r"(?P<least>[0-9]+) ?(?:-|–|—|to|or|bis|/) ?(?P<most>[0-9]+)\b.*", re.I)
_VAGUE = re.compile(
    r"(?P<many>[0-9]+) ?(?:\+|\?|plus|or so|\(.*|trays?\b.*|flats?\b.*|rows?\b.*)"
    r"|(?:a )?(?:few|some|several|many|lots?|bunch|couple)\b.*",
    re.IGNORECASE,
)
_COUNTED = re.compile(r"(?P<count>[0-9]{1,6}) ?(?:[x×*] ?|pcs?\.? |no\.? )?(?P<name>[^\W\d_].+)")
_TRAYS = re.compile(r"([0-9]{1,6}) ?(?:full )?(?:trays?|flats?)", re.IGNORECASE)
_GROUPS = re.compile(r"[0-9]{1,3}([.,])[0-9]{3}(?:\1[0-9]{3})+")


def read_count(cell: Cell, readings: Readings) -> int:
    """Return a count of whole things; TextError for what is none, with how to say it."""
    number: float | None = None
    text = cell_text(cell).removeprefix("'")
    if isinstance(cell, int | float) and not isinstance(cell, bool):
        number = float(cell)
    elif isinstance(cell, str) and (found := _COUNT.fullmatch(text)):
        number = _number(found, readings)
    if number is None or not number.is_integer() or not 0 <= number <= MOST:
        raise _refused(text)
    return int(number)


def read_counted(cell: Cell, readings: Readings) -> dict[str, str]:
    """Return `12 x Fig` as the number of plants and their name."""
    found = _COUNTED.fullmatch(cell_text(cell))
    if found is None:
        raise TextError(
            f"no number before the name: `{shown(cell_text(cell))}`",
            code="bad-count",
            hint="write it as `12 x Fig`",
        )
    return {"count": str(read_count(found["count"], readings)), "name": found["name"]}


def is_counted(cell: Cell) -> bool:
    """Return whether a text may be a number of plants and their name."""
    return isinstance(cell, str) and _COUNTED.fullmatch(cell_text(cell)) is not None


def by_trays(cell: Cell) -> str | None:
    """Return how many trays `3 flats` are; their plants are known by the tray."""
    found = _TRAYS.fullmatch(cell_text(cell))
    return None if found is None else found[1]


def is_loose_count(text: str) -> bool:
    """Return whether a text is read as a count though it is no plain number."""
    found = _COUNT.fullmatch(text)
    return found is not None and bool(found["about"] or found["dozen"] or found["word"])


def may_count(text: str) -> bool:
    """Return whether a text may be a count, be it one that has to be settled."""
    plain = text.removeprefix("'")
    found = _COUNT.fullmatch(plain)
    if found is not None and (found["digits"] or found["word"] or found["dozen"]):
        return True
    return bool(_TRAYS.fullmatch(plain) or _RANGE.fullmatch(plain) or _VAGUE.fullmatch(plain))


def _number(found: re.Match[str], readings: Readings) -> float | None:
    digits, word, some, dozen = (found[name] for name in ("digits", "word", "some", "dozen"))
    if digits is not None:
        number = float(plain_number(re.sub(r"[\s'’]", "", digits), readings))
    elif word is not None:
        number = float(NUMBER_WORDS[word.casefold()])
    elif dozen is None:
        return None
    else:
        number = 0.5 if some and re.search("half|½", some, re.IGNORECASE) else 1.0
    return number * 12 if dozen else number


def _refused(text: str) -> TextError:
    span, vague = _RANGE.fullmatch(text), _VAGUE.fullmatch(text)
    words = f"a count is a whole number from 1 to {MOST:,}"
    example = "12"
    if span is not None:
        words, example = "from so many to so many is no count", span["most"]
    elif vague is not None:
        words, example = "this leaves open how many", vague["many"] or "12"
    hint = f"write one number; `--means '{shown(text)}={example}'` reads this text as {example}"
    return TextError(f"{words}: `{shown(text)}`", code="bad-count", hint=hint)


def plain_number(text: str, readings: Readings) -> str:
    """Return a number with a decimal point; refuse `1.000` and `1,000` unless that is settled."""
    if readings.decimal is None:
        try:
            check_thousands(text)
        except TextError as error:
            error.hint += (
                "; or say what marks decimals in this list: `--decimal point` or `--decimal comma`"
            )
            raise
        if _GROUPS.fullmatch(text):
            return re.sub("[.,]", "", text)
    if readings.decimal == "comma":
        text = text.replace(".", "").replace(",", ".")
    elif readings.decimal == "point":
        text = text.replace(",", "")
    else:
        text = DECIMAL_COMMA.sub(r"\1.\2", text)
    return text if BARE.fullmatch(text) else "nan"
