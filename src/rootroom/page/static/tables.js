// The plan as tables: rows are kept and renewed in place, so that nobody loses the field they are in.

import { cell, cells, make, moveTo, register, said, send, show, spoken, tell } from "./cells.js";
import { typing } from "./server.js";

let fixed, doing;
const open = new Set();
const tables = new Map();

const TABLES = {
  plants: { into: "plants", row: "plant", first: "name" },
  supplies: { into: "supplies", row: "supply", first: "of" },
  beds: { into: "beds", row: "bed", first: "name" },
  mixes: { into: "mixes", row: "mix", named: true },
  suppliers: { into: "more", head: "Suppliers", row: "supplier", named: true },
  containers: { into: "more", head: "Own containers", row: "container", named: true },
  ingredients: { into: "more", head: "Own ingredients", row: "ingredient", named: true },
};
const SINGLE = {
  garden: { into: "days", head: "The garden" },
  work: { into: "days", head: "When there is time" },
  buying: { into: "more", head: "Buying" },
  factors: { into: "more", head: "Factors" },
  minutes: { into: "more", head: "Minutes" },
};
// Where a value belongs that is not there at all.
const PLACES = { "missing-dates": ["garden", "last_frost"], "missing-last-frost": ["garden", "last_frost"] };
const WIDE = new Set(["layers", "more", "add", "corners", "measured", "round", "square", "box", "carries"]);
// Which list of names completes a key: a supply comes `from` a supplier, a move has a day there.
function namesOf(table, key) {
  if (key === "from") return table === "supplies" ? "from" : "when";
  if (key === "by") return "when";
  if (key === "of") return "of";
  return ["now", "to", "mix", "crop"].includes(key) ? key : undefined;
}

export function begin(given, handlers) {
  fixed = given;
  doing = handlers;
  for (const [name, spec] of Object.entries(TABLES)) begin_table(name, spec);
  for (const [name, spec] of Object.entries(SINGLE)) {
    const body = make("div", { className: "single" });
    fold(spec, body, name === "garden" || name === "work");
    tables.set(name, { name, spec, body, lines: [] });
  }
}

function fold(spec, body, isOpen) {
  const section = document.getElementById(spec.into);
  if (!spec.head) section.append(body);
  else if (isOpen) section.append(make("h3", { text: spec.head }), body);
  else section.append(make("details", {}, make("summary", { text: spec.head }), body));
}

function begin_table(name, spec) {
  const columns = [...(spec.named ? ["name"] : []), ...fixed.columns[name], ...(name === "mixes" ? ["parts"] : [])];
  const body = make("tbody", { role: "rowgroup" });
  const heads = columns.map((key) => make("th", { scope: "col", role: "columnheader", text: spoken(key), title: says(name, key) }));
  const table = make("table", { className: `cells ${name}`, role: "table" },
    make("caption", { className: "aside", text: spec.head ?? document.querySelector(`#${spec.into} h2`).textContent }),
    make("thead", { role: "rowgroup" }, make("tr", { role: "row" }, ...heads, make("th", { scope: "col", role: "columnheader" }, make("span", { className: "aside", text: "more" })))), body);
  fold(spec, make("div", { className: "wide" }, table), false);
  const entry = { name, spec, columns, body, lines: [] };
  entry.blank = blank(entry);
  body.append(entry.blank.node);
  tables.set(name, entry);
}

function says(table, key) {
  const help = fixed.help[table]?.[key] ?? fixed.help.moves[key];
  return help ? `${help.says}. Without it: ${help.default}.` : undefined;
}

// The last line of a table is empty: what is written there makes a new row.
function blank(entry) {
  const keys = entry.spec.named ? ["name"] : entry.columns;
  const line = { cells: {}, node: make("tr", { role: "row", className: "new" }) };
  for (const key of entry.columns) {
    const holder = make("td", { role: "cell", "data-label": spoken(key) });
    if (keys.includes(key)) {
      const one = cell({ path: [entry.name], key }, `new ${entry.spec.row}, ${spoken(key)}`, { list: namesOf(entry.name, key) });
      one.table = entry.name;
      if (key === keys[0]) one.field.placeholder = `a ${entry.spec.row} more`;
      register(one);
      line.cells[key] = one;
      holder.append(one.field);
    }
    line.node.append(holder);
  }
  line.node.append(make("td", { role: "cell" }));
  told(line);
  return line;
}

export function render(state) {
  for (const [name, entry] of tables) {
    const rows = state.tables[name] ?? [];
    if (SINGLE[name]) single(entry, rows[0] ?? { path: [name], cells: {} }, state);
    else rows_of(entry, rows, state);
  }
  problems(state);
  wrapSoon();
}

