"""The table [minutes]: the plan's own minutes, by container, by kind of work, or by both."""

from __future__ import annotations

from typing import Any

from rootroom.catalogue.minutes import minutes_rows
from rootroom.catalogue.spread import Spread
from rootroom.plan.context import Context
from rootroom.plan.diagnostics import Path
from rootroom.plan.measures import read_minutes_spread
from rootroom.plan.names import suggest
from rootroom.problems import TextError


def read_own_minutes(data: dict[str, Any], context: Context) -> dict[str, Spread]:
    """Return minutes by the container's text, the kind of work, or kind and container.

    A container is written in its one spelling: `refresh half barrel`, `#5`.
    """
    raw = data.get("minutes", {})
    if not isinstance(raw, dict):
        context.findings.error(
            ("minutes",),
            "wrong-kind",
            "`minutes` holds numbers by container or kind of work",
            hint='write `"#5" = 8` under `[minutes]`',
        )
        return {}
    own = {}
    for key, value in raw.items():
        path: Path = ("minutes", key)
        name = _name(key, path, context)
        try:
            spread = read_minutes_spread(value)
        except TextError as error:
            context.findings.refuse(path, error)
            continue
        if name is not None:
            own[name] = spread
    return own


def _name(key: str, path: Path, context: Context) -> str | None:
    """Return the key in its one spelling; an unknown one is noted."""
    kinds = sorted(minutes_rows(), key=len, reverse=True)
    if key in kinds:
        return key
    kind = next((each for each in kinds if key.startswith(f"{each} ")), "")
    text = key.removeprefix(f"{kind} ")
    try:
        container = context.try_container(text)
    except TextError as error:
        otherwise = "a container as above, or one of " + ", ".join(f"`{each}`" for each in kinds)
        hint = suggest(key, kinds) or (suggest(text, ()) if kind else "") or otherwise
        code = "unknown-work" if error.code == "unknown-container" else error.code
        message = f"neither a container nor a kind of work: `{key}`"
        context.findings.error(
            path, code, message if code == "unknown-work" else error.message, hint=hint, key=True
        )
        return None
    if container is None:
        return None
    return f"{kind} {container.text}" if kind else container.text
