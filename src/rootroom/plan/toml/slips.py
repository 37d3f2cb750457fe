"""Which rule knows a slip; loaded only for a text that has one."""

from __future__ import annotations

from rootroom.plan.names import shown
from rootroom.plan.toml.mending import Edit, Mend, Slip
from rootroom.plan.toml.mending_shape import SHAPE_RULES, TWICE_RULES
from rootroom.plan.toml.mending_values import VALUE_RULES
from rootroom.plan.toml.spans import Stop


def find_mend(text: str, stop: Stop) -> Mend:
    """Return what is wrong where a text stops being TOML, for gardeners, and how to read on."""
    slip = Slip(text, stop)
    # What is given twice is well written: no rule about writing has a say there.
    for rule in TWICE_RULES if stop.twice else (*VALUE_RULES, *SHAPE_RULES):
        mend = rule(slip)
        if mend is not None:
            return mend
    return _unknown(slip)


def _unknown(slip: Slip) -> Mend:
    start, end = slip.line
    message, rest = slip.stop.words, slip.rest.strip()
    if rest:
        message += f": `{shown(rest)}`"
    edits = [Edit(start, end, "")] if not slip.open_above and slip.line_text.strip() else []
    return Mend(
        slip.at,
        min(slip.at + max(len(rest), 1), end),
        "not-toml",
        message,
        "a line is `key = value`; texts stand in quotes, lists in `[ ]`, comments after `#`",
        edits,
        lossy=True,
    )
