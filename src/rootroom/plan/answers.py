"""Answers as people type them, as a plan's values: a recipe, days, a price, a pot, a date.

Each reader takes a text and returns what stands in the plan, or raises TextError as the plan's own
readers do; what only shows in the whole plan is found by `refuse_row`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import date
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import Any

from attrs import evolve

from rootroom.catalogue.ingredients import ingredients
from rootroom.plan.dates import date_readings, read_date, read_window
from rootroom.plan.drafts import Draft, draft_text
from rootroom.plan.names import NUMBER_WORDS, check_name, shown, suggest, tidy
from rootroom.plan.reader import read_plan_text
from rootroom.plan.tables.ingredients import Ingredients
from rootroom.plan.tables.work import WEEKDAYS, WorkDayName
from rootroom.plan.values import READERS, Cents, Count, Hours
from rootroom.problems import TextError

_RATIO = re.compile(r"([0-9./½¼¾⅓⅔]+(?:\s*:\s*[0-9./½¼¾⅓⅔]+)+)\s+(.+)", re.DOTALL)
_PART = re.compile(
    r"(?P<before>[0-9][0-9./]*\s*%?|[½¼¾⅓⅔])?\s*(?:parts?\s+)?(?:of\s+)?"
    r"(?P<name>[^0-9%½¼¾⅓⅔]+?)\s*(?P<after>[0-9][0-9./]*\s*%?)?"
)
_SIGNS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3"}
_EXAMPLE = "write it as `5:1:1 bark peat perlite` or `5 bark, 1 peat, 1 perlite`"


def read_recipe(text: str, known: Ingredients | None = None) -> dict[str, int | Decimal]:
    """Return the parts of a mix by loose volume: `5:1:1 bark peat perlite`, `5 bark, 1 peat`.

    Names are those of the shipped ingredients or of `known`, by any of their spellings.
    """
    known = Ingredients({}) if known is None else known
    plain = " ".join(text.split())
    found = _RATIO.fullmatch(plain)
    if found is not None:
        numbers = [part.strip() for part in found[1].split(":")]
        names = _names(re.sub("^of ", "", found[2]), known)
        if len(numbers) != len(names):
            listed = ", ".join(f"`{name}`" for name in names)
            raise TextError(
                f"{len(numbers)} numbers for {len(names)} parts ({listed}): `{shown(plain)}`",
                code="bad-recipe",
                hint=_EXAMPLE,
            )
        pairs = list(zip(names, numbers, strict=True))
    else:
        pairs = _pairs(plain)
    parts: dict[str, int | Decimal] = {}
    for given, number in pairs:
        name = known.name_of(given)
        if name is None:
            hint = f"known are {', '.join(list(ingredients())[:12])}; another needs its own table"
            message = f"unknown ingredient: `{shown(given)}`"
            raise TextError(message, code="unknown-ingredient", hint=suggest(given, known, hint))
        if name in parts:
            raise TextError(f"`{name}` comes twice: `{shown(plain)}`", code="part-twice")
        parts[name] = _number(number, plain)
    return parts


def _names(text: str, known: Ingredients) -> list[str]:
    """Return the names in a row: parted by commas, else the longest known ones."""
    if re.search(r"[,;/+]| and ", text):
        return [piece.strip() for piece in re.split(r"[,;/+]| and ", text) if piece.strip()]
    words, names = text.split(" "), []
    while words:
        length = next(
            (n for n in range(len(words), 0, -1) if known.name_of(" ".join(words[:n]))), 1
        )
        names.append(" ".join(words[:length]))
        words = words[length:]
    return names


def _pairs(plain: str) -> list[tuple[str, str]]:
    pieces = [piece.strip() for piece in re.split(r"[,;+]| and ", plain) if piece.strip()] or [""]
    if len(pieces) == 1:
        pieces = re.findall(r"[0-9][0-9./]*\s*%?\s*[^0-9%]+", plain) or pieces
    pairs = []
    for piece in pieces:
        found = _PART.fullmatch(piece.strip())
        named = found is not None and any(letter.isalpha() for letter in found["name"])
        if found is None or not named or bool(found["before"]) == bool(found["after"]):
            raise TextError(
                f"a part is a number and a name: `{shown(piece)}`", code="bad-recipe", hint=_EXAMPLE
            )
        pairs.append((found["name"].strip(), found["before"] or found["after"]))
    return pairs


def _number(text: str, plain: str) -> int | Decimal:
    for sign, spelled in _SIGNS.items():
        text = text.replace(sign, spelled)
    try:
        number = Fraction(text.replace("%", "").replace(" ", ""))
    except (ValueError, ZeroDivisionError):
        number = Fraction(0)
    if number <= 0 or number > 1000:
        raise TextError(
            f"a part is a number above zero: `{shown(plain)}`", code="bad-recipe", hint=_EXAMPLE
        )
    if number.denominator == 1:
        return int(number)
    rounded = (Decimal(number.numerator) / Decimal(number.denominator)).quantize(Decimal("0.001"))
    return rounded.normalize()


def read_count_text(text: str) -> int:
    """Return a count: digits, or a word up to twelve."""
    plain = text.strip().casefold()
    word = NUMBER_WORDS.get(plain)
    if word is None and not re.fullmatch("[0-9]{1,9}", plain):
        raise TextError(
            f"a count is a whole number: `{shown(text)}`", code="bad-count", hint="as 12"
        )
    return int(READERS[Count](word or int(plain)))


def read_name(text: str) -> str:
    """Return a name that a sheet can show."""
    check_name(tidy(text), empty=False)
    return tidy(text)


def read_when_text(text: str) -> str | date:
    """Return a date, or a window as `2 weeks after last frost`."""
    if date_readings(text) or re.fullmatch(r"[\d\s./-]+", text):
        return read_date(text)
    window = read_window(text)
    return " ".join(text.split()).lower() if window.day is None else window.day


def read_days_text(text: str) -> list[str | date]:
    """Return work days: weekdays as `sat sun` or `weekend`, or dates."""
    plain = re.sub(r"\band\b|[,;]", " ", text.casefold())
    plain = re.sub(r"\bweekends?\b", "sat sun", plain)
    plain = re.sub(r"\b(?:every ?day|daily|all)\b", " ".join(WEEKDAYS), plain)
    plain = re.sub(r"\bweekdays?\b", " ".join(WEEKDAYS[:5]), plain)
    found: list[str | date] = []
    for word in plain.split():
        day: str | date
        if any(character.isdigit() for character in word):
            day = read_date(word)
        else:
            day = WEEKDAYS[READERS[WorkDayName](word.removesuffix("s"))]
        if day not in found:
            found.append(day)
    if not found:
        raise TextError("no day: at least one belongs here", code="no-work-days", hint="as sat sun")
    return found


def read_number_text(text: str, kind: Any) -> int | Decimal:
    """Return a plain number that the plan's reader of `kind` takes, as it is written."""
    try:
        number = Decimal(text.strip().lstrip("$€£").strip().removesuffix(" h").removesuffix("h"))
    except InvalidOperation:
        raise TextError(
            f"a plain number belongs here: `{shown(text)}`",
            code="bad-number",
            hint="with a point before decimals, as 15.20",
        ) from None
    READERS[kind](number)
    return int(number) if kind is Hours and number == int(number) else number


