"""Water, air and weight of every filled pot as text within 80 columns."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from attrs import define

from rootroom.counts import some_of
from rootroom.pot.lifting import HEAVY_KG
from rootroom.sheets.layout import clip, columns, tidy, wrap
from rootroom.units import show_length, show_mass, show_volume

if TYPE_CHECKING:
    from rootroom.catalogue.spread import Spread
    from rootroom.plan.model import Plan
    from rootroom.pot.report import MovedPot, Pair, PotReport
    from rootroom.pot.verdict import Verdict
    from rootroom.units import System

MOST_ROWS = 60
"""Rows shown; a nursery's list may have hundreds of pots and mixes, which --json has all."""

LB_FT2_PER_KG_M2 = 0.3048**2 / 0.45359237
MOST_NOTES = 16


@define
class _Row:
    """All moves that fill one mix into one container for one use."""

    pair: Pair
    moves: list[MovedPot]

    @property
    def verdict(self) -> Verdict | None:
        return self.moves[0].verdict

    @property
    def name(self) -> str:
        """Container, mix and the plants: `4 in square pot, allround (Tomato, Pepper)`."""
        names = dict.fromkeys(name for move in self.moves for name in move.names)
        shown = some_of(map(tidy, names), 3)
        return f"{tidy(self.pair.container.text)}, {tidy(self.pair.mix)} ({shown})"


def drained_text(plan: Plan, report: PotReport) -> str:
    """Return the table, what is unusual and what would change it, lifts, loads and assumptions."""
    system = plan.garden.system
    if not report.moves:
        nothing = "No plant goes into a container with a mix, so there is nothing to drain."
        parts = [nothing, _handled(report, system), _compost(plan)]
        return "\n\n".join(part for part in parts if part)
    rows = _rows(report)
    parts = [
        _table(report, system),
        _missing(rows),
        _verdicts(rows),
        _lifts(rows, system),
        _floors(report, system),
        _handled(report, system),
        _lime(plan),
        _compost(plan),
        _grounds(report),
    ]
    return "\n\n".join(part for part in parts if part)


def _rows(report: PotReport) -> list[_Row]:
    found: dict[tuple[str, str, str], _Row] = {}
    for move in report.moves:
        use = "" if move.verdict is None else move.verdict.use.name
        key = (move.pair.container.text, move.pair.mix, use)
        found.setdefault(key, _Row(move.pair, [])).moves.append(move)
    return list(found.values())


def _table(report: PotReport, system: System) -> str:
    pots: dict[tuple[str, str], int] = {}
    for move in report.moves:
        key = (move.pair.container.text, move.pair.mix)
        pots[key] = pots.get(key, 0) + move.pots
    cells = [["", "", "", "", "", "about", "up to"]]
    for pair in report.pairs[:MOST_ROWS]:
        water, weight = pair.water, pair.weight
        cells.append(
            [
                clip(pair.container.text, 18),
                clip(pair.mix, 10),
                str(pots[pair.container.text, pair.mix]),
                "?" if water is None else _percent(water.air),
                "?" if water is None else _percent(water.capacity),
                "?" if weight is None else show_mass(weight.drained.likely, system),
                "?" if weight is None else show_mass(weight.saturated.high, system),
            ]
        )
    head = ["container", "mix", "pots", "air", "water", "drained", "soaked,"]
    lines = [
        "Every pot once it is watered and has drained; weights of one, without its plant",
        *columns(head, cells, "llrrrrr"),
    ]
    return "\n".join([*lines, *_and_more(report.pairs, MOST_ROWS)])


def _and_more(things: Sequence[object], shown: int = MOST_NOTES) -> list[str]:
    more = len(things) - shown
    return [f"And {more} more, which --json has."] if more > 0 else []


def _percent(spread: Spread) -> str:
    low, high = round(spread.low * 100), round(spread.high * 100)
    return f"{low} %" if low == high else f"{low}–{high} %"


def _missing(rows: Iterable[_Row]) -> str:
    notes = list(dict.fromkeys(row.pair.why_not for row in rows if row.pair.why_not))
    return "\n".join([*(_item(f"? {one}") for one in notes[:MOST_NOTES]), *_and_more(notes)])


