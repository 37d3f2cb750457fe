"""Slips of form: brackets, commas between things, headers, keys and tables given twice."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from rootroom.plan.names import shown
from rootroom.plan.toml.lexing import look, tokens
from rootroom.plan.toml.mending import Edit, Mend, Slip
from rootroom.plan.toml.mending_values import key_without_quotes, quoted, text_without_quotes

__all__ = ["SHAPE_RULES", "TWICE_RULES", "over_lines"]

_HEADER = re.compile(
    r"[ \t]*(\[\[?)[ \t]*([^\n\[\]]*?)[ \t]*(\]\]?)?[ \t]*(?:#[^\n]*)?$", re.MULTILINE
)
_CLOSE = {"[": "]", "{": "}"}
_STARTS_VALUE = re.compile(r"[\"'{\[0-9]|true\b|false\b")
_STARTS_PAIR = re.compile(r"(?:\"[^\"\n]*\"|'[^'\n]*'|[\w-]+)\s*=")


def unclosed_list(slip: Slip) -> Mend | None:
    """`plants = [` whose closing bracket is missing before the next header."""
    start, end = slip.line
    at_end = slip.at >= len(slip.text.rstrip()) and slip.words.startswith(("Unclosed", "Invalid"))
    header = re.fullmatch(r"\s*\[\[?[A-Za-z][^\]\n=,{]*\]\]?\s*(#.*)?", slip.text[start:end])
    opened = look(slip.text, start if not at_end else slip.at).open
    if not opened or (header is None and not at_end):
        return None
    place = opened[0][1]
    closing = "".join(_CLOSE[bracket] for bracket, _ in reversed(opened))
    last = max(
        (
            t.end
            for t in tokens(slip.text)
            if t.end <= (start if not at_end else slip.at) and t.kind not in ("newline", "comment")
        ),
        default=place + 1,
    )
    kind = "a list" if opened[0][0] == "[" else "a table in braces"
    return Mend(
        place,
        place + 1,
        "unclosed",
        f"{kind} that is not closed",
        f"write `{closing}` where it ends",
        [Edit(last, last, closing)],
    )


def open_quote(slip: Slip) -> Mend | None:
    """`name = "Fig`: the closing quote is missing."""
    start, end = slip.line
    line = slip.text[start:end]
    marks = [mark.start() for mark in re.finditer(r'(?<!\\)"', line)]
    if '"""' in line or len(marks) % 2 == 0:
        return None
    opening = next(
        (a for a, b in zip(marks[::2], marks[1::2], strict=False) if _KEY_INSIDE.search(line[a:b])),
        marks[-1],
    )
    stop = _text_end(line, opening)
    edits = [] if stop is None else [Edit(start + stop, start + stop, '"')]
    return Mend(
        start + opening,
        end if stop is None else start + stop,
        "open-quote",
        f"a text that is not closed: `{shown(line[opening:stop].rstrip())}`",
        'close it with `"`',
        edits,
    )


_KEY_INSIDE = re.compile(r",\s*[\w-]+\s*=")


def _text_end(line: str, opening: int) -> int | None:
    """Return where a text that begins at `opening` was meant to end, if that can be told."""
    inside = _KEY_INSIDE.search(line, opening)
    if inside is not None:
        return inside.start()
    tail = re.search(r"\s*[,}\]][\s,}\]]*$", line[opening:])
    stop = opening + tail.start() if tail else len(line.rstrip())
    return stop if stop > opening + 1 else None