// A text that its field cuts off stands whole below it; widths are those of the columns, since to
// ask each of 2,400 fields would lay out all that is off the screen.
const pen = document.createElement("canvas").getContext("2d");
const widths = new Map();
let waiting = false;
addEventListener("resize", wrapSoon);
document.fonts.ready.then(() => { widths.clear(); wrapSoon(); });

function wrapSoon() {
  if (waiting) return;
  waiting = true;
  requestAnimationFrame(() => { waiting = false; wrapLong(); });
}

function wrapLong() {
  for (const entry of tables.values()) {
    const model = Object.values(entry.blank?.cells ?? entry.cells ?? {})[0];
    if (!model) continue;
    const style = getComputedStyle(model.field);
    const room = (width) => width - 2 * parseFloat(style.paddingLeft) - 4;
    if (!entry.columns) for (const one of Object.values(entry.cells)) spill(one, style.font, room(one.field.clientWidth));
    else {
      const head = entry.body.parentElement.tHead.rows[0];
      const narrow = !head.offsetParent;
      const like = !narrow ? head : entry.blank.node.offsetParent ? entry.blank.node : entry.lines[0]?.node;
      const rem = parseFloat(getComputedStyle(document.documentElement).fontSize);
      const columns = Object.fromEntries(entry.columns.map((key, at) => [key, room(like?.children[at].clientWidth ?? 0)]));
      for (const line of entry.lines) {
        // What stands below a row is set in: its first cell, on a phone all of them.
        const inset = line.kind === "row" ? 0 : narrow ? rem / 3 + 1 : 0;
        const first = line.kind === "listed" ? rem * 1.4 : 0;
        for (const [key, one] of Object.entries(line.cells)) spill(one, style.font, columns[key === "rename" ? "name" : key] - inset - (key === "name" ? first : 0));
        for (const one of Object.values(line.detail?.cells ?? {})) spill(one, style.font, room(one.field.clientWidth));
      }
    }
  }
}

function spill(one, font, room) {
  const text = one.shown;
  const key = `${font} ${text}`;
  if (text && !widths.has(key)) { pen.font = font; widths.set(key, pen.measureText(text).width); }
  const cut = room > 0 && text !== "" && one.field.tagName === "INPUT" && !one.field.hidden && widths.get(key) > room;
  if (!cut) { if (one.whole) one.whole.hidden = true; return; }
  one.whole ??= make("div", { className: "whole", ariaHidden: "true" });
  if (!one.whole.isConnected) one.field.after(one.whole);
  if (one.whole.textContent !== text) one.whole.textContent = text;
  one.whole.hidden = false;
}

function rows_of(entry, rows, state) {
  rows.forEach((row, index) => {
    const kind = row.below ?? "row";
    let line = entry.lines[index];
    if (!line || line.kind !== kind) {
      const made = kind === "part" ? part_line(entry, row) : kind === "told" ? told_line() : ADDS[kind] ? adding_line(row, kind) : row_line(entry, row, kind);
      if (line) { forget(line); line.node.replaceWith(made.node); line.detail?.node.remove(); }
      else entry.blank.node.before(made.node);
      line = entry.lines[index] = made;
    }
    renew(entry, line, row, state);
  });
  for (const line of entry.lines.splice(rows.length)) { forget(line); line.node.remove(); line.detail?.node.remove(); }
  for (const one of Object.values(entry.blank.cells)) show(one, "", !state.writes);
  entry.blank.node.hidden = !state.writes;
}

function forget(line) {
  for (const one of [...Object.values(line.cells), ...Object.values(line.detail?.cells ?? {})])
    if (cells.get(one.id) === one) cells.delete(one.id);
}

// All that is wrong in a row stands below it, where there is room to read it.
function told(line) {
  const holder = make("td", { role: "cell", className: "told" }, ...Object.values(line.cells).map((one) => one.wrong));
  if (line.rowWrong) holder.append(line.rowWrong);
  for (const [key, one] of Object.entries(line.cells)) one.column = key === "rename" ? "name" : spoken(key);
  line.node.append(holder);
}

