"""A user's number, read exactly: `2`, `2.5`, `.5`, `3/4`, `1 1/2`, `1-1/2`, `1½`.

What could be read in two ways (`1,5`, `1,000`, `1 000`, `1e3`) is refused with a hint.
"""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction

from rootroom.problems import TextError
from rootroom.visible import visible

MOST_CHARACTERS = 200
"""Characters of a figure with its unit; exact fractions of longer ones would take long."""
_MOST = 10**12  # more of anything, in any unit, than a garden holds
_SIGNS = "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅐⅛⅜⅝⅞⅑⅒"

NUMBER = (
    r"(?:[0-9]+ +[0-9]+ ?/ ?[0-9]+"  # 1 1/2
    r"|[0-9]+-[0-9]+/[0-9]+"  # 1-1/2
    r"|[0-9]+ ?/ ?[0-9]+"  # 3/4
    rf"|[0-9]+[ -]?[{_SIGNS}]"  # 1½
    rf"|[{_SIGNS}]"
    r"|[0-9]+(?:\.[0-9]*)?"
    r"|\.[0-9]+)"
)
_NUMBER_START = re.compile(NUMBER)
_NUMBER_PARTS = re.compile(
    rf"(?:(?P<whole>[0-9]+)[ -]+)?(?P<over>[0-9]+) ?/ ?(?P<under>[0-9]+)"
    rf"|(?P<whole2>[0-9]+)?[ -]?(?P<sign>[{_SIGNS}])"
)

_SAME = str.maketrans(
    {
        "\u00a0": " ", "\u2007": " ", "\u2009": " ", "\u202f": " ",
        "⁄": "/", "∕": "/",
        "“": '"', "”": '"', "„": '"', "″": '"',
        "‘": "'", "’": "'", "′": "'", "´": "'",
        "−": "-", "–": "-", "‑": "-",
        "²": "^2", "³": "^3",
    }
)  # fmt: skip


def quote(text: str) -> str:
    """Return `text` in backticks, cut to fit a line, with nothing in it that moves a cursor."""
    return f"`{visible(text, 60)}`"


def tidy(text: str, what: str) -> str:
    """Return `text` with one sign for each meaning (spaces, slashes, inch and foot marks).

    `what` is the name of the thing for the messages. Raises TextError for a text that is empty,
    too long, or holds control characters or marks that change the direction of writing.
    """
    if len(text) > MOST_CHARACTERS:
        raise TextError(
            f"{what} is longer than {MOST_CHARACTERS} characters ({len(text)}): {quote(text)}",
            code="text-too-long",
        )
    plain = text.translate(_SAME)
    if not plain.isprintable():
        raise TextError(
            f"{what} holds a character that cannot be seen: {quote(text)}",
            code="hidden-character",
            hint="type the text anew rather than pasting it",
        )
    plain = " ".join(plain.replace("''", '"').split(" ")).strip()
    plain = re.sub(" +", " ", plain)
    if not plain:
        raise TextError(f"{what} is empty: {quote(text)}", code="empty-text")
    return plain


def read_number(text: str, what: str = "number") -> Fraction:
    """Return the number that `text` is, exactly; zero or more.

    Raises TextError for anything else, with a hint for what is often meant.
    """
    plain = tidy(text, what)
    number, rest = leading_number(plain, text, what)
    if rest:
        raise TextError(
            f"{what} is a plain number: {quote(text)}",
            code="bad-number",
            hint=f"leave out {quote(rest)}",
        )
    return number


def leading_number(plain: str, text: str, what: str) -> tuple[Fraction, str]:
    """Return the number that the tidied text `plain` starts with, and the rest, stripped.

    `text` is what the user wrote, for the messages. The rest is empty or starts with something
    that may be a unit.
    """
    found = _NUMBER_START.match(plain)
    if found is None:
        raise _no_number(plain, text, what)
    rest = plain[found.end() :].strip()
    _refuse_second_half(found.group(), rest, text, what)
    number = _value(found.group(), text, what)
    if number > _MOST:
        raise TextError(
            f"{what} is too large (at most {_MOST:.0e}): {quote(text)}", code="number-too-large"
        )
    return number, rest


def _value(digits: str, text: str, what: str) -> Fraction:
    parts = _NUMBER_PARTS.fullmatch(digits)
    if parts is None:
        return Fraction(digits)
    if parts["sign"]:
        nearest = Fraction(unicodedata.numeric(parts["sign"])).limit_denominator(10)
        return int(parts["whole2"] or 0) + nearest
    over, under = int(parts["over"]), int(parts["under"])
    if under == 0:
        raise TextError(f"{what} divides by zero: {quote(text)}", code="bad-number")
    if parts["whole"] and over >= under:
        raise TextError(
            f"{what} is a mixed number whose fraction is not below one: {quote(text)}",
            code="bad-number",
            hint="write it as `1 1/2`",
        )
    return int(parts["whole"] or 0) + Fraction(over, under)


def _no_number(plain: str, text: str, what: str) -> TextError:
    if plain[0] == "-" and _NUMBER_START.match(plain[1:].lstrip()):
        return TextError(f"{what} is negative: {quote(text)}", code="negative-number")
    if re.match(r"[+-]?(inf|nan)", plain, re.IGNORECASE):
        return TextError(f"{what} is not a finite number: {quote(text)}", code="not-finite")
    hint = "write numbers as `2`, `2.5`, `3/4` or `1 1/2`"
    if what == "volume" and plain.isalpha():
        hint = "write how much it holds, a number and a unit: `5 gal` or `20 L`"
    return TextError(
        f"{what} does not start with a number: {quote(text)}", code="bad-number", hint=hint
    )


def _refuse_second_half(digits: str, rest: str, text: str, what: str) -> None:
    comma = re.match(r"([,'][0-9]{3})+(?![0-9,])|,[0-9]+", rest)
    if comma is not None:
        whole, over = re.sub(r"[^0-9]", "", digits), re.sub(r"[^0-9]", "", comma.group())
        point = f"`{digits}.{over}`"
        thousands = f"`{whole}{over}` for thousands, " if comma.group(1) else ""
        raise TextError(
            f"{what} has a comma in its number: {quote(text)}",
            code="comma-in-number",
            hint=f"write {thousands}{point} with a decimal point"
            if digits.isdigit()
            else "write decimals with a point, thousands without a sign",
        )
    if re.match(r"[0-9]", rest):
        raise TextError(
            f"{what} has a space in its number: {quote(text)}",
            code="bad-number",
            hint="write `1000` in one piece, a mixed number as `1 1/2`",
        )
    if re.match(r"[eE][+-]?[0-9]", rest):
        raise TextError(
            f"{what} has an exponent in its number: {quote(text)}",
            code="bad-number",
            hint="write the number in full, as `1500`",
        )
    if re.match(r"-? ?[0-9]|-+ |(to|or) ?[0-9]", rest):
        raise TextError(
            f"{what} is one number, not a range: {quote(text)}",
            code="bad-number",
            hint="write the value that you plan on",
        )
    if rest and not (rest[0].isalpha() or rest[0] in "\"'%#"):
        raise TextError(
            f"{what} has a number that cannot be read: {quote(text)}",
            code="bad-number",
            hint="write numbers as `2`, `2.5`, `3/4` or `1 1/2`",
        )
