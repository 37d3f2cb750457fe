"""Small random plans as text, in two systems of units, and with a little more of something.

Whole seasons of them are planned in a fraction of a second, so laws can be tried on many.
"""

from __future__ import annotations

from decimal import Decimal
from random import Random
from typing import Literal

__all__ = ["MORE", "small_plan"]

Change = Literal[
    "vessel", "store", "hours", "people", "days", "window", "stock", "price", "split", ""
]
MORE: tuple[Change, ...] = ("vessel", "store", "hours", "people", "days", "window")
"""What there can be more of on the side of the work."""

LITRES = Decimal("28.316846592")  # a cubic foot, NIST Handbook 44
KILOGRAMS = Decimal("0.45359237")  # a pound
CENTIMETRES = Decimal("2.54")  # an inch


def small_plan(seed: int, change: Change = "", *, metric: bool = False) -> str:
    """Return a plan drawn from `seed`, alike but for one `change`, in US units or `metric`."""
    chance = Random(seed)

    def volume(feet: float | str) -> str:
        return f'"{Decimal(str(feet)) * LITRES:f} L"' if metric else f'"{feet} cu ft"'

    def mass(pounds: float) -> str:
        return f'"{Decimal(str(pounds)) * KILOGRAMS:f} kg"' if metric else f'"{pounds} lb"'

    def length(inches: float) -> str:
        return f'"{Decimal(str(inches)) * CENTIMETRES:f} cm"' if metric else f'"{inches} in"'

    def shape(long_in: float, wide_in: float) -> str:
        return f'"{length(long_in)} x {length(wide_in)}"'.replace('"', "").join('""')

    # A tablespoon is 1/256 gal, so 2 to the gallon are 7.8125 mL to the litre.
    spoons = "7.8125 mL/L" if metric else "2 tbsp/gal"
    window = 14 if change == "window" else 7
    rows = []
    for number in range(chance.randint(2, 3)):
        count, opens = chance.randint(2, 9), chance.choice([6, 13, 20])
        now, to = chance.choice([("cutting", "cup"), ("cup", "pot"), ("pot", "tub")])
        used = chance.choice(["plain", "rich"])
        fed = f", add = {{ feed = {mass(0.05)} }}" if chance.random() < 0.4 else ""
        due = f"2027-{'03' if opens + window < 32 else '04'}-{(opens + window - 1) % 31 + 1:02}"
        rest = f'now = "{now}", to = "{to}", mix = "{used}", from = 2027-03-{opens:02}'
        rest += f", by = {due}{fed}"
        counts = [count]
        if change == "split" and number == 0:
            counts = [1, count - 1]
        rows += [
            f'  {{ name = "Group {number}{"ab"[half]}", count = {some}, {rest} }},'
            for half, some in enumerate(counts)
        ]
    beds = ""
    if chance.random() < 0.4:
        beds = f"""[[beds]]
name = "Bed"
shape = {shape(36, 18)}
depth = {length(6)}
layers = [ {{ of = "straw", depth = {length(2)} }}, {{ of = "plain" }} ]
"""
    parts = {name: chance.randint(1, 4) for name in ("peat", "sand", "perlite")}
    inner = f"plain = 2, bark = {chance.randint(1, 2)}" if chance.random() < 0.5 else "bark = 1"
    supplies = []
    for name, size in (("peat", 2), ("sand", 0.5), ("perlite", 1), ("bark", 2), ("straw", 4)):
        price = chance.randint(300, 2000)
        price = price * 9 // 10 if change == "price" and name == "peat" else price
        had = chance.choice([0, 0, 0.5]) + (1 if change == "stock" and name in "peat bark" else 0)
        supplies.append(
            f'  {{ of = "{name}", pack = {volume(size)}, price = {price / 100:.2f}, from = "Mill", '
            f"on_hand = {had}{', swells = 1' if name == 'peat' else ''} }},"
        )
    for name in ("cup", "pot", "tub"):
        supplies.append(f'  {{ of = "{name}", pack = 3, price = 2.50, from = "Barn" }},')
    if chance.random() < 0.4:
        supplies.append(f'  {{ of = "plain", pack = {volume(1)}, price = 9.00, from = "Barn" }},')
    supplies.append(
        f'  {{ of = "dolomitic lime", pack = {mass(5)}, price = 6.00, from = "Mill" }},'
    )
    supplies.append(f'  {{ of = "feed", pack = {mass(1)}, price = 4.00, from = "Mill" }},')
    flex = chance.choice(["0 %", "10 %"])
    work = {
        "hours": chance.choice([1, 2]) + (2 if change == "hours" else 0),
        "people": 2 if change == "people" else 1,
        "vessel": chance.choice([1, 2]) * (3 if change == "vessel" else 1),
        "store": chance.choice([0, 3]) + (4 if change == "store" else 0),
        "days": '"sat", "sun"' if change == "days" else '"sat"',
    }
    return f"""format = 1
plants = [
{chr(10).join(rows)}
]
supplies = [
{chr(10).join(supplies)}
]
[garden]
units = "{"metric" if metric else "us"}"
last_frost = 2027-04-12
[work]
days = [{work["days"]}]
first = 2027-03-06
last = 2027-04-24
hours = {work["hours"]}
people = {work["people"]}
vessel = {volume(work["vessel"])}
scoop = {volume("0.25")}
store = {volume(work["store"])}
[mixes.plain]
parts = {{ {", ".join(f"{name} = {part}" for name, part in parts.items())} }}
flex = "{flex}"
add = {{ "dolomitic lime" = "{spoons}" }}
[mixes.rich]
parts = {{ {inner} }}
[ingredients.feed]
addition = true
density = "900 kg/m3"
[containers.cup]
volume = {volume("0.03")}
[containers.pot]
volume = {volume("0.25")}
on_hand = 2
[containers.tub]
volume = {volume("0.75")}
{beds}[suppliers.Mill]
trip = 4.00
tax = "7 %"
"""
