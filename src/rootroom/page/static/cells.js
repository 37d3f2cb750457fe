// One cell: a field with its name, what is wrong in it, and how its value gets to the program.

import { typing, typedNoMore } from "./server.js";

export const cells = new Map();
let commit = () => {};
let counter = 0;
export function onCommit(handler) { commit = handler; }

export function make(tag, options = {}, ...children) {
  const { text, ...rest } = options;
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(rest)) {
    if (value === undefined || value === false) continue;
    if (name in node && name !== "list" && name !== "role") node[name] = value;
    else node.setAttribute(name, value === true ? "" : value);
  }
  if (text !== undefined) node.textContent = text;
  node.append(...children.filter((one) => one !== null));
  return node;
}

export function spoken(key) { return key.replaceAll("_", " "); }

// `place` says where a value goes: {path} of a value, or {path, key} of a new row.
export function cell(place, label, { list, placeholder, long } = {}) {
  const id = JSON.stringify(place);
  const field = make(long ? "textarea" : "input", {
    ...(long ? { rows: 2 } : { type: "text" }), ariaLabel: label, autocomplete: "off", spellcheck: false,
    placeholder: placeholder ?? "", list: list ? `names-${list}` : undefined,
  });
  const wrong = make("div", { className: "wrong", id: `wrong-${counter += 1}`, hidden: true });
  const one = { id, place, field, wrong, shown: "", dirty: false };
  field.cellOf = one;
  field.addEventListener("input", () => {
    one.dirty = true;
    typing(one.id, field.value);
  });
  field.addEventListener("change", () => send(one));
  field.addEventListener("blur", () => send(one));
  field.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && one.dirty) restore(one);
    if (event.key === "Enter" && !long && !event.isComposing) { event.preventDefault(); send(one); below(field); }
  });
  return one;
}

export function register(one) { cells.set(one.id, one); }

export function moveTo(one, place) {
  if (cells.get(one.id) === one) cells.delete(one.id);
  one.place = place;
  one.id = JSON.stringify(place);
  cells.set(one.id, one);
}

function restore(one) {
  one.field.value = one.shown;
  one.dirty = false;
  typing(one.id, null);
}

export function send(one) {
  if (!one.dirty) return;
  one.dirty = false;
  const same = one.field.value.trim() === one.shown.trim();
  typedNoMore(one.id, same ? undefined : one.field.value);
  if (same) { restore(one); return; }
  commit(one, one.field.value);
}

export function show(one, text, readOnly) {
  one.shown = text ?? "";
  if (!one.dirty && one.field.value !== one.shown) one.field.value = one.shown;
  if (one.field.readOnly !== readOnly) one.field.readOnly = readOnly;
}

export function tell(one, problems) {
  const said = problems.map((p) => `${p.severity} ${p.message} ${p.hint}`).join("\n");
  if (one.said === said) return;
  one.said = said;
  one.wrong.replaceChildren(...problems.flatMap((problem) => problemParts(problem, one.column)));
  one.wrong.hidden = !problems.length;
  const bad = problems.some((p) => p.severity === "error");
  one.field.classList.toggle("bad", bad);
  if (bad) one.field.setAttribute("aria-invalid", "true"); else one.field.removeAttribute("aria-invalid");
  if (problems.length) one.field.setAttribute("aria-describedby", one.wrong.id);
  else one.field.removeAttribute("aria-describedby");
}

// What stands between back ticks is to be typed as it is.
export function said(text) {
  return text.split("`").map((part, number) => (number % 2 ? make("code", { text: part }) : part));
}

export function problemParts(problem, at = "") {
  const sign = problem.severity === "error" ? "Wrong" : "Note";
  return [
    make("p", {}, make("strong", { text: `${sign}${at ? `, ${at}` : ""}: ` }), ...said(problem.message)),
    problem.hint ? make("p", { className: "hint" }, ...said(problem.hint)) : null,
  ].filter(Boolean);
}

function below(field) {
  const line = field.closest("tr");
  const column = field.closest("td")?.dataset.label;
  for (let next = line?.nextElementSibling; next; next = next.nextElementSibling) {
    const there = next.querySelector(`td[data-label="${CSS.escape(column ?? "")}"] > :is(input, textarea)`);
    if (there) { there.focus(); there.select?.(); return; }
  }
  field.blur();
}
