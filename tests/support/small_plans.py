"""Small random plans as text, in two systems of units, and with a little more of something.

Whole seasons of them are planned in a fraction of a second, so laws can be tried on many.
"""

from __future__ import annotations

from decimal import Decimal
from random import Random
from typing import Literal

from attrs import frozen

Change = Literal[
    "vessel", "store", "hours", "people", "days", "window", "stock", "price", "split", ""
]
MORE: tuple[Change, ...] = ("vessel", "store", "hours", "people", "days", "window")
"""What there can be more of on the side of the work."""


@frozen
class _Units:
    """Writes amounts of US units as they are, or exactly the same in metric ones."""

    metric: bool

    def volume(self, feet: float) -> str:
        return self._text(feet, "cu ft", "28.316846592", "L")  # NIST Handbook 44

    def mass(self, pounds: float) -> str:
        return self._text(pounds, "lb", "0.45359237", "kg")

    def length(self, inches: float) -> str:
        return self._text(inches, "in", "2.54", "cm")

    def _text(self, amount: float, unit: str, each: str, metric: str) -> str:
        if self.metric:
            return f'"{Decimal(str(amount)) * Decimal(each):f} {metric}"'
        return f'"{amount} {unit}"'


def small_plan(seed: int, change: Change = "", *, metric: bool = False) -> str:
    """Return a plan drawn from `seed`, alike but for one `change`, in US units or `metric`."""
    chance, units = Random(seed), _Units(metric)
    plants = _plants(chance, units, change)
    bed = _bed(units) if chance.random() < 0.4 else ""
    parts = {name: chance.randint(1, 4) for name in ("peat", "sand", "perlite")}
    inner = f"plain = 2, bark = {chance.randint(1, 2)}" if chance.random() < 0.5 else "bark = 1"
    supplies = _supplies(chance, units, change)
    flex = chance.choice(["0 %", "10 %"])
    work = _work(chance, units, change)
    # A tablespoon is 1/256 gal, so 2 to the gallon are 7.8125 mL to the litre.
    spoons = "7.8125 mL/L" if metric else "2 tbsp/gal"
    return f"""format = 1
plants = [
{plants}]
supplies = [
{supplies}]
[garden]
units = "{"metric" if metric else "us"}"
last_frost = 2027-04-12
{work}[mixes.plain]
parts = {{ {", ".join(f"{name} = {part}" for name, part in parts.items())} }}
flex = "{flex}"
add = {{ "dolomitic lime" = "{spoons}" }}
[mixes.rich]
parts = {{ {inner} }}
[ingredients.feed]
addition = true
density = "900 kg/m3"
[containers.cup]
volume = {units.volume(0.03)}
[containers.pot]
volume = {units.volume(0.25)}
on_hand = 2
[containers.tub]
volume = {units.volume(0.75)}
{bed}[suppliers.Mill]
trip = 4.00
tax = "7 %"
"""


def _plants(chance: Random, units: _Units, change: Change) -> str:
    window = 14 if change == "window" else 7
    rows = ""
    for number in range(chance.randint(2, 3)):
        count, opens = chance.randint(2, 9), chance.choice([6, 13, 20])
        now, to = chance.choice([("cutting", "cup"), ("cup", "pot"), ("pot", "tub")])
        used = chance.choice(["plain", "rich"])
        fed = f", add = {{ feed = {units.mass(0.05)} }}" if chance.random() < 0.4 else ""
        due = f"2027-{'03' if opens + window < 32 else '04'}-{(opens + window - 1) % 31 + 1:02}"
        split = change == "split" and number == 0
        for half, some in zip("ab", [1, count - 1] if split else [count], strict=False):
            rows += (
                f'  {{ name = "Group {number}{half}", count = {some}, now = "{now}", to = "{to}", '
                f'mix = "{used}", from = 2027-03-{opens:02}, by = {due}{fed} }},\n'
            )
    return rows


def _bed(units: _Units) -> str:
    shape = f"{units.length(36)} x {units.length(18)}".replace('"', "")
    return f"""[[beds]]
name = "Bed"
shape = "{shape}"
depth = {units.length(6)}
layers = [ {{ of = "straw", depth = {units.length(2)} }}, {{ of = "plain" }} ]
"""


def _supplies(chance: Random, units: _Units, change: Change) -> str:
    rows = []
    for name, size in (("peat", 2), ("sand", 0.5), ("perlite", 1), ("bark", 2), ("straw", 4)):
        price = chance.randint(300, 2000)
        price = price * 9 // 10 if change == "price" and name == "peat" else price
        had = chance.choice([0, 0, 0.5]) + (1 if change == "stock" and name in "peat bark" else 0)
        loose = ", swells = 1" if name == "peat" else ""
        rows.append(
            f'of = "{name}", pack = {units.volume(size)}, price = {price / 100:.2f}, '
            f'from = "Mill", on_hand = {had}{loose}'
        )
    for name in ("cup", "pot", "tub"):
        rows.append(f'of = "{name}", pack = 3, price = 2.50, from = "Barn"')
    if chance.random() < 0.4:
        rows.append(f'of = "plain", pack = {units.volume(1)}, price = 9.00, from = "Barn"')
    for name, pounds, dollars in (("dolomitic lime", 5, 6), ("feed", 1, 4)):
        rows.append(f'of = "{name}", pack = {units.mass(pounds)}, price = {dollars}, from = "Mill"')
    return "".join(f"  {{ {row} }},\n" for row in rows)


def _work(chance: Random, units: _Units, change: Change) -> str:
    hours = chance.choice([1, 2]) + (2 if change == "hours" else 0)
    vessel = chance.choice([1, 2]) * (3 if change == "vessel" else 1)
    store = chance.choice([0, 3]) + (4 if change == "store" else 0)
    return f"""[work]
days = [{'"sat", "sun"' if change == "days" else '"sat"'}]
first = 2027-03-06
last = 2027-04-24
hours = {hours}
people = {2 if change == "people" else 1}
vessel = {units.volume(vessel)}
scoop = {units.volume(0.25)}
store = {units.volume(store)}
"""
