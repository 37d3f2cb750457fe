"""One session as a checklist: what to do, in which order, with what, as texts that can be laid out.

Every figure is already written as it is measured; a medium only places it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from attrs import evolve

from rootroom.catalogue.cautions import cautions_on_sheet
from rootroom.counts import some_of
from rootroom.pot.lifting import HEAVY_KG
from rootroom.sessions.lifts import session_lifts
from rootroom.sheets.layout import WIDTH, halves, water
from rootroom.sheets.views.batches import batch_view
from rootroom.sheets.views.before_and_after import fetches
from rootroom.sheets.views.model import Evening, Material, SessionView, Used
from rootroom.sheets.views.work_rows import MOST_LINES, VERBS, joined_lines, work_row, work_rows
from rootroom.tolerances import UNTOLD
from rootroom.units import show_minutes

if TYPE_CHECKING:
    from datetime import date

    from rootroom.catalogue.cautions import Caution
    from rootroom.mixing.card import Card
    from rootroom.plan.model import Plan
    from rootroom.season import Season
    from rootroom.sessions.session import Before, Bring, RainNote, Session, Waiting
    from rootroom.sheets.views.before_and_after import Fetches
    from rootroom.sheets.writing import Writer

MOST_ON_PAGE = 2000
"""Lines of work on the phone page, a sheet's share being no less than `MOST_LINES`."""
MOST_IN_TITLE = 4
MOST_FETCHED = 4
"""Of so many lines of the shopping list, or plants to water, paper tells their number."""
MOST_LIFTS = 3
"""Lifts on a sheet; the heaviest are named, the others are lighter ones of the same kind."""
HEAVY = "lifting"
"""The caution that says how a heavy pot is moved; beside it no lift says so again."""


def session_views(season: Season, writer: Writer) -> list[SessionView]:
    """Return a view of every session, in order, as paper, page and calendar have it."""
    sessions = season.schedule.sessions
    bought = fetches(season.schedule, season.shopping)
    cards = season.blending.cards
    return [
        session_view(season.plan, session, writer, bought, cards, (number, len(sessions)))
        for number, session in enumerate(sessions, 1)
    ]


