"""What a record tells about a plan's figures: its measurements, and how far they move a range.

Noted measurements count once each (a mean of several by its number). Beside them stand what the
work itself tells, each with what it takes for granted:

- shrink: scoops that went in against litres that came out;
- spill: litres spilled against litres blended on the day;
- packing: mix used on a day against the mix planned for the pots that were filled, ball and pots
  being as planned (only where no bed took of the same mix);
- minutes: what was timed; and of a day whose hours were noted, each line's planned minutes times
  the day's hours over its planned hours, counted a quarter, since nobody knows which line was slow.

How far measurements move a published range is shrinkage in closed form. A figure starts
at its published triangular range (low, likely, high) with mean m0 and variance v0. Measurements
with the weighted mean x, of n weights in all, have the variance s2 / n of their mean,
where s2 pools the usual scatter of one measurement s0 (as if `USUAL` had been seen) with what was
seen of it. Then

    w = v0 / (v0 + s2 / n),  mean = m0 + w (x - m0),  variance = v0 (1 - w),

the normal-normal estimate, whose posterior mean and variance these are (A. Gelman et al., Bayesian
Data Analysis, 3rd ed., 2013, section 2.5, from memory). One measurement as uncertain as the
published range moves the figure half way; a season of them moves it far.
The new range is the published triangle moved to the new mean and narrowed by the same share as the
standard deviation, cut off at what is physical. The interval that is stated is the 10th to 90th
percentile of the normal distribution of that mean and variance, cut off likewise, and widened since
the scatter is not known exactly: by the first term of Student's t in powers of 1 / degrees of
freedom (R. A. Fisher and E. A. Cornish, Technometrics 2(2), 1960, from memory), which here are
those of s2 over w squared, as the variance goes with s2 to the power of w.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from math import isfinite, sqrt
from typing import Any

from attrs import field, frozen

from rootroom.catalogue.spread import Spread
from rootroom.formulas import triangular
from rootroom.plan.model import Plan
from rootroom.record.events import Event, holding
from rootroom.record.posted import BED, PLANTS, session_rows, work_done
from rootroom.tolerances import DUST_L

ROUGH = 0.25
"""How much a figure that a day's hours tell counts beside one that was timed."""

Key = tuple[str, str]
"""What a figure is (packing, spill, ball, fill, shrink, swells, minutes) and of what."""

WORK = {"move": "up-pot", "refresh": "refresh", "plant out": "plant out"}
"""The kind of work of the minutes table that a line on the sheet is."""


@frozen
class Evidence:
    """One measurement: when, from which line of the record (0: several), and how it was had."""

    what: str
    of: str
    day: date
    line: int
    how: str
    measured: Measurement

    @property
    def key(self) -> Key:
        """What it is a measurement of."""
        return self.what, self.of


def find_evidence(plan: Plan, events: Iterable[Event]) -> tuple[Evidence, ...]:
    """Return all that a record tells about figures, in the order of days; `plan` is as written."""
    told = holding(events)
    days: dict[date, list[Event]] = defaultdict(list)
    for event in told:
        days[event.day].append(event)
    found: list[Evidence] = []
    for day in sorted(days):
        found += _noted(days[day])
        found += _spill(day, days[day])
        rows = session_rows(told, day)
        if rows:
            found += _packing(plan, day, days[day], rows)
            found += _pace(day, days[day], rows)
    return tuple(found)


def _noted(events: Iterable[Event]) -> Iterator[Evidence]:
    for event in events:
        data = event.data
        if event.kind == "measured":
            weight = float(data.get("times", 1))
            measured = Measurement(float(data["value"]), weight)
            yield Evidence(data["what"], data["of"], event.day, event.line, "measured", measured)
        elif event.kind == "timed" and data["count"]:
            of = _minutes_of(data["work"], data.get("container", ""))
            measured = Measurement(data["minutes"] / data["count"])
            yield Evidence("minutes", of, event.day, event.line, "timed", measured)
        elif event.kind == "blended" and len(data.get("loose_l") or {}) > 1:
            loose = sum(data["loose_l"].values())
            if loose > DUST_L:
                measured = Measurement(1 - data["l"] / loose)
                yield Evidence("shrink", data["mix"], event.day, event.line, "blended", measured)


def _spill(day: date, events: Iterable[Event]) -> Iterator[Evidence]:
    spilled = [event for event in events if event.kind == "spilled"]
    blended = sum(event.data["l"] for event in events if event.kind == "blended")
    if spilled and blended > DUST_L:
        share = sum(event.data["l"] for event in spilled) / blended
        line = spilled[0].line if len(spilled) == 1 else 0
        yield Evidence("spill", "", day, line, "spilled of what was blended", Measurement(share))


def _made(events: Iterable[Event]) -> dict[tuple[str, int], float]:
    moved = ((event.kind, event.data) for event in events if event.kind == "moved")
    return {(name, number): count for (_, name, number), count in work_done(moved).items()}


def _packing(
    plan: Plan, day: date, events: Sequence[Event], rows: Sequence[Mapping[str, Any]]
) -> Iterator[Evidence]:
    used: dict[str, list[Event]] = defaultdict(list)
    for event in events:
        if event.kind == "used" and not event.data.get("planned"):
            used[event.data["mix"]].append(event)
    in_beds = {row.get("of") for row in rows if row["kind"] == BED}
    in_beds |= {event.data.get("of") for event in events if event.kind == "filled"}
    made = _made(events)
    planned: dict[str, float] = defaultdict(float)
    told: dict[str, set[tuple[str, int]]] = defaultdict(set)
    for row in rows:
        key = (row.get("name"), row.get("number"))
        if row["kind"] in PLANTS and row.get("mix") and row.get("count") and key in made:
            planned[row["mix"]] += row["l"] * made[key] / row["count"]
            told[row["mix"]].add(key)
    known = set().union(*told.values()) if told else set()
    for mix, noted in sorted(used.items()):
        # Plants that were not on the day's sheet took mix that nobody planned.
        if mix in in_beds or planned[mix] <= DUST_L or set(made) - known:
            continue
        litres = sum(event.data["l"] for event in noted)
        value = plan.factors.packing.likely * litres / planned[mix]
        line = noted[0].line if len(noted) == 1 else 0
        yield Evidence("packing", "", day, line, f"{mix} used against planned", Measurement(value))


