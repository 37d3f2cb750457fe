"""Hypothesis strategies for whole plans: every table and key of the format, likely and unlikely.

What is drawn may be contradictory, late, without a supplier or beyond any work day; each value by
itself can be read. `slipped_plans` then puts values where they do not belong.
"""

from __future__ import annotations

import re
from typing import Any

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn, SearchStrategy

Tree = dict[str, Any]
"""A plan as TOML sees it."""

INGREDIENTS = ("peat", "bark", "compost", "perlite", "coir", "sand", "leaf mould of ours")
MIXES = ("tree", "allround", "Mélange n° 2")
SIZES = (
    ("cutting", "72-cell tray", "bare root"),
    ("4 in square pot", "P9"),
    ("#1", "15 cm pot", "3 gal true"),
    ("#3", "12 in basket", "12 in pot"),
    ("C30", "own pot", "own bag", "15 gal bag"),
    ("half barrel", "200 L"),
)
"""Containers from small to large; a move that goes up has room for the ball."""
SUPPLIERS = ("Mill Road", "Bulk yard", "Café <& Söhne>")
DATE = re.compile(r"\d{4}-\d\d-\d\d")
DAYS = ("2027-03-06", "2027-03-20", "2027-04-03", "2027-05-01")


def _some(fields: dict[str, SearchStrategy[Any]], **needed: SearchStrategy[Any]) -> Any:
    """Return a table with the needed keys and some of the others."""
    rest = {key: value for key, value in fields.items() if key not in needed}
    return st.fixed_dictionaries(needed, optional=rest)


def _of(*values: Any) -> SearchStrategy[Any]:
    return st.sampled_from(values)


SHARES = _of("0 %", "5 %", "12 %", "1/3", "1/4")
WEEKS = _of("0 days", "4 days", "2 weeks", "10 weeks")
WINDOW = {
    "from": _of("2 weeks before last frost", "last frost", *DAYS[:3]),
    "by": _of("1 week after last frost", "5 weeks after last frost", *DAYS[3:], "2027-06-06"),
    "people": _of(1, 1, 2),
}
ADDED = st.dictionaries(_of("dolomitic lime", "tomato feed"), _of("4 lb/yd3", "2 g/L"), max_size=2)
MOVE = {
    **WINDOW,
    "wait": WEEKS,
    "harden": _of("7 days", "2 weeks"),
    "count": st.integers(1, 3),
    "per_pot": _of(1, 1, 3),
    "into": _of(1, 1, 2),
    "keep": _of("100 %", "60 %", "0 %"),
    "add": st.dictionaries(_of("tomato feed"), _of("2 tbsp", "20 g"), max_size=1),
    "big_step": st.booleans(),
}
LEAVING = _some({**WINDOW, "wait": WEEKS}, to=_of("ground", "sold"))
INTO_BED = _some(WINDOW, to=_of("Long bed"))
REFRESHED = _some(MOVE, refresh=_of("1/3", "top 2 in", "20 %"), mix=_of(*MIXES))
PLANT = {
    "crop": _of("fig", "tomato", "lemon", "chives", "nobody's weed"),
    "tender": st.booleans(),
    "stands": _of("2 ft x 3 ft", "1 m2"),
}


@st.composite
def plants(draw: DrawFn) -> Tree:
    """Return a group of plants that goes up in size, is refreshed, or leaves."""
    size = draw(st.integers(0, len(SIZES) - 2))
    plant = draw(_some(PLANT, count=_of(3, 3, 7, 24), now=_of(*SIZES[size])))
    moves = plant["moves"] = []
    for _ in range(draw(st.integers(0, 3))):
        size += draw(st.integers(1, 2))
        if size >= len(SIZES):
            break
        moves.append(draw(_some(MOVE, to=_of(*SIZES[size]), mix=_of(*MIXES))))
    last = draw(st.sampled_from((None, None, LEAVING, INTO_BED, REFRESHED)))
    if last is not None and plant["now"] not in SIZES[0]:
        moves.append(draw(last))
    if draw(st.booleans()) and len(moves) == 1 and "to" in moves[0]:
        # A single move may stand on the plant itself, where `count` is that of the plants.
        plant |= {key: value for key, value in plant.pop("moves")[0].items() if key != "count"}
    return plant