function row_line(entry, row, kind) {
  const line = { kind, cells: {}, node: make("tr", { role: "row", className: kind }) };
  for (const key of entry.columns) {
    const holder = make("td", { role: "cell", "data-label": spoken(key) });
    const fixedName = entry.spec.named && key === "name";
    if (fixedName) {
      const one = line.cells.rename = cell({ path: row.path, key: "rename" }, "");
      one.field.classList.add("called");
      holder.append(one.field);
    } else if (kind === "move" && key === "name") line.name = holder.appendChild(make("span"));
    else if (key === "parts" || (kind === "move" && key === "now")) holder.textContent = "";
    else {
      const one = cell({ path: [...row.path, key] }, "", { list: namesOf(entry.name, key) });
      line.cells[key] = one;
      holder.append(one.field);
    }
    line.node.append(holder);
  }
  line.button = make("button", { type: "button", text: "More", ariaExpanded: "false" });
  line.button.addEventListener("click", () => { toggle(entry, line); });
  line.rowWrong = make("div", { className: "wrong", hidden: true });
  line.node.append(make("td", { role: "cell", className: "tools" }, line.button));
  line.node.addEventListener("focusout", (event) => {
    if (line.written && !line.node.contains(event.relatedTarget)) setTimeout(() => doing("render"));
  });
  told(line);
  return line;
}

function part_line(entry, row) {
  const line = { kind: "part", cells: {}, node: make("tr", { role: "row", className: "part" }) };
  line.name = make("span");
  const one = cell({ path: row.path }, "");
  line.cells.part = one;
  line.rowWrong = make("div", { className: "wrong", hidden: true });
  line.button = make("button", { type: "button", text: "Remove" });
  line.button.addEventListener("click", () => doing("remove", { path: line.path }));
  line.node.append(make("td", { role: "cell", "data-label": "part" }, line.name),
    make("td", { role: "cell", "data-label": "parts" }, one.field), make("td", { role: "cell", className: "tools" }, line.button));
  told(line);
  return line;
}

// Lines to add something by: `bark`, or `5 bark`, makes a part more; a name makes a row more of a list.
const ADDS = {
  "new part": { key: "part", className: "part new", list: "part", label: "a part more", says: () => "a part more, as 5 bark", place: (row) => row.path, cells: 2 },
  "new listed": { key: "listed", className: "listed new", label: "a plant more", says: (row) => `a plant more in ${row.of}`, place: (row) => row.path.slice(0, -1), cells: 7 },
};
function adding_line(row, kind) {
  const spec = ADDS[kind];
  const line = { kind, cells: {}, node: make("tr", { role: "row", className: spec.className }) };
  const one = cell({ path: spec.place(row), key: spec.key }, "", { list: spec.list, placeholder: spec.says(row) });
  line.cells[spec.key] = one;
  line.node.append(make("td", { role: "cell", "data-label": spec.label }, one.field), ...Array.from({ length: spec.cells }, () => make("td", { role: "cell" })));
  told(line);
  return line;
}

// What is to be said of a list whose rows are not shown, or not all of them.
function told_line() {
  const line = { kind: "told", cells: {}, node: make("tr", { role: "row", className: "detail" }) };
  line.words = line.node.appendChild(make("td", { role: "cell", colSpan: 8, className: "says" }));
  return line;
}

function nameOf(entry, line, row) {
  if (line.kind === "part") return `${row.path[1]}, ${row.path.at(-1)}`;
  if (line.kind === "new part") return `${row.path[1]}, a part more`;
  if (line.kind === "new listed") return `${row.of}, a plant more`;
  if (line.kind === "listed") return `${row.of}, row ${row.path.at(-1)}${row.cells.name ? `, ${row.cells.name}` : ""}`;
  if (line.kind === "move") return `${line.owner}, move ${row.path.at(-1) + 1}`;
  return entry.spec.named ? row.path[1] : row.cells[entry.spec.first] || `${entry.spec.row} ${row.path[1] + 1}`;
}

