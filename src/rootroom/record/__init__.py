"""What was really done: a record beside the plan that is only ever added to, and its replay."""

from __future__ import annotations

import os
from pathlib import Path


def record_path(plan: str | os.PathLike[str]) -> Path:
    """Return where the record of a plan file lies: beside it, `spring.record.jsonl`."""
    return Path(plan).with_suffix(".record.jsonl")
