// The page: shows what the program says is there, and tells it what is done.

import { Refused, act, arrived, ask, keepFor, knownNumber, knows, leave, takeUnsent, typing } from "./server.js";
import { cells, make, onCommit, problemParts, send, tell } from "./cells.js";
import { begin, firstField, newListed, newPart, newRow, render } from "./tables.js";
import { renew } from "./answers.js";
import { answersOf, close, openSession, tellWrong } from "./noting.js";

const byId = (id) => document.getElementById(id);
const EVERY = 2000;
const WHOLE = JSON.stringify({ path: [] });
let state = null;
let gone = false;

function status(words) { byId("status").textContent = words; }

function shows(next) {
  if (next.kept) return;
  knows(next);
  if (next.tables === undefined) {
    const writes = state.writes;
    Object.assign(state, next);
    if (writes !== next.writes) render(state);
    bar();
    return;
  }
  state = next;
  byId("garden").textContent = state.tables.garden?.[0]?.cells.name || "A plan";
  byId("file").textContent = `${state.file} in ${state.folder}`;
  document.title = `${state.file}: rootroom`;
  byId("record-command").textContent = `rootroom record ${state.file}`;
  lists(state.names);
  if (state.readable) render(state);
  wholeText();
  wrong();
  renew(state);
  bar();
}

function bar() {
  byId("save").disabled = !state.writes || (state.saved && !state.elsewhere.length);
  byId("undo").disabled = !state.writes || !state.undo;
  byId("redo").disabled = !state.writes || !state.redo;
  status(state.error ? `${state.error.message}. ${state.error.hint}` : state.told || (state.saved ? "Saved." : "Not saved; kept in the draft."));
  banners();
}

function lists(names) {
  const holder = byId("name-lists");
  const now = JSON.stringify(names);
  if (holder.dataset.now === now) return;
  holder.dataset.now = now;
  holder.replaceChildren(...Object.entries(names).map(([key, found]) => make("datalist", { id: `names-${key}` },
    ...Object.entries(found).map(([value, label]) => make("option", { value, label: label ? `${value}: ${label}` : undefined })))));
}

function wholeText() {
  const field = byId("text");
  for (const id of ["plants", "mixes", "supplies", "beds", "days", "more"]) byId(id).classList.toggle("unread", !state.readable);
  if (!state.readable) {
    byId("text-fold").open = true;
    if (document.activeElement !== field || !field.dirty) field.value = state.text;
    field.shown = state.text;
  } else if (byId("text-fold").open && document.activeElement !== field) loadText();
  field.readOnly = !state.writes;
}

async function loadText() {
  const field = byId("text");
  const found = await ask("text");
  field.value = field.shown = found.text;
}

function wrong() {
  const section = byId("wrong");
  section.hidden = !state.problems.length;
  const errors = state.problems.filter((one) => one.severity === "error").length;
  byId("wrong-h").textContent = state.empty ? "To begin with" : errors ? (errors === 1 ? "One thing is wrong" : `${errors} things are wrong`) : "To know";
  byId("to-wrong").hidden = !errors || state.empty;
  byId("to-wrong").firstChild.textContent = `${errors} wrong`;
  section.querySelector("ul").replaceChildren(...state.problems.map((problem) => {
    const item = make("li", {}, ...problemParts(problem));
    const field = firstField(problem.shownAt);
    if (field) {
      const button = make("button", { type: "button", text: `Line ${problem.line}: go there`, ariaLabel: `Go to line ${problem.line}: ${problem.message}` });
      button.addEventListener("click", () => { field.closest("details")?.setAttribute("open", ""); field.focus(); });
      item.append(button);
    } else item.append(make("p", { text: `Line ${problem.line} of ${problem.file}.` }));
    return item;
  }));
}