def _pace(
    day: date, events: Sequence[Event], rows: Sequence[Mapping[str, Any]]
) -> Iterator[Evidence]:
    worked = sum(event.data["minutes"] for event in events if event.kind == "worked")
    made = _made(events)
    blended: dict[str, float] = defaultdict(float)
    for event in events:
        if event.kind == "blended":
            blended[event.data["mix"]] += event.data["l"]
    planned, lines = 0.0, []
    left = set(made)
    for row in rows:
        minutes, kind = float(row.get("minutes", 0.0)), row["kind"]
        share = 1.0
        if kind in PLANTS:
            key = (row["name"], row["number"])
            share = made.get(key, 0) / row["count"] if row["count"] else 0.0
            left.discard(key)
        elif kind == "blend":
            share = blended.get(row["name"], 0.0) / row["l"] if row.get("l") else 0.0
        elif kind == BED:
            return  # hauling to a bed takes its own time, which no pot tells of
        planned += minutes * share
        of = _line_of(row)
        if share > 0 and minutes > 0 and of is not None:
            lines.append((of, minutes / row["count"]))
    if worked <= 0 or planned <= 0 or left:
        return
    for of, each in dict(lines).items():
        value = Measurement(each * worked / planned, ROUGH)
        yield Evidence("minutes", of, day, 0, "the day's hours against planned", value)


def _line_of(row: Mapping[str, Any]) -> str | None:
    """Return which figure of the minutes a row is about; None if it is about none."""
    if row["kind"] == "blend":
        return "blend" if row.get("count") else None
    work, to = WORK.get(row["kind"]), row.get("to")
    if work is None or not row.get("count"):
        return None
    return _minutes_of(work, str(to)) if work == "up-pot" and to else None


def _minutes_of(work: str, container: str) -> str:
    """Return the key of [minutes] for a kind of work and a container."""
    if work == "up-pot" and container:
        return container
    return f"{work} {container}".strip()


USUAL = 8.0
"""How many measurements the usual scatter counts for beside what was seen of it: our guess."""

Z_90 = 1.2815515655446004
"""The 90th percentile of the standard normal distribution."""


@frozen
class Measurement:
    """One value, counted `weight` times: above 1 for a mean of several, below for a rough one."""

    value: float
    weight: float = field(default=1.0)

    def __attrs_post_init__(self) -> None:
        """Refuse what no measurement can be."""
        if not (isfinite(self.value) and isfinite(self.weight) and self.weight > 0):
            raise ValueError(f"value must be finite and weight above 0, got {self!r}")


@frozen
class Learned:
    """What a figure comes to: its new range, and the interval that holds 8 times out of 10.

    `weight` is how far the measurements count beside the published range [0 to 1], `measured` their
    mean (None: there are none) and `count` their number, means of several counted once.
    """

    prior: Spread
    result: Spread
    low: float
    high: float
    weight: float = 0.0
    measured: float | None = None
    count: int = 0


def moments(spread: Spread) -> tuple[float, float]:
    """Return mean and variance of a triangular distribution."""
    a, c, b = spread.low, spread.likely, spread.high
    # As sums of squares, so that rounding never makes the variance of a known figure negative.
    return (a + b + c) / 3, ((b - a) ** 2 + (b - c) ** 2 + (c - a) ** 2) / 36


def learn(
    prior: Spread,
    measurements: Sequence[Measurement],
    *,
    scatter: float,
    least: float = 0.0,
    most: float = float("inf"),
) -> Learned:
    """Return what a figure comes to after measurements.

    `prior` is the published range, `scatter` the usual standard deviation of one measurement in the
    figure's unit, `least` and `most` what is physical.
    Raises ValueError for a scatter that is not positive or limits that leave nothing.
    """
    if not scatter > 0 or not least < most:
        raise ValueError(f"need scatter > 0 and least < most, got {scatter!r}, {least!r}, {most!r}")

    def cut(value: float) -> float:
        return min(max(value, least), most)

    mean, variance = moments(prior)
    if not measurements:
        low, high = (triangular(p, prior.low, prior.likely, prior.high) for p in (0.1, 0.9))
        return Learned(prior, Spread(*map(cut, _ends(prior))), cut(low), cut(high))
    weights = sum(one.weight for one in measurements)
    seen = sum(one.weight * one.value for one in measurements) / weights
    squares = sum(one.weight * (one.value - seen) ** 2 for one in measurements)
    freedom = USUAL + len(measurements) - 1
    pooled = (USUAL * scatter**2 + squares) / freedom
    weight = variance / (variance + pooled / weights)
    moved, deviation = mean + weight * (seen - mean), sqrt(variance * (1 - weight))
    narrowed = sqrt(1 - weight)
    half = Z_90 * deviation * (1 + (Z_90**2 + 1) * weight**2 / (4 * freedom))
    ends = (cut(moved + narrowed * (end - mean)) for end in _ends(prior))
    return Learned(
        prior, Spread(*ends), cut(moved - half), cut(moved + half), weight, seen, len(measurements)
    )


def _ends(spread: Spread) -> tuple[float, float, float]:
    return spread.low, spread.likely, spread.high