LAYERS = st.lists(
    st.fixed_dictionaries({"of": _of("logs", *MIXES), "depth": _of("2 in", "7 cm")}), max_size=2
).map(lambda below: [*below, {"of": MIXES[0]}])
BED = {**WINDOW, "already": _of("2 in", "1 cm"), "settles": SHARES}
SHAPE = {
    "shape": _of("8 ft x 4 ft", "round 5 ft", "2 m x 80 cm + 1 m x 1 m"),
    "depth": _of("11 in", "30 cm"),
}
BEDS = st.one_of(
    _some(BED, **SHAPE, mix=_of(*MIXES)),
    _some(BED, **SHAPE, layers=LAYERS),
)
MIX = _some(
    {
        "flex": SHARES,
        "shrink": SHARES,
        "add": ADDED,
        "keeps": _of("3 days", "14 days", "10 weeks"),
        "only": _of("own", "own", "ready"),
        "measured": _of(
            {"porosity": "70 %", "air": "20 %", "capacity": "50 %", "height": "6 in"},
            {"volume": "5 L", "poured": "3 L", "drained": "1 L", "height": "20 cm"},
        ),
    },
    parts=st.dictionaries(_of(*INGREDIENTS), st.integers(1, 6), min_size=1, max_size=4),
)
SUPPLY = {
    "from": _of(*SUPPLIERS),
    "on_hand": _of(0, 1, 0.5, 30),
    "at_most": _of(1, 6, 500),
    "more": _of([{"packs": 3, "price": 4.00}]),
}
VOLUMES = _of("2 cu ft", "50 L", "0.5 yd3")
PRICES = st.integers(1, 6000).map(lambda cents: cents / 100)
SUPPLIES = st.one_of(
    _some(SUPPLY, of=_of(*INGREDIENTS, *MIXES), pack=VOLUMES, price=PRICES),
    _some({**SUPPLY, "swells": _of(1.7, {"low": 1.5, "likely": 1.7, "high": 2.0})},
          of=_of("peat", "coir"), pack=VOLUMES, price=PRICES),
    _some({**SUPPLY, "yields": VOLUMES, "water": _of("5 gal")},
          of=_of("coir"), pack=_of("5 kg", "11 lb"), price=PRICES),
    _some(SUPPLY, of=_of("dolomitic lime", "tomato feed"), pack=_of("5 lb", "1 kg"), price=PRICES),
    _some(SUPPLY, of=st.one_of(*(_of(*size) for size in SIZES[1:])), pack=_of(1, 10), price=PRICES),
    _some({}, of=_of(*INGREDIENTS, *MIXES), have=VOLUMES),
)  # fmt: skip
WORK = _some(
    {
        "days": _of(["sat", "sun"], ["wed"], ["mon", "fri", "2027-04-03"]),
        "start": _of("07:30", "09:00"),
        "hours": _of(4, 2, 8, {"default": 4, "sat": 5, "2027-03-20": 2}),
        "people": _of(1, 2, {"default": 1, "2027-03-20": 2}),
        "off": st.lists(_of(*DAYS), max_size=2),
        "spare": SHARES,
        "vessel": _of("2.5 cu ft", "70 L", "2 gal"),
        "scoop": _of("5 gal", "10 L", "1 gal"),
        "store": _of("6 cu ft", "0 L"),
        "store_days": _of(0, 3, 14),
        "setup": _of("20 min", "0 min"),
        "mix_setup": _of("5 min", "0 min"),
    },
    first=_of("2027-03-06", "2027-03-27"),
    last=_of("2027-05-01", "2027-06-06"),
)
GARDEN = _some(
    {"zone": _of("America/New_York", "Europe/Berlin")},
    name=_of("Law Yard", "Größe = 1½ × <b>"),
    units=_of("us", "metric"),
    currency=_of("USD", "EUR"),
    last_frost=_of("2027-04-12"),
)
SUPPLIER = _some(
    {
        "trip": _of(0, 6.00),
        "delivery": _of(55.00),
        "tax": _of("7 %", "0 %"),
        "lead": _of("0 days", "3 days", "10 weeks"),
        "carries": _of("30 cu ft", "200 kg"),
        "minutes": _of("40 min"),
    }
)
FACTORS = _some(
    {
        "packing": _of(1.1, {"low": 1.0, "likely": 1.1, "high": 1.4}),
        "spill": SHARES,
        "ball": _of(0.9),
        "settles": SHARES,
    }
)