def table_over_lines(slip: Slip) -> Mend | None:
    """`{ name = "Fig",` and more on the next line."""
    before = slip.scene.before
    if slip.scene.inner != "{" or (before is not None and before.text == "="):
        return None
    if slip.text[slip.at : slip.at + 1] not in ("\n", "#"):
        return None
    start = slip.scene.open[-1][1]
    stack: list[str] = []
    edits: list[Edit] = []
    comma: int | None = None
    for token in tokens(slip.text, start):
        inside = bool(stack) and stack[-1] == "{"
        if token.kind in ("newline", "comment"):
            if inside:
                edits.append(Edit(token.start, token.end, " "))
            continue
        if token.text in ("{", "["):
            stack.append(token.text)
        elif token.text in ("}", "]"):
            if token.text == "}" and comma is not None:
                edits.append(Edit(comma, comma + 1, " "))
            stack.pop()
        comma = token.start if token.text == "," else None
        if not stack:
            break
    else:
        return None
    return over_lines(start, edits)


def over_lines(start: int, edits: Sequence[Edit]) -> Mend:
    """Return the slip of a table in braces that begins at `start` and goes over several lines."""
    return Mend(
        start,
        start + 1,
        "table-over-lines",
        "a table in braces over several lines",
        "write `{ ... }` on one line; only a list in `[ ]` may take several. "
        "Or write each thing as its own `[[...]]` table, a key a line",
        edits,
    )


def last_comma(slip: Slip) -> Mend | None:
    """`{ of = "peat", }`: a comma before the closing brace."""
    before = slip.scene.before
    if slip.text[slip.at : slip.at + 1] != "}" or before is None or before.text != ",":
        return None
    return Mend(
        before.start,
        before.end,
        "comma-before-brace",
        "a comma before the closing brace",
        "leave it out: `{ key = value, key = value }`",
        [Edit(before.start, before.end, " ")],
    )


def double_comma(slip: Slip) -> Mend | None:
    """`[ "sat",, "sun" ]`: a comma too many."""
    before = slip.scene.before
    if slip.text[slip.at : slip.at + 1] != "," or before is None or before.text not in ",[{":
        return None
    return Mend(
        slip.at,
        slip.at + 1,
        "comma-too-many",
        "a comma too many",
        "leave it out",
        [Edit(slip.at, slip.at + 1, " ")],
    )


def missing_comma(slip: Slip) -> Mend | None:
    """`[ { ... } { ... } ]`, `{ of = "peat" price = 5 }`."""
    before = slip.scene.before
    if before is None or not slip.scene.open or before.text in ("[", "{", ",", "="):
        return None
    rest = _STARTS_PAIR if slip.scene.inner == "{" else _STARTS_VALUE
    if rest.match(slip.text, slip.at) is None:
        return None
    things = "keys" if slip.scene.inner == "{" else "things of a list"
    return Mend(
        before.end,
        before.end + 1,
        "missing-comma",
        f"a comma is missing after: `{shown(before.text)}`",
        f"{things} stand with a comma between",
        [Edit(before.end, before.end, ",")],
    )


def missing_newline(slip: Slip) -> Mend | None:
    """`count = 5 now = "#1"`: two keys on one line."""
    if slip.scene.open or slip.scene.equals is None:
        return None
    if _STARTS_PAIR.match(slip.text, slip.at) is None:
        return None
    return Mend(
        slip.at,
        slip.line[1],
        "two-keys-on-a-line",
        f"two keys on one line: `{shown(slip.rest.strip())}`",
        "begin a new line for each key",
        [Edit(slip.at, slip.at, "\n")],
    )


