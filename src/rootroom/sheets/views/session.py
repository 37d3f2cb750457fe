"""One session as a checklist: what to do, in which order, with what, as texts that can be laid out.

Every figure is already written as it is measured; a template only places it.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import TYPE_CHECKING

from attrs import evolve

from rootroom.catalogue.cautions import cautions_on_sheet
from rootroom.counts import some_of
from rootroom.mixing.blend import sized
from rootroom.pot.lifting import HEAVY_KG
from rootroom.pot.lime import above_published
from rootroom.sheets.fetching import fetches
from rootroom.sheets.layout import halves, water
from rootroom.sheets.session_text import (
    addition_texts,
    batches_text,
    measure_text,
    mixed_in_above,
    tip_text,
    waiting_name,
)
from rootroom.sheets.views.model import (
    BatchView,
    Evening,
    Material,
    RecipeRow,
    SessionView,
    Used,
    WorkRow,
)
from rootroom.sheets.views.work_rows import (
    HEAVY,
    MOST_BOXES,
    MOST_LINES,
    VERBS,
    work_row,
    work_rows,
)
from rootroom.sheets.work import (
    heavy_lifts,
    joined_lines,
)
from rootroom.tolerances import UNTOLD
from rootroom.units import show_minutes

if TYPE_CHECKING:
    from datetime import date

    from rootroom.catalogue.cautions import Caution
    from rootroom.mixing.card import Card
    from rootroom.season import Season
    from rootroom.sessions.session import (
        Batches,
        Before,
        Bring,
        Line,
        RainNote,
        Session,
        Waiting,
    )
    from rootroom.sheets.fetching import Fetch, Fetches
    from rootroom.sheets.writing import Writer


MOST_ON_PAGE = 2000
"""Lines of work on the phone page, a sheet's share being no less than `MOST_LINES`."""


MOST_IN_TITLE = 4

MOST_FETCHED = 4
"""Of so many lines of the shopping list, or plants to water, paper tells their number."""


def session_views(season: Season, writer: Writer) -> list[SessionView]:
    """Return a view of every session, in order."""
    sessions = season.schedule.sessions
    bought = fetches(season.schedule, season.shopping)
    return [
        _session(season, session, writer, number, bought)
        for number, session in enumerate(sessions, 1)
    ]


