"""What a record teaches about a plan's figures: published range, data, result, and its line.

The ranges start where they are published, not where the plan stands, so that a line which was
pasted into the plan does not make the same measurements count twice.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from attrs import frozen

from rootroom.catalogue.ingredients import factor_row, usual_shrink
from rootroom.catalogue.minutes import minutes_rows
from rootroom.catalogue.spread import Spread
from rootroom.containers.container import Container
from rootroom.containers.text import read_container
from rootroom.plan.model import Plan
from rootroom.problems import TextError
from rootroom.record.events import Event
from rootroom.record.evidence import Evidence, Learned, find_evidence, learn
from rootroom.units.showing import pot_unit, three_digits

KNOWN_SHARE = 0.03
"""A volume or figure that is stated as one number is taken to be right within this share.

A guess of ours as well.
"""

SCATTER = {"packing": 0.10, "ball": 0.06, "spill": 0.015, "shrink": 0.03, "peat": 0.12}
"""Usual standard deviation of one measurement, in the figure's unit; `peat` is its swelling.

These and `SCATTER_SHARE` are our guesses: no source was found, and whoever prints them says so.
What was seen of the scatter soon counts for more than they do.
"""

SCATTER_SHARE = {"fill": 0.05, "swells": 0.07, "minutes": 0.25}
"""The same as a share of the likely value, where figures differ in size; our guesses as well."""

ORDER = ("packing", "ball", "spill", "fill", "shrink", "swells", "minutes")


@frozen
class Figure:
    """One figure that the record tells of.

    `what` and `of` name it, `source` says where its published range is from, `evidence` is what was
    measured and `learned` what it comes to. `scatter` is the standard deviation that one
    measurement was taken to have. `header` and `line` are what to write into the plan.
    """

    what: str
    of: str
    source: str
    evidence: tuple[Evidence, ...]
    learned: Learned
    scatter: float
    header: str
    line: str


@frozen
class _Prior:
    spread: Spread
    source: str
    scatter: float
    most: float
    least: float = 0.0


def figures(plan: Plan, events: Iterable[Event]) -> tuple[Figure, ...]:
    """Return every figure that the record tells of; `plan` is the plan as it was written."""
    found: dict[tuple[str, str], list[Evidence]] = defaultdict(list)
    for one in find_evidence(plan, events):
        found[one.key].append(one)
    boxes = plan_containers(plan)
    result = []
    for what, of in sorted(found, key=lambda key: (ORDER.index(key[0]), key[1])):
        prior = _prior(plan, boxes, what, of)
        if prior is None:
            continue
        evidence = tuple(found[what, of])
        learned = learn(
            prior.spread,
            [one.measured for one in evidence],
            scatter=prior.scatter,
            least=prior.least,
            most=prior.most,
        )
        header, line = _line(plan, what, of, learned.result)
        result.append(
            Figure(what, of, prior.source, evidence, learned, prior.scatter, header, line)
        )
    return tuple(result)


def plan_containers(plan: Plan) -> Mapping[str, Container]:
    """Return every container that the plan names, by its text."""
    found: dict[str, Container] = {}
    for kind in plan.plants.kinds:
        for move in kind.moves:
            found |= {box.text: box for box in (move.old, move.to) if box is not None}
    return {**found, **plan.containers}


def _prior(plan: Plan, boxes: Mapping[str, Container], what: str, of: str) -> _Prior | None:
    """Return where a figure starts; None for one that the plan has nothing to do with."""
    if what == "packing":
        return _factor("packing", least=1.0, most=2.0)
    if what == "ball":
        return _factor("ball", least=0.0, most=1.0)
    if what == "spill":
        return _factor("spill", least=0.0, most=0.5)
    if what == "shrink":
        return _shrink(plan, of)
    if what == "swells":
        return _swells(plan, of)
    if what == "fill" and of in boxes:
        box = _shipped(of) or boxes[of]
        spread = _at_least_doubtful(box.fill_l)
        most = max(box.brim_l.high, spread.high) * 1.5
        return _Prior(spread, box.source or "the plan", _share("fill", spread), most)
    if what == "minutes":
        return _minutes(plan, boxes, of)
    return None


def _factor(name: str, *, least: float, most: float) -> _Prior:
    row = factor_row(name)
    return _Prior(row.spread, row.source, SCATTER[name], most, least)


def _share(what: str, spread: Spread) -> float:
    return SCATTER_SHARE[what] * spread.likely


def _shrink(plan: Plan, of: str) -> _Prior | None:
    if of not in plan.mixes:
        return None
    known = plan.ingredients
    row = usual_shrink([part in known and known[part].coarse for part in plan.mixes[of].parts])
    return None if row is None else _Prior(row.spread, row.source, SCATTER["shrink"], 0.6)


def _swells(plan: Plan, of: str) -> _Prior | None:
    supplies = [supply for supply in plan.supplies if supply.of == of and supply.swells]
    row = factor_row("swells")
    if of == "peat":
        return _Prior(row.spread, row.source, SCATTER["peat"], 3.0, 1.0)
    spread = next((supply.swells for supply in supplies if supply.swells is not None), None)
    spread = _at_least_doubtful(spread or Spread.exactly(1.0))
    return _Prior(spread, "the plan", _share("swells", spread), 3.0, 0.5)


def _minutes(plan: Plan, boxes: Mapping[str, Container], of: str) -> _Prior | None:
    rows = minutes_rows(plan.work.pace)
    kinds = sorted(rows, key=len, reverse=True)
    kind = next((one for one in kinds if of == one or of.startswith(f"{one} ")), "up-pot")
    text = of if kind == "up-pot" else of.removeprefix(f"{kind} ")
    box = (_shipped(text) or boxes[text]) if text in boxes else None
    row = rows[kind]
    if box is not None:
        amount = box.fill_l.likely if box.holds else 0.0
    elif kind == "blend":
        amount = plan.work.vessel_l
    elif row.knots or row.per != "piece":
        return None  # its minutes depend on a size that nobody told
    else:
        amount = 1.0
    spread = row.at(amount)
    return _Prior(spread, row.source, _share("minutes", spread), 4 * spread.high, 0.01)


def _shipped(text: str) -> Container | None:
    """Return what the catalogue says of a container; None for one that only the plan knows."""
    try:
        return read_container(text)
    except TextError:
        return None


def _at_least_doubtful(spread: Spread) -> Spread:
    """Return a range no narrower than a stated figure deserves."""
    likely = spread.likely
    return Spread(
        min(spread.low, likely * (1 - KNOWN_SHARE)),
        likely,
        max(spread.high, likely * (1 + KNOWN_SHARE)),
    )


# What to write into the plan


def _line(plan: Plan, what: str, of: str, result: Spread) -> tuple[str, str]:
    """Return the header and the line of the plan that hold a figure."""
    ends = (result.low, result.likely, result.high)
    if what in ("packing", "ball"):
        return "[factors]", f"{what} = {_range(_rounded(ends))}"
    if what == "spill":
        return "[factors]", f"{what} = {_range(_percents(ends))}"
    if what == "shrink":
        return f"[mixes.{_key(of)}]", f"{what} = {_range(_percents(ends))}"
    if what == "fill":
        # What was measured is what was filled, so nothing is left empty above it.
        unit = pot_unit(result.likely, plan.garden.system)
        return f"[containers.{_key(of)}]", (
            f'volume = "{three_digits(unit.of(result.likely))} {unit.name}"\nheadspace = "0 in"'
        )
    if what == "swells":
        return f'supplies with of = "{_text(of)}"', f"swells = {_range(_rounded(ends))}"
    return "[minutes]", f"{_key(of, bare=False)} = {_range(_rounded(ends))}"


def _rounded(ends: Sequence[float]) -> list[str]:
    return [three_digits(end) for end in ends]


def _percents(ends: Sequence[float]) -> list[str]:
    return [f'"{100 * end:.1f} %"' for end in ends]


def _range(texts: Sequence[str]) -> str:
    low, likely, high = texts
    return likely if low == high else f"{{ low = {low}, likely = {likely}, high = {high} }}"


def _key(name: str, *, bare: bool = True) -> str:
    """Return a name as a key of TOML: bare where that is allowed, else in quotes."""
    plain = name.replace("_", "").replace("-", "")
    if bare and plain.isascii() and plain.isalnum():
        return name
    return f'"{_text(name)}"'


def _text(name: str) -> str:
    return name.replace("\\", "\\\\").replace('"', '\\"')
