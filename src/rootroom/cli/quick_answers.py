"""Commands that answer a quick question without a plan."""

from typing import Annotated

import typer

from rootroom.cli.common import AsJson, fail, refusing, say
from rootroom.cli.streams import terminal_width


def fill(
    container: Annotated[
        str | None, typer.Argument(metavar="[CONTAINER]", help="As `#5` or `12 in pot`.")
    ] = None,
    old: Annotated[
        str | None, typer.Option("--from", metavar="CONTAINER", help="What the plant is in now.")
    ] = None,
    count: Annotated[
        int, typer.Option("--count", min=1, max=10_000_000, metavar="N", help="How many.")
    ] = 1,
    bed: Annotated[
        str | None, typer.Option("--bed", metavar="SHAPE", help="A bed, as `8 ft x 4 ft`.")
    ] = None,
    depth: Annotated[
        str | None, typer.Option("--depth", metavar="LENGTH", help="How deep the bed is filled.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Tell how much mix fills a container, or a bed."""
    from rootroom.sheets.without_plan import fill_json, fill_text

    if (container is None) == (bed is None):
        fail("give a container or --bed with --depth, one of the two")
    if (bed is None) != (depth is None):
        fail("--bed and --depth go together")
    with refusing():
        from rootroom.demand.quick import ask_bed, ask_fill

        if bed is not None and depth is not None:
            asked = ask_bed(bed, depth, count=count)
        else:
            asked = ask_fill(container or "", old, count=count)
    say(fill_json(asked) if as_json else fill_text(asked))


def pots(
    text: Annotated[
        list[str] | None,
        typer.Argument(metavar="[TEXT]", help="Only containers with these words, as clay pot."),
    ] = None,
) -> None:
    """List the containers that a plan may name, with what they hold."""
    from rootroom.problems import TextError
    from rootroom.sheets.without_plan import pots_text

    with refusing():
        try:
            say(pots_text(" ".join(text) if text else None))
        except TextError as error:
            if error.code != "unknown-container":
                raise
            all_of_them = "" if "did you" in error.hint else "`rootroom pots` lists all; "
            fail(error.message, hint=all_of_them + error.hint)


def keys(
    word: Annotated[
        str | None, typer.Argument(metavar="[WORD]", help="Only keys with this word.")
    ] = None,
) -> None:
    """List what a plan may say, and what is taken where it does not."""
    from rootroom.sheets.without_plan import keys_text

    with refusing():
        say(keys_text(word, width=terminal_width()))


def explain(
    code: Annotated[
        str | None, typer.Argument(metavar="[CODE]", help="As `unknown-container`.")
    ] = None,
) -> None:
    """Tell what the code behind a mistake means, or list all codes."""
    from rootroom.sheets.without_plan import explain_text

    with refusing():
        say(explain_text(code, width=terminal_width()))
