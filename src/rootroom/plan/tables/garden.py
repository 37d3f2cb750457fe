"""The tables [garden], [factors] and [buying]."""

from __future__ import annotations

import re
from typing import Any, Literal, NewType

from attrs import frozen

from rootroom.catalogue.ingredients import factor
from rootroom.catalogue.spread import Spread
from rootroom.plan.diagnostics import Findings
from rootroom.plan.measures import Factor, Share, ShareSpread
from rootroom.plan.model import Factors, Garden
from rootroom.plan.structure import structure
from rootroom.plan.values import READERS, Day, Name, Text, choice

Units = NewType("Units", str)
READERS[Units] = choice(
    "us", "metric", hint="`us` shows inches and US gallons, `metric` centimetres and litres"
)


@frozen(eq=False, repr=False)
class GardenTable:
    """The table [garden] as written."""

    name: Name | None = None
    units: Units | None = None
    currency: Text | None = None
    zone: Text | None = None
    last_frost: Day | None = None
    first_frost: Day | None = None


@frozen(eq=False, repr=False)
class FactorsTable:
    """The table [factors] as written."""

    packing: Factor | None = None
    spill: ShareSpread | None = None
    ball: Factor | None = None
    settles: ShareSpread | None = None


@frozen(eq=False, repr=False)
class BuyingTable:
    """The table [buying] as written."""

    sure: Share | None = None


def read_garden(data: dict[str, Any], file: str, findings: Findings) -> Garden:
    """Return the garden; its name is the file's unless given."""
    table = structure(GardenTable, data.get("garden"), ("garden",), findings)
    currency = None if table.currency is None else _currency(table.currency, findings)
    system: Literal["us", "metric"]
    if table.units is not None:
        system = "us" if table.units == "us" else "metric"
    else:
        system = "us" if currency in (None, "USD") else "metric"
    if table.zone is not None:
        _check_zone(table.zone, findings)
    return Garden(
        name=table.name or file.removesuffix(".toml"),
        system=system,
        currency=currency or ("USD" if system == "us" else "EUR"),
        zone=table.zone,
        last_frost=table.last_frost,
        first_frost=table.first_frost,
    )


def _currency(code: str, findings: Findings) -> str | None:
    if re.fullmatch("[A-Z]{3}", code):
        return code
    findings.error(
        ("garden", "currency"),
        "bad-currency",
        f"a currency is a code of three capitals: `{code}`",
        hint="write it as `USD`, `EUR` or `GBP`",
    )
    return None


NO_ZONES = frozenset(("Factory", "localtime"))
"""What stands in the data base for a place that is not known."""


def _check_zone(zone: str, findings: Findings) -> None:
    from zoneinfo import ZoneInfo

    try:
        # Files beside the data base are no zones either.
        if zone.startswith(("posix", "right")) or zone in NO_ZONES:
            raise ValueError(zone)
        ZoneInfo(zone)
    except (KeyError, ValueError, OSError):
        from zoneinfo import available_timezones

        from rootroom.plan.names import suggest

        findings.error(
            ("garden", "zone"),
            "unknown-zone",
            f"unknown time zone: `{zone}`",
            hint=suggest(
                zone, sorted(available_timezones() - NO_ZONES), "write it as `America/New_York`"
            ),
        )


def read_factors(data: dict[str, Any], findings: Findings) -> Factors:
    """Return the season's factors: the plan's own in place of the shipped ones."""
    table = structure(FactorsTable, data.get("factors"), ("factors",), findings)
    if table.packing is not None and not 0.5 <= table.packing.low <= table.packing.high <= 3:
        _impossible("packing", table.packing, "0.5 to 3", findings)
    if table.ball is not None and not 0 < table.ball.low <= table.ball.high <= 1:
        _impossible("ball", table.ball, "above 0 to 1", findings)

    def own(name: str, given: Spread | None) -> Spread:
        return factor(name) if given is None or findings.seen(("factors", name)) else given

    return Factors(
        packing=own("packing", table.packing),
        spill=own("spill", table.spill),
        ball=own("ball", table.ball),
        settles=own("settles", table.settles),
    )


def _impossible(name: str, given: Spread, limits: str, findings: Findings) -> None:
    values = " to ".join(f"{value:g}" for value in sorted({given.low, given.high}))
    findings.error(("factors", name), "bad-factor", f"`{name}` lies from {limits}: `{values}`")


def sure_hint(share: float) -> str:
    """Return what to write in place of 0 or 1 [share], which say nothing of a season."""
    if share <= 0:
        return "enough in no season is no shopping; `50 %` is enough in one season of two"
    return "nothing is enough in every season; `99 %` is the highest that helps"


def read_sure(data: dict[str, Any], findings: Findings) -> float:
    """Return how often the whole shopping should be enough [share]."""
    table = structure(BuyingTable, data.get("buying"), ("buying",), findings)
    if table.sure is None:
        return 0.9
    if not 0 < table.sure < 1:
        findings.error(
            ("buying", "sure"),
            "bad-share",
            f"`sure` lies above 0 and below 100 %: `{table.sure:.0%}`",
            hint=sure_hint(table.sure),
        )
    return table.sure