function renew(entry, line, row, state) {
  const path = JSON.stringify(row.path);
  // Most rows are as they were: of 300, one has changed.
  const now = JSON.stringify([row, state.writes]);
  if (line.now === now && !line.detail && !open.has(path)) return;
  line.now = now;
  line.row = row;
  line.path = row.path;
  if (line.kind === "told") { line.words.textContent = row.words; return; }
  if (line.kind === "move") line.owner = row.of ?? "";
  const name = nameOf(entry, line, row);
  if (line.at !== path || line.called !== name) {
    line.at = path;
    line.called = name;
    for (const [key, one] of Object.entries(line.cells)) {
      if (key === "rename") { moveTo(one, { path: row.path, key }); one.field.setAttribute("aria-label", `${name}, name`); continue; }
      const adds = ADDS[line.kind];
      moveTo(one, adds ? { path: adds.place(row), key } : { path: line.kind === "part" ? row.path : [...row.path, key] });
      one.field.setAttribute("aria-label", adds ? name : line.kind === "part" ? `${name}, parts` : `${name}, ${spoken(key)}`);
      if (adds) one.field.placeholder = adds.says(row);
    }
    if (line.name) line.name.textContent = line.kind === "part" ? row.path.at(-1) : line.kind === "move" ? `move ${row.path.at(-1) + 1}` : name;
    if (line.kind === "part") line.button.setAttribute("aria-label", `Remove ${name}`);
    else if (line.button) line.button.setAttribute("aria-label", `More of ${name}`);
  }
  for (const [key, one] of Object.entries(line.cells)) {
    show(one, key === "rename" ? row.path[1] : row.cells[key], !state.writes || fixedCell(line, row, key));
    // What the entry says for all rows of its list stands where a row says nothing.
    if (line.kind === "listed") one.field.placeholder = row.usual[key] ?? "";
  }
  if (ADDS[line.kind]) return;
  if (entry.name === "plants" && line.kind === "row") {
    const moves = row.moves > 0;
    line.cells.name.field.placeholder = row.cells.rows ? `rows of ${row.cells.rows}` : "";
    for (const key of ["to", "from", "by"]) line.cells[key].field.hidden = moves && !row.cells[key];
  }
  if (line.kind === "part") line.button.disabled = !state.writes;
  if (open.has(path) && line.kind !== "part") { if (!line.detail) unfold(entry, line); detail(entry, line, state); }
  else if (line.detail) { line.detail.node.remove(); line.detail = null; line.button.ariaExpanded = "false"; }
}

// A cell that is written in several places, or a column that a list has not.
function fixedCell(line, row, key) { return row.cells[key] === null || (line.kind === "listed" && !(key in row.cells)); }

function toggle(entry, line) {
  const path = JSON.stringify(line.path);
  if (open.has(path)) open.delete(path); else open.add(path);
  doing("render");
}

function unfold(entry, line) {
  line.button.ariaExpanded = "true";
  const box = make("div", { className: "detail" });
  const holder = make("td", { role: "cell", colSpan: entry.columns.length + 1 }, box);
  line.detail = { cells: {}, box, node: make("tr", { role: "row", className: "detail" }, holder) };
  line.node.after(line.detail.node);
  const tools = make("p", { className: "line" });
  const button = (text, what) => {
    const one = make("button", { type: "button", text });
    one.addEventListener("click", what);
    tools.append(one);
  };
  const isRow = line.kind === "row";
  const listed = line.kind === "listed";
  if (entry.name === "plants" && (isRow || listed)) button("A further move", () => doing("further", { path: line.path }));
  if (typeof line.path.at(-1) === "number" && !listed) {
    button("Up", () => doing("move", { path: line.path, to: Math.max(0, line.path.at(-1) - 1) }));
    button("Down", () => doing("move", { path: line.path, to: line.path.at(-1) + 1 }));
  }
  button(line.kind === "move" ? "Remove this move" : listed ? "Remove from the list" : `Remove this ${entry.spec.row}`, () => doing("remove", { path: line.path }));
  line.detail.tools = tools;
  box.append(tools);
}

function detail(entry, line, state) {
  const found = line.detail;
  const help = line.kind === "move" ? fixed.help.moves : { ...fixed.help[entry.name], ...(entry.name === "plants" && !line.row.moves ? fixed.help.moves : {}) };
  const shown = new Set([...Object.keys(line.cells), "moves", "parts", ...(entry.spec.named ? ["name"] : [])]);
  const known = line.kind === "listed" ? [] : Object.keys(help);
  const keys = [...Object.keys(line.row.cells), ...known].filter((key) => !shown.has(key));
  for (const key of new Set(keys)) {
    let one = found.cells[key];
    if (!one) {
      one = found.cells[key] = cell({ path: [...line.path, key] }, "", { list: namesOf(entry.name, key), placeholder: line.row.usual?.[key] ?? help[key]?.default, long: WIDE.has(key) });
      register(one);
      found.tools.before(labelled(one, key, help[key]));
    }
    if (JSON.stringify(one.place.path) !== JSON.stringify([...line.path, key])) moveTo(one, { path: [...line.path, key] });
    one.field.setAttribute("aria-label", `${line.called}, ${spoken(key)}`);
    show(one, line.row.cells[key], !state.writes || fixedCell(line, line.row, key));
  }
  for (const button of found.tools.children) button.disabled = !state.writes;
}

