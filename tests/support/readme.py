"""The README as data: its marked blocks, and the tables that it prints from the package's files.

`python -m tests.support.readme` renders the two tables anew into the README.
"""

from __future__ import annotations

import re
import tomllib
from importlib.resources import files
from pathlib import Path

README = Path(__file__).parents[2] / "README.md"


def block(mark: str) -> str:
    """Return the fenced block behind the comment `<!-- mark -->`."""
    found = re.search(
        rf"<!-- {re.escape(mark)} -->\n```\w*\n(.*?)```", README.read_text("utf-8"), re.DOTALL
    )
    if found is None:
        raise ValueError(f"README has no block {mark!r}")
    return found[1]


def marks() -> list[str]:
    """Return the names of all marked blocks."""
    return re.findall(r"<!-- ([\w -]+) -->\n```", README.read_text("utf-8"))


def keys_table() -> str:
    """Return the table of all plan keys as Markdown."""
    lines = ["| where | key | says | without it |", "| --- | --- | --- | --- |"]
    for table in _data("keys.toml")["table"]:
        for row in table["keys"]:
            cells = (table["name"], f"`{row['key']}`", row["says"], row["default"])
            lines.append("| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |")
    return "\n".join(lines)


def codes_table() -> str:
    """Return the table of all error codes as Markdown."""
    lines = ["| code | says |", "| --- | --- |"]
    lines += [f"| `{code}` | {says} |" for code, says in _data("codes.toml")["codes"].items()]
    return "\n".join(lines)


def _data(name: str) -> dict:
    return tomllib.loads(files("rootroom.plan").joinpath("data", name).read_text("utf-8"))


def render(text: str) -> str:
    """Return a README with both tables anew between their marks."""
    for mark, table in (("keys", keys_table()), ("codes", codes_table())):
        text = re.sub(
            rf"(<!-- table: {mark} -->\n).*?(<!-- end -->)",
            lambda found, table=table: f"{found[1]}{table}\n{found[2]}",
            text,
            flags=re.DOTALL,
        )
    return text


if __name__ == "__main__":
    README.write_text(render(README.read_text("utf-8")), "utf-8")
