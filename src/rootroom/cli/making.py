"""Commands that make a plan: a new one, something more in one, a page to write it on."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from rootroom.cli.common import PlanPath, fail, refusing, say, text_option, with_options, write_new
from rootroom.counts import counted, some_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from rootroom.plan.additions import Grown
    from rootroom.plan.editing import Thing


def new(
    path: Annotated[
        Path, typer.Argument(metavar="[FILE]", help="Where to write it; never over a file.")
    ] = Path("season.toml"),
    plain: Annotated[
        bool, typer.Option("--plain", help="Ask nothing: a starter plan to change.")
    ] = False,
) -> None:
    """Make a plan by questions, or write a starter plan to change."""
    from rootroom.cli.questions.asking import on_terminal

    if path.exists():
        fail(f"there is a file already: `{path}`", hint="give another name")
    if plain or not on_terminal():
        _starter(path)
    else:
        _by_questions(path)


def _starter(path: Path) -> None:
    from rootroom.plan.drafts import starter_plan

    write_new(path, starter_plan().encode())
    say(f"wrote {path}: change it, then run `rootroom check {path}`")


def _by_questions(path: Path) -> None:
    from rootroom.cli.import_list import write_draft
    from rootroom.cli.questions.asking import Interview
    from rootroom.cli.questions.plan import ask_plan

    plain_way = "; `rootroom new --plain` writes a starter plan to change"
    draft = Interview().run(ask_plan, otherwise=plain_way)
    say("")
    write_draft(draft, path)


ADDED = {
    "name": text_option("--name", "TEXT", "Of a plant or a mix."),
    "count": text_option("--count", "N", "How many."),
    "now": text_option("--now", "POT", "What the plant is in now."),
    "to": text_option("--to", "POT", "A pot, a bed, ground or sold."),
    "mix": text_option("--mix", "NAME", "What it is filled with."),
    "from": text_option("--from", "TEXT", "Not before; of a supply: the shop."),
    "by": text_option("--by", "TEXT", "Done by."),
    "parts": text_option("--parts", "RECIPE", "As '5:1:1 bark peat perlite'."),
    "of": text_option("--of", "GOOD", "What can be had: peat, #3."),
    "pack": text_option("--pack", "SIZE", "What a package holds."),
    "price": text_option("--price", "MONEY", "What a package costs."),
    "shape": text_option("--shape", "SIZE", "Of a bed: 8 ft x 4 ft."),
    "depth": text_option("--depth", "SIZE", "Of a bed: how deep it is filled."),
    "have": text_option("--have", "SIZE", "Your own, never bought."),
}
"""What may be said of the thing that is added, by the plan's key."""


KINDS = {
    "plant": ("name", "count", "now", "to", "mix", "from", "by"),
    "supply": ("of", "pack", "price", "have", "from"),
    "mix": ("name", "parts"),
    "bed": ("name", "shape", "depth", "mix", "from", "by"),
}
"""What may be said of each kind of thing, in the order in which the plan has it."""


@with_options("said", ADDED)
def add(
    plan: PlanPath,
    what: Annotated[
        str | None, typer.Argument(metavar="[WHAT]", help="`plant`, `supply`, `mix` or `bed`.")
    ] = None,
    *,
    said: dict[str, str],
    also: Annotated[
        list[str] | None,
        typer.Option(
            "--also", metavar="'KEY=VALUE'", help="Any other key, as in the plan (repeatable)."
        ),
    ] = None,
) -> None:
    """Add a plant, supply, mix or bed to a plan, all else left as it is."""
    from rootroom.cli.questions.asking import on_terminal
    from rootroom.plan.additions import grow, plan_text

    kind = None if what is None else _kind(what)
    text = plan_text(plan)
    if said or also:
        kind = kind or _kind_of(said)
        fields = {**_fields(kind, said), **_others(also)}
        grown = grow(text, plan, kind, fields)
    elif on_terminal():
        grown = _by_answers(plan, text, kind)
    else:
        fail(
            "nothing to add was said",
            hint="write `--name Fig --count 6 --now '#1' --to '#3'`, `--of peat --pack '2 cu ft' "
            "--price 9.50`, `--name tree --parts '5:1:1 bark peat perlite'` or `--name Bed --shape "
            "'8 ft x 4 ft' --depth '10 in'`",
        )
    _write_grown(plan, grown)


