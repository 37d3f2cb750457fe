"""Slips inside one key or value: quotes, commas in numbers, dates, money, hidden characters."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Sequence

from rootroom.plan.dates import date_readings
from rootroom.plan.names import HOMES, NUMBER_WORDS, shown
from rootroom.plan.toml.mending import Edit, Mend, Slip

_DOUBLE = "“”„‟«»″"
_SINGLE = "‘’‚‛`´′"
_CURLY = re.compile(
    rf'[{_DOUBLE}]([^{_DOUBLE}"\n]*)[{_DOUBLE}"]|[{_SINGLE}]([^{_SINGLE}\'\n]*)[{_SINGLE}\']'
)
_COMMA = re.compile(r"(?<![\w.,\"'])([0-9]+),([0-9]+)(?![\w.])")
_DATE = re.compile(r"(?<![\w./-])([0-9]{1,4})([/.-])([0-9]{1,2})\2([0-9]{1,4})(?![\w/])")
_MONEY = re.compile(
    r"(?:[$€£¥]|\b(?:USD|EUR|GBP)\b) ?([0-9]+(?:[.,][0-9]+)?)"
    r"|([0-9]+(?:[.,][0-9]+)?) ?(?:[$€£¥]|(?:USD|EUR|GBP|dollars?|euros?)\b)"
)
_INCH = re.compile(r"\"([0-9][0-9 ./½¼¾]*)\"(?:\"|( ?[A-Za-z][^\"\n=,]*)\")")
_CLOCK = re.compile(r"(?<![\w:])([0-9]{1,2}):([0-9]{2})(?![\w:])")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")


def quoted(text: str) -> str:
    """Return a text in TOML's quotes."""
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def curly_quotes(slip: Slip) -> Mend | None:
    """`name = “Fig”`: quotes as a word processor bends them."""
    match = _CURLY.match(slip.text, slip.at)
    if match is not None:
        right = quoted(match[1] if match[1] is not None else match[2])
        edits = [Edit(match.start(), match.end(), right)]
        place = match.span()
    else:
        start = slip.line[0]
        bent = [start + i for i, c in enumerate(slip.line_text) if c in _DOUBLE]
        if not bent:
            return None
        edits = [Edit(offset, offset + 1, '"') for offset in bent]
        place, right = (bent[0], bent[0] + 1), '"'
        if (slip.line_text.count('"') + len(bent)) % 2:
            edits = []
    return Mend(
        *place,
        "curly-quotes",
        f"curly quotes: `{shown(slip.text[slice(*place)])}`",
        f"write straight quotes: `{right}`; a word processor bends them, a plain editor does not",
        edits,
    )


def hidden_space(slip: Slip) -> Mend | None:
    """A no-break space, a zero-width one, or a control character."""
    if slip.at >= len(slip.text):
        return None
    character = slip.text[slip.at]
    if character in " \t\n" or not (
        character.isspace() or unicodedata.category(character) in ("Cf", "Cc")
    ):
        return None
    return Mend.put(
        (slip.at, slip.at + 1),
        "hidden-character",
        f"a character that cannot be seen: `\\u{ord(character):04x}`",
        " ",
        "type this line anew rather than pasting it",
    )


def inch_mark(slip: Slip) -> Mend | None:
    """`now = "12" pot"`: an inch mark that ends the text."""
    start, end = slip.line
    for match in _INCH.finditer(slip.text, start, end):
        if match.start() < slip.at <= match.end():
            right = quoted(f"{match[1].strip()} in{match[2] or ''}")
            return Mend(
                match.start(),
                match.end(),
                "inch-mark",
                f"an inch mark ends the text: `{shown(match[0])}`",
                f"write `{right}`",
                [Edit(match.start(), match.end(), right)],
            )
    return None