@st.composite
def whole_plans(draw: DrawFn) -> Tree:
    """Return a plan with all its tables; most can be read and many can be done."""
    groups = draw(st.lists(plants(), min_size=1, max_size=5))
    for number, group in enumerate(groups):
        group["name"] = f"{draw(_of('Fig', 'Olivenbäumchen', '=A1', '<i>', 'תאנה'))} {number}"
    mixes = {name: draw(MIX) for name in MIXES}
    for mix in mixes.values():
        mix["hold"] = draw(st.lists(_of(*mix["parts"]), max_size=1))
    suppliers = {name: draw(SUPPLIER) for name in SUPPLIERS}
    for supplier in suppliers.values():
        if "delivery" in supplier:
            supplier["least"] = draw(_of("1 yd3", "100 L"))
    return {
        "format": 1,
        "plants": groups,
        "beds": [{**draw(BEDS), "name": "Long bed"}],
        "supplies": draw(st.lists(SUPPLIES, max_size=8)),
        "garden": draw(GARDEN),
        "work": draw(WORK),
        "factors": draw(FACTORS),
        "buying": draw(_some({"sure": _of("50 %", "90 %", "99 %")})),
        "minutes": draw(_some({"wash": _of(2), "#5": _of("6 min"), "blend": _of(20)})),
        "mixes": mixes,
        "containers": {
            "own pot": {"round": {"top": "14 in", "bottom": "11 in", "height": "13 in"}},
            "own bag": {"volume": "40 L", "height": "35 cm", "on_hand": draw(_of(0, 6))},
        },
        "ingredients": {INGREDIENTS[-1]: {"density": "300 kg/m3"}},
        "suppliers": suppliers,
    }


ODD = st.one_of(
    _of(-1, 0, 10**12, 1e300, float("inf"), "", " ", "1,5 L", '10"', "2 qt", "3 foo", "12 %%"),
    _of("31.12.2027", "0 gal", "#0", "\u202e#3", "a/../b", "x" * 10_000, True, [], {}, [[1]]),
    st.text(max_size=12),
)


@st.composite
def slipped_plans(draw: DrawFn) -> Tree:
    """Return a whole plan in which one to three values, or keys, were written wrong."""
    plan = draw(whole_plans())
    for _ in range(draw(st.integers(1, 3))):
        holder: Any = plan
        while True:
            keys = sorted(holder) if isinstance(holder, dict) else list(range(len(holder)))
            if not keys:
                break
            key = draw(st.sampled_from(keys))
            if isinstance(holder[key], dict | list) and draw(st.integers(0, 9)):
                holder = holder[key]
                continue
            if isinstance(holder, dict) and draw(st.booleans()):
                holder[draw(_of("colour", "Price", "tô", "a b"))] = holder.pop(key)
            else:
                holder[key] = draw(ODD)
            break
    return plan


def plan_text(plan: Tree) -> str:
    """Return a plan as a TOML file: the lists first, then a header for each table."""
    top = [f"{_key(key)} = {_value(one)}" for key, one in plan.items() if not _is_table(one)]
    for key, table in plan.items():
        if _is_table(table):
            top += [f"[{_key(key)}]", *(f"{_key(k)} = {_value(v)}" for k, v in table.items())]
    return "\n".join(top) + "\n"


def _is_table(value: Any) -> bool:
    return isinstance(value, dict)


def _key(key: str) -> str:
    return _value(key)


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        if DATE.fullmatch(value):
            return value
        signs = (f"\\U{ord(c):08X}" if c in '"\\' or not c.isprintable() else c for c in value)
        return '"' + "".join(signs) + '"'
    if isinstance(value, list):
        return "[ " + ", ".join(map(_value, value)) + " ]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{_key(k)} = {_value(v)}" for k, v in value.items()) + " }"
    return str(value)