def _verdicts(rows: Sequence[_Row]) -> str:
    odd: list[str] = []
    usual: list[str] = []
    worded: dict[str, str] = {}
    sources: dict[str, None] = {}
    for row in rows:
        if row.verdict is None:
            continue
        comparisons = row.verdict.comparisons
        if not row.verdict.use.bands and row.verdict.words:
            worded.setdefault(row.verdict.use.name, row.verdict.words)
        for one in comparisons:
            sources[one.band.source] = None
        unusual = [one.text for one in comparisons if one.reading != "usual"]
        if unusual:
            text = f"{row.name}: {'; '.join(unusual)}."
            changes = [one.text for one in row.verdict.remedies if one.figure is not None]
            refused = [one.text for one in row.verdict.remedies if one.figure is None]
            if changes:
                text += f" What would change it: {'; or '.join(changes)}."
            elif refused:
                text += f" {'; '.join(refused).capitalize()}."
            odd.append(_item(text))
        elif comparisons:
            usual.append(f"{tidy(row.pair.container.text)} with {tidy(row.pair.mix)}")
    lines = []
    if odd:
        lines += ["Beside what is published", *odd[:MOST_NOTES], *_and_more(odd)]
    if usual:
        once = list(dict.fromkeys(usual))
        more = f"; and {len(once) - MOST_NOTES} more" if len(once) > MOST_NOTES else ""
        lines.append(wrap(f"As much air as is usual: {'; '.join(once[:MOST_NOTES])}{more}."))
    lines += [wrap(f"For {use}: {words}.") for use, words in worded.items()]
    lines += [wrap(f"Published by: {'; '.join(sources)}.")] if sources else []
    return "\n".join(lines)


def _lifts(rows: Sequence[_Row], system: System) -> str:
    """Return what is heavy to lift: weight, limit, index, and what to do instead."""
    from rootroom.pot.lifting import BENCH_M, DOES_NOT_APPLY, index_text, reading

    cells, notes, ways, most = [], [], {}, 0.0
    seen = set()
    for row in rows:
        lift = row.moves[0].lift
        key = (row.pair.container.text, row.pair.mix, lift and lift.text)
        if lift is None or key in seen or not (lift.advice or lift.weight_kg >= HEAVY_KG):
            continue
        seen.add(key)
        limit, index = "-", "-"
        if lift.index is not None:
            limit, index = show_mass(lift.limit_kg, system), index_text(lift.index)
            most = max(most, lift.index)
        else:
            notes.append(_item(f"{row.name}: {lift.text}."))
        ways.update(dict.fromkeys(lift.advice))
        name, mix = clip(row.pair.container.text, 24), clip(row.pair.mix, 16)
        cells.append([name, mix, show_mass(lift.weight_kg, system), limit, index])
    if not cells:
        return ""
    head = ["lift", "mix", "weighs", "limit", "index"]
    lines = [*columns(head, cells[:MOST_ROWS], "llrrr"), *_and_more(cells, MOST_ROWS)]
    lines += [*notes[:MOST_NOTES], *_and_more(notes)]
    if most > 1:
        readings = {reading(index) for index in (2.0, most)}
        lines.append(wrap(f"Index {'; '.join(sorted(readings))}."))
    if ways:
        lines.append(wrap(f"Instead: {', or '.join(ways)}."))
    lines.append(
        wrap(
            "Limit and index are those of the revised NIOSH lifting equation for one person: two "
            f"hands at the rim, from the ground to a bench of {show_length(BENCH_M, system)}, "
            "once in five minutes at most, for an hour at most. A guide only: it does not hold "
            f"for {'; '.join(DOES_NOT_APPLY)}."
        )
    )
    return "\n".join(lines)


def _floors(report: PotReport, system: System) -> str:
    lines: list[str] = []
    published: dict[str, None] = {}
    for move in report.moves:
        floor = move.floor
        if floor is None or floor.over_area is None:
            continue
        text = f"{', '.join(map(tidy, move.names[:3]))}: {_load(floor.over_area, system)} over "
        text += "the area they stand on"
        if floor.under_pot is not None:
            text += f", {_load(floor.under_pot, system)} right under a pot"
        lines.append(_item(text + ", soaked and without the plants."))
        for load in floor.published:
            shown = _figure(load.kg_per_m2, system)
            published[f"{load.place} {shown} ({load.edition})"] = None
    if not lines:
        return ""
    lines = [*lines[:MOST_NOTES], *_and_more(lines)]
    beside = (
        f"Published design loads, no verdict: {'; '.join(published)}. They are shared with people, "
        "furniture, snow and water. Ask the building department and a licensed engineer."
    )
    return "\n".join(["On the floor", *lines, wrap(beside)])


def _figure(kg_per_m2: float, system: System) -> str:
    if system == "us":
        return f"{kg_per_m2 * LB_FT2_PER_KG_M2:.0f} lb/sq ft"
    return f"{kg_per_m2:.0f} kg/m²"


def _load(spread: Spread, system: System) -> str:
    low = _figure(spread.low, system).split()[0]
    return f"{low} to {_figure(spread.high, system)}"


def _handled(report: PotReport, system: System) -> str:
    """Return the weights of bags and of the filled vessel."""
    bags = [
        f"{tidy(supply.of)}, {tidy(supply.pack.text)}: {_about(weight, system)}"
        for supply, weight in report.bags
        if supply.pack is not None and weight.likely >= HEAVY_KG / 2
    ]
    vessels = [
        f"{tidy(mix)}: {_about(weight, system)}" for mix, weight in report.vessels_kg.items()
    ]
    lines = []
    if bags:
        lines.append(wrap(f"A pack weighs: {'; '.join(bags)}."))
    if vessels:
        vessel = show_volume(report.vessel_l, system)
        lines.append(wrap(f"The vessel full of mix, {vessel}, weighs: {'; '.join(vessels)}."))
    return "\n".join(lines)