function banners() {
  const found = [];
  const banner = (words, ...buttons) => found.push([words, buttons]);
  if (gone) banner("The program has ended. What you typed is in the draft beside the plan; run rootroom open again to go on.");
  if (state.empty && state.writes) banner("This plan is empty. Write into the tables, or begin with an example to change.", ["Begin with the example", () => doing("starter")]);
  if (!state.writes) banner("Another window writes this plan; here it is shown only.", ["Write here", () => doing("pen")]);
  if (state.offered) banner(
    state.offered_new ? "There is a draft that was not saved." : "There is a draft that was not saved, and the file has changed since.",
    ["Go on with the draft", () => doing("draft")], ["Leave it", () => doing("no-draft")]);
  const files = state.elsewhere.join(" and ");
  if (files) banner(files === state.file ? "The file was changed elsewhere." : `${files}: changed elsewhere.`,
    ["Take what it says now", () => doing("take-file")], ["Save mine, keep both", () => doing("save", { beside: true })]);
  const now = JSON.stringify(found.map(([words, buttons]) => [words, buttons.map(([text]) => text)]));
  const holder = byId("banners");
  if (holder.dataset.now === now) return;
  holder.dataset.now = now;
  holder.replaceChildren(...found.map(([words, buttons]) => make("div", { className: "banner", role: "alert" }, make("p", { text: words }),
    ...buttons.map(([text, what]) => { const one = make("button", { type: "button", text }); one.addEventListener("click", what); return one; }))));
}

async function doing(what, given = {}, one = null) {
  if (what === "render") { render(state); return; }
  try {
    const next = await act(what, given);
    arrived(given.typed);
    // What could not be done stays in its field, with the reason beside it.
    if (next.error && one) { one.dirty = true; one.field.value = given.value; }
    shows(next);
    if (next.error && one) tell(one, [{ ...next.error, severity: "error" }]);
  } catch (error) {
    // What did not reach the program stays with the browser.
    if (one) { one.dirty = true; arrived(given.typed); typing(one.id, one.field.value); }
    fails(error);
  }
}

function fails(error) {
  if (error instanceof Refused) status(error.message);
  else { gone = true; banners(); }
}

onCommit((one, value) => {
  const { path, key } = one.place;
  if (key === "rename") doing("rename", { path, value, typed: one.id }, one);
  else if (key === "part") newParts(one, path, value);
  else if (key === "listed") newListedRow(one, path, value);
  else if (key) newRows(one, path, key, value);
  else doing("set", { path, value, typed: one.id }, one);
});

// While a row is being made of the empty line, what else is written there waits for that row.
const making = new Set();
async function newRows(one, path, key, value) {
  const table = path[0];
  if (making.has(table)) { one.dirty = true; arrived(one.id); typing(one.id, one.field.value); return; }
  making.add(table);
  try { await doing("add", { path, key, value, typed: one.id }, one); }
  finally { making.delete(table); }
  if (!one.dirty) newRow(table, key);
}

async function newParts(one, path, value) {
  const found = /^([\d.,/]+)\s+(.+)$/.exec(value.trim());
  const name = found ? found[2] : value.trim();
  one.field.value = "";
  if (!name) { arrived(one.id); return; }
  await doing("set", { path: [...path, name], value: found ? found[1] : "1", typed: one.id });
  if (!found) newPart([...path, name]);
}

async function newListedRow(one, path, value) {
  await doing("add", { path, key: "name", value, typed: one.id }, one);
  if (one.dirty) return;
  one.field.value = "";
  newListed(path);
}