def read_hours_text(text: str) -> int | Decimal:
    """Return hours of a work day."""
    return read_number_text(text, Hours)


def read_price_text(text: str) -> Decimal:
    """Return a price with its decimals."""
    return Decimal(read_number_text(text, Cents)).quantize(Decimal("0.01"))


def read_pack_text(text: str) -> str | int:
    """Return what a package holds; a bare number counts pieces."""
    plain = text.strip()
    return int(plain) if re.fullmatch("[0-9]{1,6}", plain) else plain


def one_of(*known: str) -> Callable[[str], str]:
    """Return a reader that takes one of some words, or its beginning."""

    def read(text: str) -> str:
        alike = [word for word in known if word.startswith(text.strip().casefold())]
        if len(alike) != 1:
            words = [f"`{word}`" for word in known]
            listed = " or ".join([", ".join(words[:-1]), words[-1]])
            raise TextError(f"{listed} belongs here: `{shown(text)}`", code="bad-choice")
        return alike[0]

    return read


def refuse_row(draft: Draft, list_name: str, row: Mapping[str, Any]) -> None:
    """Raise TextError for what the whole reader finds wrong with a row of a list of the plan.

    A plant or a bed is tried with the draft's mix, or any, since that may be asked later.
    """
    mixes = draft.mixes or {"mix": {"peat": 1, "perlite": 1}}
    alone = evolve(draft, plants=[], supplies=[], mixes=mixes)
    if list_name == "plants":
        alone.plants = [(dict(row), "")]
    elif list_name == "beds":
        alone.beds = [dict(row)]
    else:
        alone.supplies = [dict(row)]
    if "last_frost" not in alone.garden and "first" not in alone.work:
        alone.garden = {**alone.garden, "last_frost": date(2027, 4, 24)}
    _, problems = read_plan_text(draft_text(alone), "plan.toml")
    errors = [problem for problem in problems if problem.severity == "error"]
    if errors:
        first = errors[0]
        raise TextError(first.message, code=first.code, hint=first.hint)
