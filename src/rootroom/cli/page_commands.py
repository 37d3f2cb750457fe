"""The command that opens a plan as a page in the browser."""

from pathlib import Path
from typing import Annotated

import typer

from rootroom.cli.common import fail, refusing, say

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
