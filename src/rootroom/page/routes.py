"""What the page's server answers: the page's own files, and what the page asks about the plan.

Everything about the plan is asked by POST with the key; a GET hands out only what is the same for
every plan, and the phone page under an address that the page has just been given.
"""

from __future__ import annotations

import json
import re
import secrets
from collections.abc import Callable
from functools import partial
from importlib.resources import files
from pathlib import Path
from typing import Any, TypeGuard

import bottle
from attrs import asdict, define, field

from rootroom.page.background import (
    UNSAVED,
    Background,
    note_session,
    read_handed_back,
    review,
    session_form,
    write_sheets,
)
from rootroom.page.cells import ALWAYS, COLUMNS, help_of_keys, names_for, system_of
from rootroom.page.desk import Desk
from rootroom.page.showing import as_it_stands, demand_html
from rootroom.plan.toml import splicing
from rootroom.problems import TextError

STATIC = {
    "page.css": "text/css; charset=utf-8",
    "icon.svg": "image/svg+xml",
    "main.js": "text/javascript; charset=utf-8",
    "server.js": "text/javascript; charset=utf-8",
    "tables.js": "text/javascript; charset=utf-8",
    "cells.js": "text/javascript; charset=utf-8",
    "answers.js": "text/javascript; charset=utf-8",
    "noting.js": "text/javascript; charset=utf-8",
}
FONTS = ("DejaVuSansCondensed.ttf", "DejaVuSansCondensed-Bold.ttf")
PHONE_POLICY = (
    "default-src 'none'; script-src 'unsafe-inline'; style-src 'unsafe-inline'; img-src data:; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)

MOST_ANSWER = 20_000
_DAY = re.compile(r"\d{4}-\d\d-\d\d")

Given = dict[str, Any]


@define
class Page:
    """The page of one plan: the desk, the answers, and the sheets that were written last."""

    desk: Desk
    background: Background = field(factory=Background)
    tickets: dict[str, Path] = field(factory=dict)
    _asked: object = None
    _demand: tuple[object, str] = (None, "")

    def hello(self, given: Given) -> Given:
        """Return what stays the same while the page is open, and the state."""
        fixed = {"columns": COLUMNS, "always": ALWAYS, "help": help_of_keys()}
        return {**fixed, "state": self.full(given)}

    def state(self, given: Given) -> Given:
        """Return the state if it is another than the page knows, else a few words."""
        short = self.desk.short_state(_window(given))
        return short if given.get("number") == short["number"] else self.full(given)

    def do(self, given: Given) -> Given:
        """Do one thing and return the state; `error` says what could not be done."""
        try:
            self.desk.act(_window(given), str(given.get("what")), given)
        except TextError as error:
            return {**self.full(given), "error": {"message": error.message, "hint": error.hint}}
        except OSError as error:
            words = f"the disk refuses: {error.strerror or error}"
            return {**self.full(given), "error": {"message": words, "hint": ""}}
        return {"kept": True} if given.get("what") == "typing" else self.full(given)

    def full(self, given: Given) -> Given:
        """Return the whole state, with the demand, and let list and days be worked out."""
        desk = self.desk
        with desk.lock:
            found = desk.state(_window(given))
            plan, work = desk.plan()[0], desk.whole_work(desk.work)
            variants = {name: desk.whole_work(one) for name, one in desk.variants.items()}
        data = splicing.read(work.text).data if found["readable"] else {}
        found["names"] = names_for(data, plan, system_of(data))
        if plan is not None:
            if self._demand[0] != work:
                self._demand = (work, demand_html(as_it_stands(plan, desk.kept.path)))
            found["demand"] = self._demand[1]
        if self._asked != (work, variants):
            self._asked = (work, variants)
            beside = {name: asdict(one) for name, one in variants.items()}
            job = {"path": str(desk.kept.path), **asdict(work), "beside": beside}
            if plan is None:
                self.background.give_up()
            else:
                self.background.ask(found["number"], job)
        return found

    def text(self, given: Given) -> Given:
        """Return the whole text of the plan."""
        return {"text": self.desk.text}

    def leave(self, given: Given) -> Given:
        """Let another window write."""
        self.desk.leave(_window(given))
        return {}

    def answers(self, given: Given) -> Given:
        """Return what was found in the background, if it is not yet known to the page."""
        background = self.background
        found = {"pending": background.pending, "failed": background.failed,
                 "stage": len(background.found), "of": background.number}  # fmt: skip
        known = (given.get("of"), given.get("stage")) == (found["of"], found["stage"])
        return found if known else {**found, **background.found}

    def sheets(self, given: Given) -> Given:
        """Write the sheets of the saved plan into a folder beside it; name the phone page."""
        path = self._saved(given)
        if path is None:
            return {"refused": UNSAVED}
        found = write_sheets(path, self.desk.text)
        if "season.html" in found.get("written", ()):
            ticket = secrets.token_urlsafe(24)
            self.tickets = {ticket: path.parent / found["folder"]}
            found |= {"phone": f"/phone/{ticket}", "print": f"/print/{ticket}"}
        return found

    def record(self, given: Given) -> Given:
        """Note what a phone handed back; the answers are for what is left then."""
        path = self._saved(given)
        if path is None:
            return {"said": UNSAVED, "fine": False}
        found = read_handed_back(path, str(given.get("text", "")))
        self._asked, self._demand = None, (None, "")
        return {**found, "state": self.full(given)}

    def session(self, given: Given) -> Given:
        """Return the lines of the next session of the saved plan."""
        path = self._saved(given)
        return {"refused": UNSAVED} if path is None else session_form(path)

    def note(self, given: Given) -> Given:
        """Note a session by what was answered; the answers are for what is left then."""
        path, day, answers = self._saved(given), given.get("day"), given.get("answers")
        if path is None:
            return {"said": UNSAVED, "fine": False}
        if not isinstance(day, str) or not _DAY.fullmatch(day) or not _are_texts(answers):
            return {"said": "no answers to note", "fine": False}
        found = note_session(path, day, answers)
        self._asked, self._demand = None, (None, "")
        return {**found, "state": self.full(given)}

    def review(self, given: Given) -> Given:
        """Return planned beside real."""
        path = self._saved(given)
        return {"said": UNSAVED, "fine": False} if path is None else review(path)

    def _saved(self, given: Given) -> Path | None:
        """Return the plan's file, if it says what is shown."""
        saved = self.desk.short_state(_window(given))["saved"]
        return self.desk.kept.path if saved else None


def application(page: Page) -> bottle.Bottle:
    """Return the server's answers, for a guard in front of them."""
    app = bottle.Bottle()
    app.route("/", "GET", _index)
    app.route("/static/<name>", "GET", _static)
    app.route("/phone/<ticket>", "GET", partial(_phone, page))
    app.route("/print/<ticket>", "GET", partial(_print, page))
    app.route("/api/<what>", "POST", partial(_ask, page))
    app.default_error_handler = _plain_error
    return app


def _index() -> bytes:
    bottle.response.content_type = "text/html; charset=utf-8"
    return _file("templates", "index.html")


def _static(name: str) -> bytes:
    if name in FONTS:
        bottle.response.content_type = "font/ttf"
        return files("rootroom.sheets").joinpath("data", "fonts", name).read_bytes()
    if name not in STATIC:
        raise bottle.HTTPError(404)
    bottle.response.content_type = STATIC[name]
    return _file("static", name)


def _phone(page: Page, ticket: str) -> bytes:
    found = _sheet(page, ticket, "season.html")
    bottle.response.content_type = "text/html; charset=utf-8"
    bottle.response.set_header("Content-Security-Policy", PHONE_POLICY)
    return found


def _print(page: Page, ticket: str) -> bytes:
    found = _sheet(page, ticket, "season.pdf")
    bottle.response.content_type = "application/pdf"
    bottle.response.set_header("Content-Disposition", 'attachment; filename="season.pdf"')
    return found


def _sheet(page: Page, ticket: str, name: str) -> bytes:
    folder = page.tickets.get(ticket)
    if folder is None or not (folder / name).is_file():
        raise bottle.HTTPError(404)
    return (folder / name).read_bytes()


def _ask(page: Page, what: str) -> str:
    asked: dict[str, Callable[[Given], Given]] = {
        "hello": page.hello, "state": page.state, "do": page.do, "text": page.text,
        "leave": page.leave, "answers": page.answers, "sheets": page.sheets,
        "record": page.record, "review": page.review, "session": page.session, "note": page.note,
    }  # fmt: skip
    if what not in asked:
        raise bottle.HTTPError(404)
    try:
        given = json.loads(bottle.request.body.read())
    except (ValueError, RecursionError):
        given = None
    if not isinstance(given, dict) or not isinstance(given.get("window"), str):
        raise bottle.HTTPError(400)
    bottle.response.content_type = "application/json"
    return json.dumps(asked[what](given), ensure_ascii=False)


def _are_texts(answers: object) -> TypeGuard[dict[str, str]]:
    return isinstance(answers, dict) and all(
        isinstance(key, str) and isinstance(value, str) and len(value) <= MOST_ANSWER
        for key, value in answers.items()
    )


def _plain_error(error: bottle.HTTPError) -> str:
    bottle.response.content_type = "text/plain; charset=utf-8"
    return f"{error.status_line}\n"


def _window(given: Given) -> str:
    return str(given["window"])[:80]


def _file(folder: str, name: str) -> bytes:
    return files("rootroom.page").joinpath(folder, name).read_bytes()