def decimal_comma(slip: Slip) -> Mend | None:
    """`price = 8,99`: a comma where TOML wants a point."""
    match = _around(_COMMA, slip)
    if match is None or slip.stop.inner == "[":
        return None
    whole, part = match[1], match[2]
    thousands = len(part) == 3 and whole != "0"
    right = whole + part if thousands else f"{whole}.{part}"
    hint = f"write `{whole}.{part}`"
    if thousands:
        hint = f"write `{right}`, without a mark for thousands, or `{whole}.{part}`"
    return Mend.put(
        match.span(), "comma-in-number", f"a comma in a number: `{match[0]}`", right, hint
    )


def other_date(slip: Slip) -> Mend | None:
    """`4/24/2027`, `24.4.2027`, `2027-4-24`, `2027-02-30`."""
    match = _around(_DATE, slip)
    if match is None:
        return None
    first, second, third = match[1], match[3], match[4]
    text = match[0]
    readings = [day.isoformat() for day in date_readings(text)]
    if text in readings:
        return None
    if not readings:
        swapped = len(first) == 4 and int(second) > 12 >= int(third) > 0 and int(second) <= 28
        clamped = f"{first}-{int(third):02d}-{int(second):02d}" if swapped else ""
        clamped = clamped or _clamped(first, second, third)
        return Mend.put(
            match.span(),
            "bad-date",
            f"no such date: `{text}`",
            clamped,
            f"write a date as year-month-day: `{clamped if swapped else '2027-04-24'}`",
        )
    hint = "write " + " or ".join(f"`{day}`" for day in readings) + ": year-month-day, no quotes"
    return Mend.put(
        match.span(), "date-order", f"a date is year-month-day: `{text}`", readings[0], hint
    )


def _clamped(first: str, second: str, third: str) -> str:
    year = next((part for part in (first, third) if len(part) == 4), "2027")
    month = min(max(int(second), 1), 12)
    return f"{year}-{month:02d}-28"


def money_sign(slip: Slip) -> Mend | None:
    """`price = $8.99`: a price is a bare number."""
    match = _around(_MONEY, slip)
    if match is None:
        return None
    number = (match[1] or match[2]).replace(",", ".")
    return Mend.put(
        match.span(),
        "price-with-sign",
        f"a price is a plain number: `{match[0]}`",
        number,
        f"write `{number}`; the currency stands once, under `[garden]`",
    )


def _around(pattern: re.Pattern[str], slip: Slip) -> re.Match[str] | None:
    """Return the match on the line that the reader stopped in or just behind, if it is a value."""
    start, end = slip.line
    start = max(start, slip.at - 40)
    for match in pattern.finditer(slip.text, start, min(end, slip.at + 40)):
        before = slip.text[max(0, match.start() - 20) : match.start()].rstrip()
        if not before.endswith(("=", "[", ",")):
            continue
        between = slip.text[match.end() : slip.at]
        if match.start() <= slip.at and not between.strip(" "):
            return match
    return None


def key_without_quotes(slip: Slip) -> Mend | None:
    """`pine bark = 5`, `name: "Fig"`: a key of several words, or a colon for the equals sign."""
    scene, text = slip.stop, slip.text
    if scene.equals is not None or scene.inner == "[":
        return None
    start = scene.begin
    start += len(text[start:]) - len(text[start:].lstrip(" \t\n"))
    end = line_end(text, start)
    equals = text.find("=", start, end)
    colon = re.compile(r"\s*(\"[^\"\n]*\"|[A-Za-z0-9_-]+)\s*:(?=\s)").match(text, start, end)
    if colon is not None:
        at = colon.end() - 1
        return Mend.put(
            (at, at + 1),
            "colon-for-equals",
            f"a colon where `=` belongs: `{shown(colon[0].strip())}`",
            " =",
            f"write `{colon[1]} = ...`",
        )
    if equals < 0 or text[start:end].lstrip().startswith("["):
        return None
    key = text[start:equals].strip()
    if not key or any(c in key for c in "\"'[]{},#\n"):
        return None
    if _BARE_KEY.fullmatch(key):
        return None
    stop = start + len(text[start:equals].rstrip())
    one_word = "_".join(key.split())
    if one_word in HOMES:
        return Mend.put(
            (start, stop),
            "key-without-quotes",
            f"a key is one word: `{shown(key)}`",
            one_word,
            f"write `{one_word} = ...`",
        )
    return Mend.put(
        (start, stop),
        "key-without-quotes",
        f"a name that is not one plain word needs quotes: `{shown(key)}`",
        quoted(key),
        f"write `{quoted(key)} = ...`",
    )