def bad_header(slip: Slip) -> Mend | None:
    """`[containers.tall fig pot]`, `[containers.#3]`, `[garden`."""
    start, end = slip.line
    line = slip.text[start:end]
    if not line.lstrip().startswith("[") or look(slip.text, start).open:
        return None
    match = re.fullmatch(r"\s*(\[\[?)\s*(.*?)\s*(\]\]?)?\s*", _without_comment(line))
    if match is None or not match[2] or "=" in match[2]:
        return None
    first, dot, name = match[2].partition(".")
    name = name.strip()
    if name and not re.fullmatch(r"[A-Za-z0-9_-]+|\"[^\"]*\"|'[^']*'", name) and '"' not in name:
        right = f"{match[1]}{first.strip()}.{quoted(name)}{match[1].replace('[', ']')}"
        message = f"a name that is not one plain word needs quotes: `{shown(name)}`"
        code = "key-without-quotes"
    elif (match[3] or "") != match[1].replace("[", "]"):
        right = f"{match[1]}{match[2]}{match[1].replace('[', ']')}"
        message, code = f"a header that is not closed: `{shown(line.strip())}`", "unclosed"
    elif not dot and re.search(r"\s", match[2]) and '"' not in match[2]:
        right = f"{match[1]}{quoted(match[2])}{match[1].replace('[', ']')}"
        message = f"a name that is not one plain word needs quotes: `{shown(match[2])}`"
        code = "key-without-quotes"
    else:
        return None
    if right == line.strip():
        return None
    lead = len(line) - len(line.lstrip())
    return Mend(
        start + lead, end, code, message, f"write `{right}`", [Edit(start + lead, end, right)]
    )


def _without_comment(line: str) -> str:
    """Return a header line without what stands behind its closing bracket."""
    closed = re.match(r"\s*\[\[?[^\]\n]*\]\]?", line)
    return closed[0] if closed else line


def list_and_tables(slip: Slip) -> Mend | None:
    """`plants = [ ... ]` and `[[plants]]` in one file."""
    start, end = slip.line
    header = re.match(r"\s*\[\[\s*(plants|supplies|beds)\s*\]\]", slip.text[start:end])
    if header is None:
        return None
    name = header[1]
    edits = [
        Edit(m.start(1), m.end(1), f'"{name}+"')
        for m in re.finditer(rf"^[ \t]*\[\[[ \t]*({name})[ \t]*\]\]", slip.text, re.MULTILINE)
    ]
    listed = re.search(rf"^[ \t]*({name})[ \t]*=", slip.text, re.MULTILINE)
    related = ((listed.start(1), "the list is here"),) if listed is not None else ()
    return Mend(
        start,
        end,
        "list-and-tables",
        f"`{name}` is written as a list and as tables",
        f"write all as `{name} = [ {{ ... }}, ]`, or all as `[[{name}]]`",
        edits,
        related,
    )


def twice(slip: Slip) -> Mend | None:
    """A key or a table that is there already."""
    start, end = slip.line
    line = slip.text[start:end]
    if slip.scene.inner == "{":
        pair = slip.text[slip.scene.begin : slip.at]
        return Mend(
            slip.scene.begin + len(pair) - len(pair.lstrip()),
            slip.at,
            "key-twice",
            f"a key given twice: `{shown(pair.strip())}`",
            "leave one of them out",
            [Edit(max(slip.scene.begin - 1, 0), slip.at, "")],
        )
    lead = start + len(line) - len(line.lstrip())
    if line.lstrip().startswith("["):
        name = line.strip().strip("[] ")
        first = re.search(rf"^[ \t]*\[{re.escape(name)}\]", slip.text[:start], re.MULTILINE)
        related = ((first.start(), "the first is here"),) if first else ()
        return Mend(
            lead,
            end,
            "table-twice",
            f"a header given twice: `{shown(line.strip())}`",
            "put the keys under the first one",
            (),
            related,
        )
    # The place that the reader names lies behind the value, which may be a list of many lines.
    begin = slip.scene.begin if not slip.scene.open else start
    text = slip.text[begin : slip.at]
    lead = begin + len(text) - len(text.lstrip())
    return Mend(
        lead,
        slip.at,
        "key-twice",
        f"a key given twice: `{shown(text.strip())}`",
        "leave one of them out",
        [Edit(lead, slip.at, "")],
    )


TWICE_RULES: Sequence[Callable[[Slip], Mend | None]] = (list_and_tables, twice)
SHAPE_RULES: Sequence[Callable[[Slip], Mend | None]] = (
    unclosed_list,
    bad_header,
    key_without_quotes,
    text_without_quotes,
    open_quote,
    table_over_lines,
    last_comma,
    double_comma,
    missing_comma,
    missing_newline,
)