def session_view(
    plan: Plan,
    session: Session,
    writer: Writer,
    bought: Fetches | None = None,
    cards: Mapping[str, Card] | None = None,
    place: tuple[int, int] = (1, 1),
) -> SessionView:
    """Return one session, the first of `place` of the second; `bought` is what is fetched.

    With `cards` the steps of blending stand at each mix, else its batches among the lines of work.
    """
    number, of = place
    work = joined_lines(line for line in session.work if cards is None or line.kind != "blend")
    most = max(MOST_LINES, MOST_ON_PAGE // of)
    more = len(work) - most
    view = SessionView(
        id=session.date.isoformat(),
        number=number,
        of=f"Session {number} of {of}",
        title=_title(session, writer),
        day=writer.day_long(session.date),
        day_short=writer.day_week(session.date),
        clock=f"{writer.hour(session.start)} to about {writer.hour(session.finish)}",
        people=f"{session.people} person" if session.people == 1 else f"{session.people} people",
        minutes=show_minutes(session.minutes),
        may_take=show_minutes(session.minutes + session.free_minutes),
        before=_evening(session, bought, writer),
        batches=[
            batch_view(plan, cards or {}, one, session.work, writer) for one in session.batches
        ],
        work=[work_row(plan, line, writer) for line in work[:most]],
        more_work=f"{more} more lines (the tables have them all)" if more > 0 else "",
        grouped=work_rows(plan, work, writer) if len(work) > MOST_LINES else [],
        materials=_materials(session.bring, writer),
        tools=", ".join(session.bring.tools),
    )
    return _with_after(view, plan, session, writer)


def _with_after(view: SessionView, plan: Plan, session: Session, writer: Writer) -> SessionView:
    """Return a view with what is lifted, what to heed, what if it rains, and what comes after."""
    on_sheet, rest = cautions_on_sheet(session.cautions)
    heavy = session.heaviest_kg >= HEAVY_KG or session.people_needed > 1
    moved = _moved(session, writer)
    advice = not any(one.key == HEAVY for one in on_sheet)
    return evolve(
        view,
        moved=moved,
        weights=[*(moved if heavy else ()), *_lifts(plan, session, writer, advice=advice)],
        care=[care_word(one) for one in session.cautions],
        cautions=[one.brief for one in on_sheet],
        more_cautions=bool(rest),
        rain=_rain(session.rain, writer),
        after=list(session.afterwards),
        empties=[f"{writer.number(n)} × {writer.name(x)}" for x, n in session.frees.items()],
        left=[
            f"{writer.volume(litres)} {writer.name(mix)}"
            for mix, litres in session.left_l.items()
            if litres > UNTOLD
        ],
        used=_used(session, plan.work.scoop_l, writer),
        counts=[f"of {writer.number(session.minutes)} min", "lost"],
    )


def care_word(caution: Caution) -> str:
    """Return the word or two by which a day names a caution."""
    return caution.key.replace("-", " ")


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


def _evening(session: Session, bought: Fetches | None, writer: Writer) -> list[Evening]:
    """Return what is fetched, a group for each supplier, then the steps, a group for each kind."""
    groups = []
    for one in () if bought is None else bought.on(session.date):
        packs = [writer.name(text, WIDTH) for text in one.packs]
        many = len(packs) >= MOST_FETCHED
        short = [f"all {len(packs)} lines of the shopping list"] if many else packs
        groups.append(Evening("fetch", writer.marks(one.head), packs, short))
    left = session.before if bought is None else bought.others(session.before)
    for kind in ("fetch", "wash", "soak", "moisten", "water"):
        steps = [step for step in left if step.kind == kind]
        items = [_evening_item(step, writer) for step in steps]
        many = kind == "water" and len(items) >= MOST_FETCHED
        plants = sum(step.count for step in steps)
        short = [f"all {plants} plants in pots and trays"] if many else items
        groups += [Evening(kind, "", items, short)] if items else []
    return groups


def _evening_item(step: Before, writer: Writer) -> str:
    name = writer.name(step.name)
    if step.kind in ("soak", "moisten"):
        return f"{name}: {water(step.water_l, writer.system)} of water"
    if step.unit in ("l", "kg"):
        return f"{writer.amount(step.name, step.amount, step.unit, up=step.unit == 'l')} {name}"
    return f"{writer.number(step.count)} × {name}" if step.count else name


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
    return [Material(amount, writer.name(name), source) for amount, name, source in rows]


def _moved(session: Session, writer: Writer) -> list[str]:
    """Return what is lifted in all, the heaviest of it, and how many people that takes."""
    if not session.moved_kg:
        return []
    found = [f"{writer.mass(session.moved_kg)} moved in all"]
    if session.heaviest_kg:
        found.append(f"heaviest about {writer.mass(session.heaviest_kg)}")
    if session.people_needed > 1:
        found.append(f"{session.people_needed} people needed")
    return found


def _lifts(plan: Plan, session: Session, writer: Writer, *, advice: bool) -> list[str]:
    """Return a line for each of the heaviest lifts above the goal of the equation.

    With `advice` it says what to do instead: no caution of the sheet does.
    """
    lines = []
    for line, lift in session_lifts(plan, session):
        if lift.advice:
            pot = writer.name(line.stands_in or line.name, WIDTH)
            text = f"{pot}, {writer.mass(lift.weight_kg)}: {lift.text}"
            lines.append(f"{text}; {' or '.join(lift.advice)}" if advice else text)
    return list(dict.fromkeys(lines))[:MOST_LIFTS]


def _rain(rain: RainNote, writer: Writer) -> list[str]:
    days: dict[date, list[str]] = {}
    for one in rain.can_wait:
        if one.until is not None:
            days.setdefault(one.until, []).append(waiting_name(one, rain, writer))
    if len(days) == 1 and not rain.cannot:
        return [f"all of it can wait until {writer.day_week(next(iter(days)))}"]
    found = [
        f"can wait until {writer.day_week(day)}: {some_of(dict.fromkeys(names), between='; ')}"
        for day, names in sorted(days.items())
    ]
    if rain.cannot:
        names = [waiting_name(one, rain, writer) for one in rain.cannot]
        found.insert(0, f"cannot wait: {some_of(dict.fromkeys(names), between='; ')}")
    return found


def waiting_name(one: Waiting, rain: RainNote, writer: Writer) -> str:
    """Return a plant's name, with its move where the day has several; a bed's with its layer."""
    name = writer.name(one.name)
    if one.of is not None:
        return f"{name}, {writer.name(one.of)}"
    return f"{name}, move {one.move}" if one.name in rain.several else name


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