def line_end(text: str, at: int) -> int:
    """Return where the line of an offset ends."""
    end = text.find("\n", at)
    return len(text) if end < 0 else end


_VALUE_RUN = re.compile(r"[^,\]}\n#\"=]+|#[^,\]}\n\"=]*")


def text_without_quotes(slip: Slip) -> Mend | None:
    """`now = half barrel`, `pack = 5 kg`, `days = [sat, sun]`, `now = #1`."""
    scene, text = slip.stop, slip.text
    start = (
        scene.equals if scene.equals is not None else scene.begin if scene.inner == "[" else None
    )
    if start is None:
        return None
    start += len(text[start:]) - len(text[start:].lstrip(" \t"))
    match = _VALUE_RUN.match(text, start)
    if match is None or slip.at < start:
        return None
    value = match[0].rstrip()
    end = start + len(value)
    if text[match.end() : match.end() + 1] == "=" or not value or slip.at > end + 1:
        return None
    if text[end : end + 1] == '"':
        inch = re.fullmatch(r"[0-9][0-9 ./½¼¾]*", value)
        if inch is None:
            return None
        right, end = quoted(f"{value.strip()} in"), end + 1
    elif re.fullmatch(r"[0-9.+-]+|true|false", value):
        return None
    else:
        right = quoted(value)
    flag = {"yes": "true", "no": "false", "true": "true", "false": "false"}.get(value.casefold())
    if flag is not None:
        right = flag
    digits = NUMBER_WORDS.get(value.casefold())
    if digits is not None and scene.inner != "[":
        return Mend.put(
            (start, end),
            "text-without-quotes",
            f"a number stands in digits: `{value}`",
            str(digits),
            f"write `{digits}`, without quotes",
        )
    return Mend.put(
        (start, end),
        "text-without-quotes",
        f"a text needs quotes: `{shown(text[start:end])}`"
        if flag is None
        else f"`true` or `false`, in small letters: `{value}`",
        right,
    )


def time_of_day(slip: Slip) -> Mend | None:
    """`start = 9:00`: TOML's own times need seconds, so ours stand in quotes."""
    match = _around(_CLOCK, slip)
    if match is None:
        return None
    right = quoted(f"{int(match[1]):02d}:{match[2]}")
    return Mend.put(
        match.span(), "text-without-quotes", f"a time of day needs quotes: `{match[0]}`", right
    )


def leading_zero(slip: Slip) -> Mend | None:
    """`count = 08`."""
    start = slip.stop.equals
    if start is None:
        return None
    match = re.compile(r"[ \t]*(0+([0-9]+))").match(slip.text, start)
    if match is None or not match.start(1) <= slip.at <= match.end():
        return None
    return Mend.put(
        match.span(1), "leading-zero", f"a number with a zero in front: `{match[1]}`", match[2]
    )


def backslash(slip: Slip) -> Mend | None:
    r"""`"C:\pots"`: a backslash inside double quotes."""
    at = slip.at
    if slip.text[at : at + 1] != "\\":
        return None
    return Mend.put(
        (at, at + 1),
        "backslash",
        "a backslash in a text",
        "\\\\",
        "write it twice, `\\\\`, or put the text in single quotes",
    )


VALUE_RULES: Sequence[Callable[[Slip], Mend | None]] = (
    curly_quotes,
    hidden_space,
    inch_mark,
    decimal_comma,
    other_date,
    money_sign,
    time_of_day,
    leading_zero,
    backslash,
)