def _session(
    season: Season, session: Session, writer: Writer, number: int, bought: Fetches
) -> SessionView:
    of = len(season.schedule.sessions)
    work = joined_lines(line for line in session.work if line.kind != "blend")
    most = max(MOST_LINES, MOST_ON_PAGE // of)
    more = len(work) - most
    on_sheet, rest = cautions_on_sheet(session.cautions)
    return SessionView(
        id=session.date.isoformat(),
        number=number,
        of=f"Session {number} of {of}",
        title=_title(session, writer),
        day=writer.day_long(session.date),
        day_short=writer.day_week(session.date),
        clock=f"{writer.hour(session.start)} to about {writer.hour(session.finish)}",
        people=f"{session.people} person" if session.people == 1 else f"{session.people} people",
        planned=f"{show_minutes(session.minutes)} of work",
        before=[
            *_packages(bought.on(session.date), writer),
            *_evening(bought.others(session.before), writer),
        ],
        batches=[_batches(season, session, one, writer) for one in session.batches],
        work=[_work_row(season, line, writer) for line in work[:most]],
        more_work=f"{more} more lines (the tables have them all)" if more > 0 else "",
        grouped=work_rows(work, writer) if len(work) > MOST_LINES else [],
        materials=_materials(session.bring, writer),
        tools=", ".join(session.bring.tools),
        weights=_heavy(season, session, on_sheet, writer),
        cautions=[caution.brief for caution in on_sheet],
        more_cautions=bool(rest),
        rain=_rain(session, writer),
        after=list(session.afterwards),
        empties=[f"{writer.number(n)} × {writer.name(x)}" for x, n in session.frees.items()],
        left=_left(session, writer),
        used=_used(session, season.plan.work.scoop_l, writer),
        counts=[f"of {writer.number(session.minutes)} min", "lost"],
    )


def _work_row(season: Season, line: Line, writer: Writer) -> WorkRow:
    row = work_row(line, writer)
    return evolve(row, adds=[*row.adds, *mixed_in_above(season.plan, line)])


def _heavy(
    season: Season, session: Session, cautions: Sequence[Caution], writer: Writer
) -> list[str]:
    """Return what is heavy; how to lift it only where no caution of the sheet says it."""
    advice = not any(one.key == HEAVY for one in cautions)
    return [
        *_weights(session, writer),
        *heavy_lifts(season.plan, session, advice=advice),
    ]


def _left(session: Session, writer: Writer) -> list[str]:
    return [
        f"{writer.volume(litres)} {writer.name(mix)}"
        for mix, litres in session.left_l.items()
        if litres > UNTOLD
    ]


def _title(session: Session, writer: Writer) -> str:
    """Return what is done with which plants: `Pot up: Lemon, Bay; refresh: Old fig (3 h)`."""
    named: dict[str, dict[str, None]] = {}
    for line in session.work:
        if line.kind in VERBS:
            short = line.name.split(",")[0].strip() or line.name
            named.setdefault(VERBS[line.kind], {})[writer.name(short)] = None
    parts = [f"{verb}: {some_of(names, MOST_IN_TITLE)}" for verb, names in named.items()]
    what = "; ".join(parts) or "Blend mix"
    many = f", {session.people} people" if session.people > 1 else ""
    return f"{what[0].upper()}{what[1:]} ({show_minutes(session.minutes)}{many})"


def _packages(found: Sequence[Fetch], writer: Writer) -> list[Evening]:
    """Return a group of packages for each supplier."""
    return [
        Evening(
            head=f"Fetch, {writer.name(one.head)}" if one.head else "Fetch",
            items=[writer.name(text) for text in one.packs],
            short=[writer.name(text) for text in one.packs]
            if len(one.packs) < MOST_FETCHED
            else [f"all {len(one.packs)} lines of the shopping list"],
        )
        for one in found
    ]


def _evening(steps: Sequence[Before], writer: Writer) -> list[Evening]:
    groups = []
    for kind in ("fetch", "wash", "soak", "moisten", "water"):
        items = [_evening_item(step, writer) for step in steps if step.kind == kind]
        if items:
            plants = sum(step.count for step in steps if step.kind == kind)
            short = [f"all {plants} plants in pots and trays"]
            few = kind != "water" or len(items) < MOST_FETCHED
            groups.append(
                Evening(
                    head=kind.capitalize(),
                    items=items,
                    short=items if few else short,
                )
            )
    return groups


def _evening_item(step: Before, writer: Writer) -> str:
    name = writer.name(step.name)
    if step.kind in ("soak", "moisten"):
        return f"{name}: {water(step.water_l, writer.system)} of water"
    if step.unit in ("l", "kg"):
        return f"{writer.amount(step.name, step.amount, step.unit, up=step.unit == 'l')} {name}"
    return f"{writer.number(step.count)} × {name}" if step.count else name


def _batches(season: Season, session: Session, batch: Batches, writer: Writer) -> BatchView:
    unit = season.blending.cards.get(batch.mix)
    card = None if unit is None else sized(unit, batch.units_each)
    mix = writer.name(batch.mix)
    last = batch.units_last > 0
    laid = tuple(batch.card.items())
    if card is not None:
        laid = tuple((step.of, step.scoops) for step in card.steps if step.kind == "layer")
    return BatchView(
        mix=mix,
        title=f"Blend {mix}",
        many=batches_text(batch),
        batches=f"{batch.batches:.4g}",
        record={
            "kind": "blended",
            "mix": batch.mix,
            "batch_l": round(batch.batch_l, 6),
            "planned": f"{batch.batches:.4g}",
        },
        boxes=min(batch.full + last, MOST_BOXES),
        last=last,
        makes=f"makes {writer.volume(batch.litres)}",
        scoop=measure_text(batch, season.plan.work.scoop_l, writer.system),
        rows=[
            RecipeRow(
                part=writer.name(part),
                batch=halves(scoops, 4),
                last=halves(scoops * batch.last_share, 4) if last else "",
                all=halves(scoops * batch.batches, 4),
            )
            for part, scoops in laid
        ],
        adds=(
            addition_texts(
                batch,
                writer.system,
                writer.spoons,
                above_published(season.plan, season.plan.mixes[batch.mix]),
            )
        ),
        order="" if card is None else _order(card, batch, session, writer),
    )


def _order(card: Card, batch: Batches, session: Session, writer: Writer) -> str:
    """Return in a sentence what is done beside laying the parts in the order of their rows."""
    laid = sum(step.kind == "layer" for step in card.steps)
    where = "between the layers" if laid > 1 else "on top"
    told = ["the first part at the bottom"] if laid > 1 else []
    for step in dict.fromkeys(card.steps):
        of = writer.name(step.of)
        if step.kind == "sprinkle" and step.share < 1:
            told.append(f"{where} {_fraction(step.share)} of the {of} each time")
        elif step.kind == "sprinkle":
            told.append(f"{where} all of the {of}")
        elif step.kind == "strew":
            told.append(f"turn, strew the {of} on top")
        elif step.kind == "turn again":
            strewn = any(other.kind == "strew" for other in card.steps)
            told.append(f"turn {step.times + 1 - strewn} times{' more' * strewn}")
    if tip := tip_text(batch, session.work):
        told.append(tip)
    text = "; ".join(told)
    return f"{text[:1].upper()}{text[1:]}."


def _fraction(share: float) -> str:
    signs = {0.5: "½", 0.333: "⅓", 0.25: "¼", 0.2: "⅕"}
    return signs.get(round(share, 3), f"{share:.0%}")


def _materials(bring: Bring, writer: Writer) -> list[Material]:
    """Return rows of what must be at hand: amount, what, and where it comes from."""
    rows = []
    for text, part in (
        ("from stock", bring.from_stock), ("washed", bring.from_freed), ("bought", bring.bought)
    ):  # fmt: skip
        rows += [(f"{writer.number(n)} ×", name, text) for name, n in part.items()]
    rows += [(writer.volume(x, up=True), name, "") for name, x in bring.ingredients_l.items()]
    for text, volumes in (("ready-made", bring.ready_l), ("stored", bring.stored_l)):
        rows += [
            (writer.volume(x, up=True), name, text) for name, x in volumes.items() if x > UNTOLD
        ]
    rows += [(writer.amount(of, kg, "kg"), of, "") for of, kg in bring.additions_kg.items()]
    rows += [(writer.amount(of, x, "l", up=True), of, "") for of, x in bring.additions_l.items()]
    return [
        Material(
            amount=a,
            what=writer.name(name),
            source=text,
        )
        for a, name, text in rows
    ]


def _weights(session: Session, writer: Writer) -> list[str]:
    if session.heaviest_kg < HEAVY_KG and session.people_needed < 2:
        return []
    found = [f"{writer.mass(session.moved_kg)} moved in all"]
    if session.heaviest_kg:
        found.append(f"heaviest about {writer.mass(session.heaviest_kg)}")
    if session.people_needed > 1:
        found.append(f"{session.people_needed} people needed")
    return found


def _rain(session: Session, writer: Writer) -> list[str]:
    rain: RainNote = session.rain
    days: dict[date, list[str]] = {}
    several = rain.several
    for one in rain.can_wait:
        if one.until is not None:
            days.setdefault(one.until, []).append(_waits(one, several, writer))
    if len(days) == 1 and not rain.cannot:
        return [f"all of it can wait until {writer.day_week(next(iter(days)))}"]
    found = [
        f"can wait until {writer.day_week(day)}: {some_of(dict.fromkeys(names), between='; ')}"
        for day, names in sorted(days.items())
    ]
    if rain.cannot:
        names = [_waits(one, several, writer) for one in rain.cannot]
        found.insert(0, f"cannot wait: {some_of(dict.fromkeys(names), between='; ')}")
    return found


def _waits(one: Waiting, several: Collection[str], writer: Writer) -> str:
    return waiting_name(writer.name(one.name), one, several)


def _used(session: Session, scoop_l: float, writer: Writer) -> list[Used]:
    """Return for each mix what is planned to go into pots and beds, to write the truth beside."""
    planned: dict[str, float] = {}
    for line in session.work:
        if line.mix:
            planned[line.mix] = planned.get(line.mix, 0.0) + line.mix_l
    return [
        Used(
            mix=writer.name(mix),
            record=mix,
            text=f"of {halves(litres / scoop_l)} scoops {writer.name(mix)}",
            planned=f"{round(litres / scoop_l * 2) / 2:g}",
        )
        for mix, litres in planned.items()
    ]
