"""What a cell says about how many and about a pot: the plan's own text of it.

Every reading refuses what has two: a range of counts, `1.000`, gallons, sizes without their kind.
"""

from __future__ import annotations

import re

from rootroom.containers.text import read_container
from rootroom.plan.lists.grid import Cell, Readings, cell_text
from rootroom.plan.lists.table import heading_data
from rootroom.plan.names import NUMBER_WORDS, PLACES, meant, shown, tidy
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
        raise _no_count(text)
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


def _no_count(text: str) -> TextError:
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


_PLACES = re.compile(r"\b(?:bed|border|ground|soil|garden)s?\b", re.IGNORECASE)
_GALLONS = re.compile(
    r"([0-9½¼¾⅓⅔⅛./ ]+?)[ -]?(trade )?(?:g|gal|gals|gallon|gallons|gallonen)\.?"
    r"(?: (trade))?(?: (?:nursery |plastic )?(?:pot|container|can)s?)?",
    re.IGNORECASE,
)
_WIDTH = re.compile(r"[0-9½¼¾⅓⅔⅛][0-9½¼¾⅓⅔⅛./ -]*(?:in|inch|inches|cm|\"|”|″|'')\.?", re.IGNORECASE)
_MIXED = re.compile(r"(?:[0-9]+[ -]?)?(?:[0-9]/[0-9]{1,2}|[½¼¾⅓⅔⅛])")
_SIDES = re.compile(
    r"([0-9½¼¾./]+) ?[x×] ?\1 ?(in|inch|inches|cm|\")\.?(?: square)?(?: pots?)?", re.I
)
_CLASS = re.compile(r"(?:class|n°|nº|№|nr\.?) ?([0-9]{1,2})|(?:#)([0-9]{1,2}) ?\(?trade\)?", re.I)
_CLASS_TOO = re.compile(
    r"#([0-9]{1,2}) ?[/(=,]* ?([0-9]{1,2})[ -]?gal(?:lon)?s?\.?\)?"
    r"|([0-9]{1,2})[ -]?gal(?:lon)?s?\.? ?[/(=,]* ?#([0-9]{1,2})\)?",
    re.IGNORECASE,
)
_ARROW = re.compile(r" *(?:->|–>|=>|>+|→|⇒|⟶) *| (?:to|into|nach|vers) ", re.IGNORECASE)

_STILL_SIZES = (
    "ambiguous-container", "container-size", "ambiguous-unit", "ambiguous-number",
)  # fmt: skip
"""Codes of refusals that a container's text gets for want of one word."""

_NO_SIZE = ("bad-number", "two-units", "unknown-unit", "wrong-unit", "missing-unit")
"""Codes of refusals of a text that was tried as a volume, though nobody meant one."""


def read_steps(cell: Cell, unit: str, readings: Readings) -> dict[str, str]:
    """Return `#1 -> #3 -> #5` as the pot that a plant is in and those it goes to."""
    pots = _ARROW.split(tidy(cell_text(cell)))
    if len(pots) < 2:
        raise TextError(
            f"one pot where two belong: `{shown(cell_text(cell))}`",
            code="unknown-container",
            hint="write both, as `#1 -> #3`",
        )
    found = {"now": read_pot("now", pots[0], unit, readings) or ""}
    for move, pot in enumerate(pots[1:], start=1):
        key = "to" if move == 1 else f"to {move}"
        found[key] = read_pot("to", pot, unit, readings) or pots[0]
    return found


def read_pot(key: str, cell: Cell, unit: str, readings: Readings) -> str | None:
    """Return a container's text as the plan spells it, or a place that a move may go to."""
    said = tidy(cell_text(cell))
    own = meant(said, readings.own)
    if own is not None:
        return own
    if key == "to":
        if said.casefold() in heading_data()["marks"]["stays"]:
            return None
        if said.casefold() in PLACES:
            return said.casefold()
        if said.casefold() in heading_data()["marks"]["ground"]:
            return "ground"
    text = _spelled(_size_numbers(said, readings))
    bare = (BARE.fullmatch(text) or _MIXED.fullmatch(text)) is not None
    text = _gallons(_with_unit(key, text, unit, bare=bare), readings)
    try:
        return read_container(text).text
    except TextError as error:
        no_pot = error.code in ("unknown-container", *_NO_SIZE)
        if key == "to" and no_pot and _PLACES.search(text):
            return text  # a bed's own name
        raise _refused(error, key, said, text, unit if bare else "") from None