def _about(weight: Spread, system: System) -> str:
    if weight.low == weight.high:
        return show_mass(weight.likely, system)
    return f"about {show_mass(weight.likely, system)}, up to {show_mass(weight.high, system)}"


def _lime(plan: Plan) -> str:
    """Return the lime of each mix beside the published rates."""
    from rootroom.pot.lime_and_compost import lime_notes
    from rootroom.units import Rate, show_rate

    def shown(kg_per_m3: float | None) -> str:
        if kg_per_m3 is None:
            return "by the spoon, of a weight that nobody said (`weighs` on its supply)"
        if kg_per_m3 == 0:
            return "none"
        return show_rate(Rate(kg_per_l=kg_per_m3 / 1000, l_per_l=None), plan.garden.system)

    lines = []
    for note in lime_notes(plan):
        text = f"Lime in {tidy(note.mix)}: {shown(note.kg_per_m3)}; published {note.rate.text}: "
        low = f"{shown(note.rate.low)} to " if note.rate.low else "up to "
        text += f"{low}{shown(note.rate.high)}"
        if note.compost:
            text += "; with compost in it less, or none"
        lines.append(_item(text + "."))
    if lines:
        lines.append(wrap("Rates only: water and the other parts set the pH too; measure it."))
    return "\n".join(lines)


def _compost(plan: Plan) -> str:
    """Return what to check before compost or manure goes into a mix, each with its source."""
    from rootroom.pot import lime_and_compost as compost

    mixes = compost.mixes_with(plan, compost.ROTTED)
    if not mixes:
        return ""
    named = ", ".join(map(tidy, mixes[:MOST_NOTES]))
    lines = [wrap(f"Before compost or manure goes into {named}")]
    lines += [
        _item(f"{one.name}: {one.how}; not ready: {one.not_ready} ({one.source}).")
        for one in compost.MATURITY_CHECKS
    ]
    lines.append(
        _item(
            f"nitrogen: above a C:N of about {compost.TIES_UP_ABOVE:g} it "
            f"{compost.nitrogen_words(compost.TIES_UP_ABOVE + 1)}, below "
            f"{compost.GIVES_BELOW:g} it {compost.nitrogen_words(compost.GIVES_BELOW - 1)} "
            f"({compost.NITROGEN_SOURCE})."
        )
    )
    if compost.mixes_with(plan, frozenset({"manure"})):
        days = compost.RAW_MANURE_DAYS
        lines.append(
            _item(
                f"raw manure: for food at the latest {days['touches soil']} days before harvest "
                f"where what is eaten touches soil, else {days['does not touch soil']} "
                f"({compost.RAW_MANURE_SOURCE})."
            )
        )
    return "\n".join(lines)


def _grounds(report: PotReport) -> str:
    """Return what the figures rest on, and how to do better."""
    used = {move.pair.mix for move in report.moves}
    lines = [
        wrap(f"{tidy(name)}: {figures.words}{_out_of_reach(report, name)}.")
        for name, figures in report.mixes.items()
        if name in used
    ]
    lines.append(
        wrap(
            "Ranges are passed at either end in about one case of ten. Taken for granted: one mix "
            "from the bottom to the fill line, free drainage, no saucer; no roots in it yet."
        )
    )
    if any(figures.basis != "measured" for name, figures in report.mixes.items() if name in used):
        lines.append(wrap("A test at home replaces an estimate: rootroom drained --how"))
    return "\n".join(lines)


def _out_of_reach(report: PotReport, mix: str) -> str:
    """Return how much of a mix is water that roots cannot draw."""
    for pair in report.pairs:
        if pair.mix == mix and pair.water is not None:
            share = pair.water.capacity.likely - pair.water.available.likely
            return f"; about {round(share * 100)} % of its volume is water that roots cannot draw"
    return ""


def home_test_text(system: System) -> str:
    """Return how to measure a mix at home, and what to write into a plan in these units."""
    from rootroom.pot.report import STEPS, plan_line

    lines = ["Measure a mix at home: fill, soak, drain, measure", ""]
    for number, step in enumerate(STEPS, 1):
        key = f" -> {step.key}" if step.key else ""
        lines.append(wrap(step.text + key, indent=f"{number}. ", hanging="   "))
    lines += ["", "Then write, with your figures:", "", plan_line(system, "allround"), ""]
    lines.append(
        wrap(
            "Air is what drained over the volume; the pores are what was poured over it. In place "
            'of volumes, shares may be written: air = "17 %", porosity = "77 %".'
        )
    )
    return "\n".join(lines)


def _item(text: str) -> str:
    return wrap(text, hanging="  ")
