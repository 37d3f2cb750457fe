"""Whole seasons for tests of the sheets: the shipped plans, a hostile one, and long ones."""

from __future__ import annotations

import tempfile
from collections import Counter
from functools import cache
from pathlib import Path

from rootroom.season import Season, make_season
from tests.support.patience import unhurried

PLANS = tuple(sorted(path.stem for path in (Path(__file__).parents[2] / "plans").glob("*.toml")))

# Names that a sheet must show as text; the keys say what they would do elsewhere.
HOSTILE = {
    "script": "<script>alert(1)</script>",
    "formula": "=1+1",
    "at": "@SUM(A1)",
    "quotes": "\"double\" 'single' `back`",
    "markup": '*bold* #import "x" $x$ @ref \\ [link] <!-- -->',
    "attribute": "' onmouseover='alert(2)' x=\"",
    "template": "{{ 7 * 7 }} {% raw %} {mix} %s",
    "calendar": "a;b,c:d\\n",
    "emoji": "🌱 Seedling",
    "right to left": "תאנה בסיר",
    "accents": "Café Ölbaum ½ × °",
    "long": "Long" * 125,
}


def season_of(text: str, *, effort_s: float = 5.0, name: str = "test.toml") -> Season:
    """Return the season of a plan given as text; ValueError with its problems if it has any."""
    from rootroom.plan.reader import read_plan

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        path.write_text(text, encoding="utf-8")
        plan, problems = read_plan(path)
    if plan is None:
        raise ValueError("\n".join(problem.message for problem in problems))
    with unhurried(effort_s):
        return make_season(plan)


@cache
def shipped_season(stem: str) -> Season:
    """Return the season of a plan of plans/, found with a short search."""
    path = Path(__file__).parents[2] / "plans" / f"{stem}.toml"
    return season_of(path.read_text("utf-8"), effort_s=2.0, name=path.name)


@cache
def hostile_season() -> Season:
    """Return a season whose plants, mix, ingredients, suppliers and garden have hostile names."""
    quoted = {key: _quoted(name) for key, name in HOSTILE.items()}
    plants = "\n".join(
        f'  {{ name = {name}, count = 3, now = "#1", to = "#3", mix = {quoted["script"]}, '
        f"from = 2027-03-06, by = 2027-03-28 }},"
        for name in quoted.values()
    )
    return season_of(
        f"""
format = 1
plants = [
{plants}
]
supplies = [
  {{ of = {quoted["formula"]}, pack = "2 cu ft", price = 8.00, from = {quoted["attribute"]} }},
  {{ of = "#3", pack = 10, price = 18.00, from = {quoted["right to left"]} }},
]
[garden]
name = {quoted["markup"]}
units = "us"
last_frost = 2027-04-12
[work]
days = ["sat", "sun"]
first = 2027-03-06
last = 2027-04-25
hours = 4
vessel = "2.5 cu ft"
scoop = "5 gal"
[mixes.{quoted["script"]}]
parts = {{ {quoted["formula"]} = 2, {quoted["emoji"]} = 1 }}
[ingredients.{quoted["formula"]}]
density = "100 kg/m3"
[ingredients.{quoted["emoji"]}]
density = "100 kg/m3"
""",
        effort_s=2.0,
    )


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return f'"{escaped}"'


def long_season(sessions: int) -> Season:
    """Return a real season with its sessions repeated to so many, a day apart."""
    from datetime import timedelta

    from attrs import evolve

    season = shipped_season("spring-figs-and-tomatoes")
    found = season.schedule.sessions
    first = found[0].date
    repeated = tuple(
        evolve(found[n % len(found)], date=first + timedelta(n)) for n in range(sessions)
    )
    return evolve(season, schedule=evolve(season.schedule, sessions=repeated))


def _there(season: Season) -> dict[tuple[str, str], float]:
    """Return what is bought and had by good and unit, at the contents that the list counts on."""
    shopping = season.shopping
    bought: Counter[tuple[str, str]] = Counter()
    used: Counter[tuple[str, str]] = Counter()
    for line in shopping.lines:
        bought[line.of, line.unit] += line.contents  # type: ignore[assignment]
    for use in shopping.stock:
        used[use.of, use.unit] += use.used  # type: ignore[assignment]
    left = {(one.of, one.unit): one.left for one in shopping.left}
    # Either all that was there is used, or what is left says how much more there was.
    names = {*bought, *used, *left}
    return {n: used[n] + max(bought[n], left.get(n, 0.0)) for n in names}


def _brought(season: Season) -> Counter[tuple[str, str]]:
    """Return what all sessions bring by good and unit."""
    found: Counter[tuple[str, str]] = Counter()
    for session in season.schedule.sessions:
        bring = session.bring
        for amounts, unit in (
            (bring.ingredients_l, "l"), (bring.ready_l, "l"), (bring.additions_l, "l"),
            (bring.additions_kg, "kg"), (bring.bought, "pieces"),
        ):  # fmt: skip
            for name, amount in amounts.items():
                found[name, unit] += amount  # type: ignore[assignment]
    return found


def check_brought(season: Season) -> None:
    """Check that whatever some supply names is there for all that the sessions bring."""
    had = _there(season)
    named = {supply.of for supply in season.plan.supplies}
    short = {one.of for one in season.shopping.short}
    for (name, unit), amount in _brought(season).items():
        if name not in named or name in short:
            continue
        if (name, unit) not in had and unit == "l":
            density = season.plan.density_kg_per_l(name)
            assert density is not None
            unit, amount = "kg", amount * density
        assert amount <= had[name, unit] * (1 + 1e-9) + 1e-6, (name, amount, had[name, unit])