def _by_answers(plan: Path, text: str, kind: "Thing | None") -> "Grown":
    from rootroom.cli.questions.asking import Interview
    from rootroom.cli.questions.plan import ask_addition
    from rootroom.plan.additions import grow

    chosen, fields = Interview().run(lambda ask: ask_addition(ask, kind, text, plan))
    say("")
    return grow(text, plan, chosen, fields)


def _kind(what: str) -> "Thing":
    from rootroom.plan.answers import one_of

    with refusing():
        return one_of("plant", "supply", "mix", "bed")(what)  # type: ignore[return-value]


def _kind_of(said: "Mapping[str, str]") -> "Thing":
    if "of" in said:
        return "supply"
    if "shape" in said:
        return "bed"
    return "mix" if "parts" in said else "plant"


def _fields(kind: "Thing", said: "Mapping[str, str]") -> dict[str, Any]:
    """Return options as the plan's values; exit 2 for one that is of another kind, or missing."""
    from rootroom.plan import answers

    known = KINDS[kind]
    needed = {"plant": ("name", "count", "now"), "supply": ("of",), "mix": ("name", "parts"),
              "bed": ("name", "shape")}  # fmt: skip
    for key in said:
        if key not in known:
            fail(f"a {kind} has no --{key}", hint=f"it has --{', --'.join(known)}")
    for key in needed.get(kind, ()):
        if key not in said:
            fail(f"a {kind} needs --{key}")
    readers = {
        "name": answers.read_name, "count": answers.read_count_text,
        "from": answers.read_name if kind == "supply" else answers.read_when_text,
        "by": answers.read_when_text, "parts": answers.read_recipe,
        "price": answers.read_price_text,
        "pack": answers.read_pack_text, "have": answers.read_pack_text,
    }  # fmt: skip
    fields: dict[str, Any] = {}
    for key in filter(said.__contains__, known):
        with refusing(f"--{key}: "):
            fields[key] = readers.get(key, str.strip)(said[key])
    return fields


def _others(also: list[str] | None) -> dict[str, Any]:
    import tomllib
    from decimal import Decimal

    from rootroom.plan.editing import toml_value

    found = {}
    for pair in also or ():
        key, equals, value = pair.partition("=")
        if not equals or not key.strip():
            fail(f"--also is written as KEY=VALUE: `{pair}`")
        line = f"it = {toml_value(value, key.strip())}"
        found[key.strip()] = tomllib.loads(line, parse_float=Decimal)["it"]
    return found


def _write_grown(plan: Path, grown: "Grown") -> None:
    from rootroom.plan.drafts import toml_text
    from rootroom.sheets.files import put_file
    from rootroom.sheets.layout import fill, item

    put_file(plan.resolve(), grown.text.encode())
    say(f"added to {plan}:")
    for line in grown.lines:
        whole = line.strip().replace(" = ", "\0=\0")  # a key stays beside its value
        say(item(whole))
    if grown.named:
        said = f"`mix = {toml_text(grown.only_mix)}`"
        names = some_of(grown.named)
        say(fill(f"{said} now stands on what took the only mix until now: {names}"))
    if grown.errors:
        say(f"the plan still has {counted(len(grown.errors), 'error')}: `rootroom check {plan}`")


USUAL = Path("plan.toml")


def open_page(
    plan: Annotated[
        Path, typer.Argument(metavar="[PLAN]", help="The plan file; it may be a new one.")
    ] = USUAL,
    port: Annotated[
        int, typer.Option("--port", min=0, max=65535, help="The port; 0 is any free one.")
    ] = 0,
    browser: Annotated[
        bool, typer.Option("--browser/--no-browser", help="Open it in the browser, or only say it.")
    ] = True,
) -> None:
    """Write and try a plan on a page in the browser."""
    from rootroom.page.serving import Serving

    if not plan.parent.is_dir():
        fail(f"there is no such folder: {plan.parent}")
    try:
        with refusing():
            serving = Serving(plan, port=port)
    except OSError as error:
        fail(f"cannot open the page: {error.strerror or error}")

    def tell(address: str) -> None:
        say(f"{plan.name} is open at\n\n    {address}\n\nCtrl-C ends it.")

    serving.run(browser=browser, tell=tell)
    draft = serving.page.desk.kept.draft_path
    if draft.exists():
        say(f"What was not saved is kept in {draft.name}, and offered at the next start.")