function listen() {
  byId("save").addEventListener("click", () => doing("save"));
  byId("undo").addEventListener("click", () => doing("undo"));
  byId("redo").addEventListener("click", () => doing("redo"));
  byId("set-aside").addEventListener("click", () => { doing("set-aside", { name: byId("variant-name").value }); byId("variant-name").value = ""; });
  byId("variants").addEventListener("click", (event) => {
    const button = event.target.closest("button");
    if (button) doing(button.className, { name: button.value });
  });
  byId("sheets").addEventListener("click", sheets);
  byId("record").addEventListener("click", () => commanded("record", "Reading, and planning the rest ...", { text: byId("handed").value }));
  byId("session").addEventListener("click", async () => {
    try { if (!state.saved) await doing("save"); await openSession(); } catch (error) { fails(error); }
  });
  byId("session-form").addEventListener("submit", (event) => { event.preventDefault(); noteSession(event.submitter); });
  byId("review").addEventListener("click", () => commanded("review", "Looking back ..."));
  byId("text-fold").addEventListener("toggle", () => { if (byId("text-fold").open && state.readable) loadText(); });
  const text = byId("text");
  text.addEventListener("input", () => { text.dirty = true; typing(WHOLE, text.value); });
  text.addEventListener("change", () => {
    text.dirty = false;
    typing(WHOLE, null);
    if (text.value !== text.shown) doing("whole", { text: text.value });
  });
  // A window that is closed leaves the writing to others at once.
  addEventListener("pagehide", leave);
  document.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    const pressed = event.key.toLowerCase();
    const inside = document.activeElement?.cellOf;
    if (pressed === "s") { event.preventDefault(); if (inside) send(inside); doing("save"); }
    const back = pressed === "z" && !event.shiftKey;
    const again = pressed === "y" || (pressed === "z" && event.shiftKey);
    if ((back || again) && !inside?.dirty && document.activeElement !== text) {
      event.preventDefault();
      doing(back ? "undo" : "redo");
    }
  });
}

async function sheets() {
  const told = byId("sheets-status");
  if (!state.saved) await doing("save");
  told.textContent = "Writing the sheets ...";
  try {
    const found = await ask("sheets");
    told.textContent = found.refused ? `Not written: ${found.refused}.` : `Wrote ${found.written.length} files into ${found.folder}, beside the plan. `;
    if (found.phone) told.append(make("a", { href: found.phone, target: "_blank", rel: "noopener", text: "Open the phone page" }),
      ", ", make("a", { href: found.print, text: "get the PDF to print" }));
  } catch (error) { fails(error); }
}

async function commanded(what, meanwhile, given = {}) {
  if (!state.saved) await doing("save");
  byId("said-status").textContent = meanwhile;
  try {
    const found = await ask(what, given);
    byId("said-status").textContent = found.fine ? "" : "This was not done:";
    byId("said").hidden = false;
    byId("said").textContent = found.said;
    if (found.fine && what === "record") byId("handed").value = "";
    if (found.state) shows(found.state);
  } catch (error) { fails(error); }
}

async function noteSession(button) {
  const { day, answers, unused } = answersOf(button);
  const told = byId("session-status");
  if (unused) { told.textContent = "Something is written below: empty it, or note it with what differs."; return; }
  told.textContent = "Noting it, and planning the rest ...";
  try {
    if (!state.saved) await doing("save");
    const found = await ask("note", { day, answers });
    if (found.state) shows(found.state);
    if (found.wrong) { told.textContent = "Nothing is noted yet: something cannot be read."; tellWrong(found.wrong); return; }
    told.textContent = found.fine ? "Noted." : "This was not noted:";
    byId("said").hidden = false;
    byId("said").textContent = found.said;
    if (found.fine) { close(); byId("session").focus(); }
  } catch (error) { fails(error); }
}

async function watch() {
  try {
    shows(await ask("state", { number: knownNumber() }));
    if (gone) { gone = false; banners(); }
  } catch (error) { fails(error); }
  setTimeout(watch, EVERY);
}

// What was being typed when a window was closed, or its browser ended, goes on here.
function typedBefore() {
  if (!state.writes) return;
  for (const [id, value] of Object.entries(state.typing)) {
    const one = cells.get(id);
    if (!one) continue;
    one.field.value = value;
    one.dirty = true;
    send(one);
  }
}

async function start() {
  let given;
  try { given = await ask("hello"); }
  catch (error) {
    status(error instanceof Refused ? `This page cannot be shown: ${error.message}` : "The program has ended.");
    return;
  }
  begin(given, doing);
  listen();
  knows(given.state);
  keepFor(`${given.state.folder}/${given.state.file}`);
  let now = given.state;
  if (now.writes) for (const [typed, value] of takeUnsent()) now = await act("late", { typed, value });
  shows(now);
  typedBefore();
  setTimeout(watch, EVERY);
  document.body.dataset.ready = "yes";
}

start();