def _spelled(text: str) -> str:
    """Return a size with the plan's own words: `sq`, `Topf`, `Ø`, `9x9 cm`, `15 gal (#15)`."""
    text = re.sub(r"\bsq\b\.?", "square", text, flags=re.IGNORECASE)
    pots = heading_data()["pots"]
    text = re.sub(r"[^\W\d_]+", lambda word: pots.get(word[0].casefold(), word[0]), text)
    text = " ".join(re.sub("[Ø⌀]", " ", text).split())
    if (sides := _SIDES.fullmatch(text)) is not None:
        return f"{sides[1]} {sides[2]} square pot"
    if (both := _CLASS_TOO.fullmatch(text)) is not None:
        numbers = {one for one in both.groups() if one}
        return f"#{numbers.pop()}" if len(numbers) == 1 else text
    if (named := _CLASS.fullmatch(text)) is not None:
        return f"#{named[1] or named[2]}"
    if re.fullmatch(r"(?:a |one )?(?:trade )gallon(?: pot)?", text, re.IGNORECASE):
        return "#1"
    return f"{text[:-1]}-cell tray" if re.fullmatch("[0-9]{2,3}s", text) else text


def _with_unit(key: str, text: str, unit: str, *, bare: bool) -> str:
    """Return a size with the unit of its heading where it has none of its own."""
    if bare and not unit:
        raise TextError(
            f"a size without its unit: `{shown(text)}`",
            code="missing-unit",
            hint=f"write `#{text}`, `{text} in pot` or `{text} L`; or for the whole column "
            f'`--heading "...={key} (#)"`, `"...={key} (in pot)"` or `"...={key} (L)"`',
        )
    if bare:
        return f"#{text}" if unit.casefold() in ("#", "class", "trade") else f"{text} {unit}"
    if unit and _WIDTH.fullmatch(text) and not _WIDTH.fullmatch(f"1 {unit}"):
        return f"{text} {re.sub(r'^(in|inch|inches|cm) ', '', unit)}"
    return text


def _refused(error: TextError, key: str, said: str, text: str, unit: str) -> TextError:
    """Return a refusal with what a list can do about it: a plan's own tables it has none."""
    if error.message.startswith("no such container class"):
        size = f"{text.strip('#')} gal true" if text.strip("#").isdigit() else "15 L"
        error.hint = (
            f"{error.hint.partition(';')[0]}; `--means '{shown(said)}={size}'` says another"
        )
        return error
    nowhere = error.code == "unknown-container" and "[containers]" in error.hint
    if error.code in _NO_SIZE or nowhere:
        return TextError(
            f"unknown container: `{shown(said)}`",
            code="unknown-container",
            hint="one pot belongs here, as `#3`, `12 in pot`, `4 in square pot`, `72-cell tray`, "
            f"`5 gal bag`, `C10` or `15 L`; `--means '{shown(said)}=15 L'` reads this text as one",
        )
    if error.code == "ambiguous-container":
        error.hint += _for_all(key, text, unit)
    return error


def _for_all(key: str, text: str, unit: str) -> str:
    if _GALLONS.fullmatch(text):
        return "; for the whole list `--gallons class` or `--gallons true`"
    way = f'; for the whole column `--heading "...={key} ({unit} pot)"`'.replace("( ", "(")
    return way if _WIDTH.fullmatch(text) else ""


def _gallons(text: str, readings: Readings) -> str:
    """Return `7g` and the like as the gallons that the list's owner means."""
    found = _GALLONS.fullmatch(text)
    if found is None:
        return text
    number = found[1].strip()
    if readings.gallons == "class" or found[2] or found[3]:
        return f"#{number}"
    return f"{number} gal true" if readings.gallons == "true" else f"{number} gal"


def _size_numbers(text: str, readings: Readings) -> str:
    """Return a size with a decimal point; `1.000 L` has two readings until that is settled."""
    found = re.match(r"(?:[cp] ?)?([0-9]{1,3}[.,][0-9]{3})(?![0-9])", text, re.IGNORECASE)
    if found:
        number = plain_number(found[1], readings)
        return text[: found.start(1)] + f"{float(number):g}" + text[found.end(1) :]
    return DECIMAL_COMMA.sub(r"\1.\2", text)


_NUMBER_AS_SIZE = 0.6
"""How well a bare number fits where a container belongs: it lacks its unit."""


def may_be_pot(cell: Cell, unit: str) -> float:
    """Return how well a cell may say a pot, 0 to 1."""
    try:
        read_pot("to", cell, unit, Readings())
    except TextError as error:
        if error.code == "missing-unit":
            return _NUMBER_AS_SIZE
        return error.code in _STILL_SIZES
    return 1.0


def may_be_steps(text: str, unit: str) -> float:
    """Return how well a text may say one pot after the other, 0 to 1."""
    pots = _ARROW.split(text)
    return min(may_be_pot(pot, unit) for pot in pots) if len(pots) > 1 else 0.0
