"""What somebody writes on the command line, as an event: `Fig=12`, `peat=3 for 45.60`.

Names may be written in any case and cut short as long as they fit only one.
A text that cannot be read is a TextError that shows the text and how to write it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any

from attrs import frozen

from rootroom import units
from rootroom.plan.dates import read_date
from rootroom.plan.model import Plan
from rootroom.plan.names import check_name, known_name, meant, shown
from rootroom.problems import TextError
from rootroom.record.apply import State
from rootroom.record.fields import checked

MEASURED_SHARES = ("spill", "shrink")
MEASURED_RATIOS = ("packing", "ball", "swells")
WEATHER = ("dry", "rain", "wind", "frost", "heat")
WHOLE_PLAN = ("packing", "ball", "spill")

_MONEY = re.compile(r"(?:[$€£¥]|[A-Z]{3})?(\d{1,7}(?:[.,]\d{1,2})?)(?:[$€£¥]|[A-Z]{3})?")

Reading = Callable[[str], tuple[str, dict[str, Any]]]


@frozen
class Noter:
    """Reads notes about one plan, as it stands after `state`."""

    plan: Plan
    state: State

    def read(self, kind: str, text: str) -> tuple[str, dict[str, Any]]:
        """Return the kind and the data of the event that a note tells."""
        readings: Mapping[str, Reading] = {
            "moved": lambda t: ("moved", self._plants(t)),
            # Also what stands there after its last move can be lost, and can be counted.
            "lost": lambda t: ("lost", self._plants(t, beyond=1)),
            "counted": self._counted,
            "not yet": self._not_yet,
            "blended": lambda t: ("blended", self._mix(t)),
            "used": lambda t: ("used", self._mix(t)),
            "left": lambda t: ("left", self._mix(t)),
            "spilled": lambda t: ("spilled", self._mix(t)),
            "taken out": self._taken_out,
            "filled": self._filled,
            "bought": self._bought,
            "freed": lambda t: ("freed", self._boxes(t)),
            "broken": lambda t: ("broken", self._boxes(t)),
            "worked": lambda t: ("worked", {"minutes": units.read_minutes(t)}),
            "measured": self._measured,
            "timed": self._timed,
            "weather": lambda t: ("weather", {"weather": known_name(t, WEATHER, "weather")}),
            "note": lambda t: ("note", {"text": t.strip()}),
        }
        check_name(text, empty=False)
        known, data = readings[kind](text)
        try:
            return known, checked(known, data)
        except TextError as error:
            message = f"{error.message}: `{shown(text)}`"
            raise TextError(message, code="unread-note", hint="is a digit too many?") from None

    # Plants

    def _plants(self, text: str, *, beyond: int = 0) -> dict[str, Any]:
        shape = "`Fig=12`, `Fig:2=12` for its second move, or `Fig/Old gold=4` for one sort"
        name, count = _halves(text, shape)
        name, move, sort = self._move(name, beyond)
        moves = max(len(group.kind.moves) for group in self.plan.plants if group.name == name)
        if not 1 <= move <= moves + beyond:
            raise TextError(
                f"`{shown(name)}` has {moves or 'no'} move{'s' if moves != 1 else ''}: "
                f"`{shown(text)}`",
                code="unknown-move",
                hint="moves are counted from 1 in the order of the plan",
            )
        data = {"plant": name, "move": move, "count": _count(count, text)}
        return {**data, "sort": sort} if sort else data

    def _counted(self, text: str) -> tuple[str, dict[str, Any]]:
        """Return what is there at the end of a day: plants, packs, a heap of mix, empty pots."""
        name, rest = _halves(text, "`Fig:2=11`, `peat=1.5`, `tree=30 L` or, of empty pots, `#3=4`")
        plants = set(self.plan.plants.names)
        goods = {supply.of for supply in self.plan.supplies if supply.of_kind != "container"}
        known = {*plants, *goods, *self.plan.mixes}
        before, colon, after = name.rpartition(":")
        if colon and after.strip().isdigit() and name.strip() not in known:
            name = before
        if meant(name.strip(), known) is None and self._sort_of(name) is not None:
            return "counted", self._plants(text, beyond=1)
        boxes = self._container_names()
        of = known_name(name, {**dict.fromkeys(known), **boxes}, "plant, mix, good or container")
        if of in boxes and of not in known:
            return "empty", {"container": of, "count": _count(rest, text)}
        if of in plants:
            return "counted", self._plants(text, beyond=1)
        shape = f"`{of}=1.5` packs, or `{of}=30 L` of a heap"
        packs, _, source = rest.strip().partition(" at ")
        alike = [supply for supply in self.plan.supplies if supply.of == of]
        if not re.fullmatch(r"\d{1,9}(?:\.\d{1,9})?", packs):
            if of in self.plan.mixes:
                return "left", {"mix": of, "l": self._litres(rest, text)}
            alike = [supply for supply in alike if supply.have_l is not None]
            if not alike:
                raise _unread(text, f"`{of}=1.5`, in packs: the plan has no own heap of it")
            data = {"packs": None, "l": self._litres(rest, text)}
        else:
            alike = [one for one in alike if one.pack and source.strip() in ("", one.supplier)]
            data = {"packs": _plain(_decimal(packs, text, shape)), "l": None}
        if len(alike) != 1:
            names = ", ".join(f"`at {one.supplier}`" for one in alike if one.supplier)
            what = f"say which with {names}" if names else f"write {shape}"
            raise TextError(f"which `{of}`? `{shown(text)}`", code="unread-note", hint=what)
        return "in stock", {"of": of, "supply": alike[0].number, **data}

    def _not_yet(self, text: str) -> tuple[str, dict[str, Any]]:
        body, _, until = text.partition(" until ")
        data = self._plants(body)
        if until:
            data["until"] = read_date(until).isoformat()
        return "not yet", data

    def _move(self, text: str, beyond: int) -> tuple[str, int, str]:
        """Return a plant, its move (by default that which the hindmost wait for), and its sort.

        With `beyond` those that have made all their moves are meant where no others are.
        """
        known = set(self.plan.plants.names)
        before, colon, after = text.rpartition(":")
        move = None
        if colon and after.strip().isdigit() and text.strip() not in known:
            text, move = before, int(after)
        name, sort = self._sort_of(text) or (known_name(text, known, "plant"), "")
        stages = [
            stage
            for group in self.state.groups.get(name, ())
            for stage in range(len(group.moves) + beyond)
            if group.standing(stage, sort)
        ]
        return name, min(stages, default=0) + 1 if move is None else move, sort

    def _sort_of(self, text: str) -> tuple[str, str] | None:
        """Return the plant and the sort that `Fig/Old gold` names; None for a plain name."""
        names = set(self.plan.plants.names)
        plant, stroke, sort = text.partition("/")
        if not stroke or meant(text.strip(), names) is not None:
            return None
        while stroke and meant(plant.strip(), names) is None:  # a stroke in the plant's own name
            more, stroke, sort = sort.partition("/")
            plant = f"{plant}/{more}"
        if not stroke:
            plant, _, sort = text.partition("/")
        plant = known_name(plant, names, "plant")
        sorts = [
            sort
            for row, name in enumerate(self.plan.plants.names)
            if name == plant
            for sort, _ in self.plan.plants.marks_at(row).sorts
        ]
        return plant, known_name(sort, sorts, f"sort of `{shown(plant)}`")

    # Goods

    def _mix(self, text: str) -> dict[str, Any]:
        name, amount = _halves(text, "`tree=70 L` or `tree=9 scoops`")
        return {"mix": known_name(name, self.plan.mixes, "mix"), "l": self._litres(amount, text)}

    def _litres(self, amount: str, text: str) -> float:
        found = re.fullmatch(r"(.+?)\s*scoops?", amount.strip())
        if found is None:
            try:
                return round(units.read_volume_l(amount), 6)
            except TextError as error:
                if error.code != "unknown-unit":
                    raise
                hint = "write `9 scoops`, `70 L` or `2.5 cu ft`"
                raise TextError(error.message, code=error.code, hint=hint) from None
        number = units.read_number(found[1])
        if number < 0:
            raise _unread(text, "`tree=9 scoops`")
        return round(float(number) * self.plan.work.scoop_l, 6)

    def _taken_out(self, text: str) -> tuple[str, dict[str, Any]]:
        amount, _, of = text.partition(" of ")
        data: dict[str, Any] = {"l": self._litres(amount, text)}
        if of:
            data["of"] = of.strip()
        return "taken out", data

    def _filled(self, text: str) -> tuple[str, dict[str, Any]]:
        name, share = _halves(text, "`South bed=100 %`, or `South bed:2=50 %` for its second layer")
        beds = {bed.name: bed for bed in self.plan.beds}
        before, colon, after = name.rpartition(":")
        layer = 0
        if colon and after.strip().isdigit() and name.strip() not in beds:
            name, layer = before, int(after)
        bed = beds[known_name(name, beds, "bed")]
        if not layer:
            open_layers = [
                number
                for number in range(1, len(bed.layers) + 1)
                if self.state.filled.get((bed.name, number), 0.0) < 1
            ]
            layer = min(open_layers, default=len(bed.layers))
        if not 1 <= layer <= len(bed.layers):
            raise TextError(
                f"`{bed.name}` has {len(bed.layers)} layers: `{shown(text)}`",
                code="unknown-layer",
                hint="layers are counted from below, from 1",
            )
        data = {"bed": bed.name, "layer": layer, "share": units.read_share(share)}
        return "filled", {**data, "of": bed.layers[layer - 1].of}

    def _bought(self, text: str) -> tuple[str, dict[str, Any]]:
        shape = "`peat=3 for 45.60 at Mill Road`"
        name, rest = _halves(text, shape)
        found = re.fullmatch(r"\s*(\S+?)(?:\s+for\s+(\S+))?(?:\s+at\s+(.+?))?\s*", rest)
        if found is None:
            raise _unread(text, shape)
        packs, paid, source = found.groups()
        goods = list(dict.fromkeys(supply.of for supply in self.plan.supplies))
        of = known_name(name, goods, "supply")
        number = _decimal(packs, text, shape)
        if not number:
            raise TextError(
                f"no packs were bought: `{shown(text)}`", code="zero-number", hint="leave it out"
            )
        data: dict[str, Any] = {
            "of": of,
            "packs": _plain(number),
            "paid_cents": None if paid is None else _cents(paid, text),
        }
        alike = [supply for supply in self.plan.supplies if supply.of == of]
        if source is not None:
            suppliers = dict.fromkeys(s.supplier for s in alike if s.supplier)
            known = [one for one in suppliers if one.casefold() == source.casefold()]
            data["from"] = known[0] if known else source
            alike = [supply for supply in alike if supply.supplier == data["from"]]
        if len(alike) == 1:
            data["supply"] = alike[0].number
            if alike[0].pack is not None:
                data["pack"] = alike[0].pack.text
            data.setdefault("from", alike[0].supplier)
        return "bought", data

    def _boxes(self, text: str) -> dict[str, Any]:
        name, count = _halves(text, "`#3=4`")
        return {"container": self._container(name), "count": _count(count, text)}

    def _container(self, name: str) -> str:
        return known_name(name, self._container_names(), "container of the plan")

    def _container_names(self) -> dict[str, None]:
        known = {**dict.fromkeys(self.plan.stock), **dict.fromkeys(self.plan.containers)}
        for kind in self.plan.plants.kinds:
            for move in kind.moves:
                known |= {box.text: None for box in (move.old, move.new) if box is not None}
        return known

    # Figures

    def _measured(self, text: str) -> tuple[str, dict[str, Any]]:
        shape = "`packing=1.2`, `fill #7=22 L`, `shrink tree=12 %` or `swells peat=1.8`"
        name, value = _halves(text, shape)
        value, times = _times(value)
        what, _, of = name.strip().partition(" ")
        what, of = what.casefold(), of.strip()
        if what not in (*MEASURED_SHARES, *MEASURED_RATIOS, "fill"):
            raise _unread(text, shape)
        if what in WHOLE_PLAN and of:
            raise _unread(text, f"`{what}=...`, which holds for the whole plan")
        if what == "fill":
            of, number = self._container(of), units.read_volume_l(value)
        elif what in MEASURED_SHARES:
            of = of if what == "spill" else known_name(of, self.plan.mixes, "mix")
            number = units.read_share(value)
        else:
            swelling = [supply.of for supply in self.plan.supplies if supply.of_kind != "container"]
            of = known_name(of, swelling, "supply") if what == "swells" else ""
            number = float(_decimal(value.strip(), text, shape))
        data: dict[str, Any] = {"what": what, "of": of, "value": round(number, 9)}
        if times > 1:
            data["times"] = times
        return "measured", data

    def _timed(self, text: str) -> tuple[str, dict[str, Any]]:
        shape = "`#3=18 in 95 min`, `blend=3 in 40 min` or `refresh half barrel=1 in 50 min`"
        name, rest = _halves(text, shape)
        count, _, minutes = rest.partition(" in ")
        if not minutes:
            raise _unread(text, shape)
        from rootroom.catalogue.minutes import minutes_rows

        data: dict[str, Any] = {"work": "", "count": _count(count, text)}
        name = name.strip()
        kinds = sorted(minutes_rows(), key=len, reverse=True)
        work = next((kind for kind in kinds if f"{name.casefold()} ".startswith(f"{kind} ")), None)
        if work is None:
            data["work"], data["container"] = "up-pot", self._container(name)
        else:
            data["work"] = work
            if len(name) > len(work):
                data["container"] = self._container(name[len(work) :])
        return "timed", {**data, "minutes": units.read_minutes(minutes)}


def _halves(text: str, shape: str) -> tuple[str, str]:
    name, equals, rest = text.rpartition("=")
    if not equals or not name.strip() or not rest.strip():
        raise _unread(text, shape)
    return name, rest


def _unread(text: str, shape: str) -> TextError:
    return TextError(f"cannot be read: `{shown(text)}`", code="unread-note", hint=f"write {shape}")


def _count(text: str, whole: str) -> int:
    if not re.fullmatch(r"\s*\d{1,7}\s*", text):
        raise TextError(
            f"a whole number belongs behind the sign: `{shown(whole)}`",
            code="not-a-count",
            hint="as `=12`",
        )
    return int(text)


def _times(text: str) -> tuple[str, int]:
    found = re.fullmatch(r"(.+?)\s+x\s*(\d{1,5})\s*", text)
    return (text, 1) if found is None else (found[1], max(int(found[2]), 1))


def _decimal(text: str, whole: str, shape: str) -> Decimal:
    if not re.fullmatch(r"\d{1,9}(?:\.\d{1,9})?", text):
        raise _unread(whole, shape)
    return Decimal(text)


def _plain(number: Decimal) -> int | float:
    return int(number) if number == number.to_integral_value() else float(number)


def _cents(text: str, whole: str) -> int:
    if not re.fullmatch(r"\d{1,7}(?:\.\d+)?", text):
        found = _MONEY.fullmatch(text)
        price = "45.60" if found is None else found[1].replace(",", ".")
        raise TextError(
            f"a price is a plain number: `{shown(whole)}`",
            code="price-with-sign",
            hint=f"write `for {price}`, in the garden's currency",
        )
    cents = Decimal(text) * 100
    if cents != cents.to_integral_value():
        raise TextError(f"money has at most two decimals: `{shown(whole)}`", code="price-decimals")
    return int(cents)
