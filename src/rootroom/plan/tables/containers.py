"""The table [containers]: the plan's own pots, and what is on hand of any."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NewType

from attrs import define, field, fields, frozen

from rootroom.containers.container import Container
from rootroom.containers.own import own_container
from rootroom.containers.shapes import Box, Cone, Pyramid, Shape
from rootroom.containers.text import read_container
from rootroom.plan.diagnostics import Findings, Path
from rootroom.plan.measures import Litres, Metres, MetresOrZero
from rootroom.plan.names import tables_under, tidy
from rootroom.plan.structure import structure
from rootroom.plan.values import READERS, Whole, show
from rootroom.problems import TextError

Sides = NewType("Sides", object)


def _read_sides(value: object) -> tuple[float, float]:
    """Return the two sides of a rectangle [m]: one length for a square, a pair for others."""
    read = READERS[Metres]
    if isinstance(value, list):
        if len(value) != 2:
            raise TextError(
                f"a rectangle has two sides: {show(value)}",
                code="wrong-kind",
                hint='write `top = ["24 in", "12 in"]`',
            )
        return read(value[0]), read(value[1])
    side = read(value)
    return side, side


READERS[Sides] = _read_sides


@frozen(eq=False, repr=False)
class RoundTable:
    """Inside diameters and height of a round pot."""

    top: Metres | None = None
    bottom: Metres | None = None
    height: Metres | None = None


@frozen(eq=False, repr=False)
class SquareTable:
    """Inside sides and height of a square or rectangular pot."""

    top: Sides | None = None
    bottom: Sides | None = None
    height: Metres | None = None


@frozen(eq=False, repr=False)
class BoxTable:
    """Inside length, width and height of a box."""

    length: Metres | None = None
    width: Metres | None = None
    height: Metres | None = None


@frozen(eq=False, repr=False)
class ContainerTable:
    """A table under [containers] as written."""

    round: RoundTable | None = None
    square: SquareTable | None = None
    box: BoxTable | None = None
    volume: Litres | None = None
    height: Metres | None = None
    headspace: MetresOrZero | None = None
    on_hand: Whole | None = None


@define
class OwnContainers:
    """The plan's own containers by name, all names with a table, and the stock by text."""

    known: dict[str, Container] = field(factory=dict)
    names: list[str] = field(factory=list)
    stock: dict[str, int] = field(factory=dict)


def read_own_containers(data: dict[str, Any], findings: Findings) -> OwnContainers:
    """Return what [containers] says; a broken container keeps its name."""
    hint = 'write `[containers."tall pot"]` with its `round`, `square`, `box` or `volume`'
    own = OwnContainers()
    raw = tables_under("containers", data, "container", hint, findings)
    for given, entry in raw.items():
        name, path = tidy(given), ("containers", given)
        own.names.append(name)
        table = structure(ContainerTable, entry, path, findings)
        container = _container(name, table, path, findings)
        if container is None:
            continue
        if container.text in own.stock:
            findings.error(
                path,
                "duplicate-name",
                f"two tables for one container: `{name}`",
                hint=f"both mean `{container.text}`; write one",
                key=True,
            )
        own.known[name] = own.known[container.text] = container
        own.stock[container.text] = table.on_hand or 0
    own.stock = {text: number for text, number in own.stock.items() if number}
    return own


def _container(
    name: str, table: ContainerTable, path: Path, findings: Findings
) -> Container | None:
    try:
        base = read_container(name)
    except TextError:
        base = None
    if findings.seen(path):
        return None
    shapes = [key for key in ("round", "square", "box") if getattr(table, key) is not None]
    if len(shapes) > 1:
        findings.error(
            (*path, shapes[1]),
            "container-sizes",
            f"two shapes for one container: `{shapes[0]}` and `{shapes[1]}`",
            hint="leave one of them out",
            key=True,
        )
        return None
    shape = _shape(table, shapes[0], path, findings) if shapes else None
    if shapes and shape is None:
        return None
    try:
        return own_container(
            name,
            shape=shape,
            volume_l=table.volume,
            headspace_m=table.headspace,
            height_m=table.height,
            base=base,
        )
    except TextError as error:
        findings.refuse(path, error, key=True)
        return None


def _shape(table: ContainerTable, key: str, path: Path, findings: Findings) -> Shape | None:
    sizes = getattr(table, key)
    missing = [each.name for each in fields(type(sizes)) if getattr(sizes, each.name) is None]
    if missing:
        keys = ", ".join(f"{each.name} = ..." for each in fields(type(sizes)))
        findings.error(
            (*path, key),
            "missing-key",
            f"`{key}` needs `{missing[0]}`",
            hint=f"write `{key} = {{ {keys} }}`, inside sizes with their units",
        )
        return None
    shapes: dict[str, Callable[..., Shape]] = {"round": Cone, "square": Pyramid, "box": Box}
    return shapes[key](*(getattr(sizes, each.name) for each in fields(type(sizes))))
