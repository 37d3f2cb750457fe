"""Slips of form: brackets, commas between things, headers, keys and tables given twice."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence

from rootroom.plan.names import shown
from rootroom.plan.toml.mending import Edit, Mend, Slip
from rootroom.plan.toml.mending_values import key_without_quotes, quoted, text_without_quotes

_CLOSE = {"[": "]", "{": "}"}
_STARTS_VALUE = re.compile(r"[\"'{\[0-9]|true\b|false\b")
_STARTS_PAIR = re.compile(r"(?:\"[^\"\n]*\"|'[^'\n]*'|[\w-]+)\s*=")


def unclosed_list(slip: Slip) -> Mend | None:
    """`plants = [` whose closing bracket is missing before the next header."""
    at_end = slip.at >= len(slip.text.rstrip())
    header = re.fullmatch(r"\s*\[\[?[A-Za-z][^\]\n=,{]*\]\]?\s*(#.*)?", slip.line_text)
    opened = slip.stop.open if at_end else slip.open_above
    if not opened or (header is None and not at_end):
        return None
    place = opened[0][1]
    closing = "".join(_CLOSE[bracket] for bracket, _ in reversed(opened))
    stop = slip.at if at_end else slip.line[0]
    last = max((end for _, _, end in tokens(slip.text, place) if end <= stop), default=place + 1)
    kind = "a list" if opened[0][0] == "[" else "a table in braces"
    return Mend(
        place,
        place + 1,
        "unclosed",
        f"{kind} that is not closed",
        f"write `{closing}` where it ends",
        [Edit(last, last, closing)],
    )


_TOKEN = re.compile(
    r'"""[\s\S]*?"""|\'\'\'[\s\S]*?\'\'\'|"[^"\\\n]*(?:\\.[^"\\\n]*)*"|\'[^\'\n]*\''
    r"|(?P<blank>#[^\n]*|\n)|[\[\]{},=]|[^\s\[\]{},=#\"\']+|[\"\']"
)


def tokens(text: str, start: int, *, blank: bool = False) -> Iterator[tuple[str, int, int]]:
    """Yield text, start and end of tokens; comments and line ends, as nothing, if `blank`."""
    for match in _TOKEN.finditer(text, start):
        if match["blank"] is None:
            yield match[0], *match.span()
        elif blank:
            yield "", *match.span()


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
    if slip.stop.inner != "{" or _before(slip) == "=":
        return None
    if slip.text[slip.at : slip.at + 1] not in ("\n", "#"):
        return None
    start = slip.stop.open[-1][1]
    stack: list[str] = []
    edits: list[Edit] = []
    comma: int | None = None
    for token, begin, end in tokens(slip.text, start, blank=True):
        if not token:
            if stack[-1] == "{":
                edits.append(Edit(begin, end, " "))
            continue
        if token in ("{", "["):
            stack.append(token)
        elif token in ("}", "]"):
            if token == "}" and comma is not None:
                edits.append(Edit(comma, comma + 1, " "))
            stack.pop()
        comma = begin if token == "," else None
        if not stack:
            break
    else:
        return None
    return Mend(
        start,
        start + 1,
        "table-over-lines",
        "a table in braces over several lines",
        "write `{ ... }` on one line; only a list in `[ ]` may take several. "
        "Or write each thing as its own `[[...]]` table, a key a line",
        edits,
    )


def _before(slip: Slip) -> str:
    """Return the last thing before a slip, nothing at the beginning of a line."""
    return "" if slip.stop.before is None else slip.text[slice(*slip.stop.before)]


def commas(slip: Slip) -> Mend | None:
    """`{ of = "peat", }`, `[ "sat",, "sun" ]`, `[ { ... } { ... } ]`, `{ of = "x" price = 5 }`."""
    before, stop, sign = _before(slip), slip.stop, slip.text[slip.at : slip.at + 1]
    if stop.before is None:
        return None
    start, end = stop.before
    if sign == "}" and before == ",":
        hint = "leave it out: `{ key = value, key = value }`"
        words, code = "a comma before the closing brace", "comma-before-brace"
        return Mend(start, end, code, words, hint, [Edit(start, end, " ")])
    if sign == "," and before in (",", "[", "{"):
        start, end = slip.at, slip.at + 1
        edits = [Edit(start, end, " ")]
        return Mend(start, end, "comma-too-many", "a comma too many", "leave it out", edits)
    if not stop.open or before in ("[", "{", ",", "="):
        return None
    rest = _STARTS_PAIR if stop.inner == "{" else _STARTS_VALUE
    if rest.match(slip.text, slip.at) is None:
        return None
    things = "keys" if stop.inner == "{" else "things of a list"
    return Mend(
        end,
        end + 1,
        "missing-comma",
        f"a comma is missing after: `{shown(before if before[-1] not in ']}' else before[-1])}`",
        f"{things} stand with a comma between",
        [Edit(end, end, ",")],
    )


def missing_newline(slip: Slip) -> Mend | None:
    """`count = 5 now = "#1"`: two keys on one line."""
    if slip.stop.open or slip.stop.equals is None:
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
    if not line.lstrip().startswith("[") or slip.open_above:
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
    if slip.stop.inner == "{":
        pair = slip.text[slip.stop.begin : slip.at]
        return Mend(
            slip.stop.begin + len(pair) - len(pair.lstrip()),
            slip.at,
            "key-twice",
            f"a key given twice: `{shown(pair.strip())}`",
            "leave one of them out",
            [Edit(max(slip.stop.begin - 1, 0), slip.at, "")],
        )
    if line.lstrip().startswith("["):
        return _header_twice(slip)
    # The place that the reader names lies behind the value, which may be a list of many lines.
    begin = slip.stop.begin if not slip.stop.open else start
    text = slip.text[begin : slip.at]
    lead = begin + len(text) - len(text.lstrip())
    return Mend.put(
        (lead, slip.at),
        "key-twice",
        f"a key given twice: `{shown(text.strip())}`",
        "",
        "leave one of them out",
    )


def _header_twice(slip: Slip) -> Mend:
    """A header that is there already, as a table or as a list of rows."""
    start, end = slip.line
    line = slip.text[start:end]
    lead = start + len(line) - len(line.lstrip())
    name, before = line.strip().strip("[] "), slip.text[:start]
    listed = re.search(rf"^[ \t]*{re.escape(name)}[ \t]*=[ \t]*\[", before, re.MULTILINE)
    if listed is not None:
        return Mend(
            lead,
            end,
            "table-twice",
            f"a header of a list that is there already: `{shown(line.strip())}`",
            f"write it as one more row of that list: `{name} = [ ..., {{ name = ... }} ]`",
            (),
            ((listed.start(), "the list is here"),),
        )
    first = re.search(rf"^[ \t]*\[{re.escape(name)}\]", before, re.MULTILINE)
    return Mend(
        lead,
        end,
        "table-twice",
        f"a header given twice: `{shown(line.strip())}`",
        "put the keys under the first one",
        (),
        ((first.start(), "the first is here"),) if first else (),
    )


TWICE_RULES: Sequence[Callable[[Slip], Mend | None]] = (list_and_tables, twice)
SHAPE_RULES: Sequence[Callable[[Slip], Mend | None]] = (
    unclosed_list,
    bad_header,
    key_without_quotes,
    text_without_quotes,
    open_quote,
    table_over_lines,
    commas,
    missing_newline,
)
