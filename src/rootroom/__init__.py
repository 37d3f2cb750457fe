"""Plan a season of up-potting.

Public names are loaded when first used, so that importing the package costs nothing.
"""

from __future__ import annotations

# What `typing` calls so, without the time that importing it takes.
TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

_HOMES = {
    "Cone": "rootroom.containers.shapes",
    "Curve": "rootroom.pot.curve",
    "Pyramid": "rootroom.containers.shapes",
    "apply_record": "rootroom.record.apply",
    "assign_days": "rootroom.scheduling.solve",
    "blend": "rootroom.mixing.blend",
    "compare": "rootroom.comparing",
    "find_demand": "rootroom.demand.find",
    "lift": "rootroom.pot.lifting",
    "make_season": "rootroom.season",
    "read_plan": "rootroom.plan.reader",
    "read_record": "rootroom.record.file",
    "schedule": "rootroom.sessions.schedule",
    "shop": "rootroom.buying.shop",
    "water_and_air": "rootroom.pot.water",
}

__all__ = sorted(_HOMES)


def __getattr__(name: str) -> Any:
    if name == "__version__":
        from importlib.metadata import version

        return version("rootroom")
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    value = getattr(import_module(_HOMES[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *_HOMES})