function labelled(one, key, help) {
  return make("div", { className: "labelled" }, make("span", { className: "key", text: spoken(key) }), one.field,
    help ? make("p", { className: "says" }, ...said(help.says)) : null, one.wrong);
}

function single(entry, row, state) {
  const help = fixed.help[entry.name] ?? {};
  const first = fixed.always[entry.name] ?? [];
  const keys = new Set([...first, ...Object.keys(row.cells), ...(entry.name === "minutes" ? [] : Object.keys(help))]);
  entry.cells ??= {};
  entry.rest ??= first.length ? make("details", {}, make("summary", { text: `More of ${entry.spec.head.toLowerCase()}` })) : null;
  for (const key of keys) {
    let one = entry.cells[key];
    if (!one) {
      one = entry.cells[key] = cell({ path: [entry.name, key] }, `${entry.spec.head}, ${spoken(key)}`, { placeholder: help[key]?.default });
      register(one);
      const into = !entry.rest || first.includes(key) ? entry.body : entry.rest;
      into.append(labelled(one, key, help[key]));
    }
    show(one, row.cells[key], !state.writes || row.cells[key] === null);
  }
  if (entry.rest && !entry.rest.isConnected) entry.body.append(entry.rest);
}

// Each problem stands at its cell, at its row where the cell is not shown, and in the list.
function problems(state) {
  const at = new Map();
  const rows = new Map();
  for (const problem of state.problems) {
    let path = problem.path.length ? problem.path : PLACES[problem.code] ?? [];
    let id = JSON.stringify({ path });
    while (path.length && !cells.has(id) && !lineOf(path)) { path = path.slice(0, -1); id = JSON.stringify({ path }); }
    if (cells.has(id)) at.set(id, [...(at.get(id) ?? []), problem]);
    else if (path.length) { const line = lineOf(path); rows.set(line, [...(rows.get(line) ?? []), problem]); }
    problem.shownAt = cells.has(id) ? cells.get(id) : path.length ? lineOf(path) : null;
  }
  for (const [id, one] of cells) if (!one.place.key || one.place.key === "rename") tell(one, at.get(id) ?? []);
  for (const entry of tables.values()) for (const line of entry.lines) if (line.rowWrong) {
    const found = rows.get(line) ?? [];
    // Nobody is told what is missing in a row while they are still writing it.
    const writing = line.written = found.length > 0 && line.node.contains(document.activeElement);
    tell_row(line, writing ? found.filter((one) => one.code !== "missing-key") : found);
  }
}

function tell_row(line, found) {
  const stand = line.stand ??= { field: line.button, wrong: line.rowWrong };
  line.rowWrong.id ||= `row-wrong-${Math.random().toString(36).slice(2)}`;
  tell(stand, found);
  line.button.removeAttribute("aria-invalid");
  line.button.classList.remove("bad");
}

function lineOf(path) {
  return tables.get(path[0])?.lines.find((line) => line.path.length === path.length && JSON.stringify(line.path) === JSON.stringify(path));
}

export function firstField(shown) {
  return shown?.field ?? shown?.node?.querySelector("input, button");
}

// What was written into the empty line stands in a row now: what is being typed beside it goes along.
// A new part gets the field of its amount, so that the next thing typed is that.
export function newPart(path) { cells.get(JSON.stringify({ path }))?.field.select(); }

// A new row of a list goes on at its next field.
export function newListed(path) {
  const lines = tables.get("plants").lines;
  const at = lines.findIndex((one) => one.kind === "new listed" && JSON.stringify(one.path.slice(0, -1)) === JSON.stringify(path));
  lines[at - 1]?.cells?.count?.field.focus();
}

export function newRow(name, key) {
  const entry = tables.get(name);
  const line = entry.lines.filter((one) => one.kind === "row").at(-1);
  const active = document.activeElement;
  if (entry.spec.named && !active?.cellOf?.dirty) {
    const after = entry.lines.at(-1);
    Object.entries(after?.cells ?? {}).find(([name]) => name !== "rename")?.[1].field.focus();
  }
  for (const [other, one] of Object.entries(entry.blank.cells)) {
    const to = line?.cells[other];
    if (other === key) { one.dirty = false; one.field.value = ""; }
    else if (to && (one.field === active || one.dirty)) {
      if (one.dirty) {
        typing(one.id, null);
        to.field.value = one.field.value;
        to.dirty = true;
        one.field.value = "";
        one.dirty = false;
      }
      if (one.field === active) { to.field.focus(); to.field.setSelectionRange(to.field.value.length, to.field.value.length); }
      else send(to);
    }
  }
}
