// A session noted: one button where all was done as listed, a field for each line where it was not.

import { ask } from "./server.js";
import { make, said } from "./cells.js";

const byId = (id) => document.getElementById(id);
let day = null;
let fields = new Map();

// The lines of the next session; nothing of it is written before it is noted.
export async function openSession() {
  const told = byId("session-status");
  told.textContent = "Looking for the next session ...";
  close();
  const found = await ask("session");
  told.replaceChildren(...(found.refused ? said(`Nothing to note: ${found.refused}.`) : []));
  if (found.refused) return;
  day = found.day;
  const box = byId("session-form");
  box.replaceChildren(make("h4", { text: found.title, tabIndex: -1 }),
    make("p", {}, make("button", { type: "submit", value: "listed", text: "Done as listed" })),
    make("p", { text: "Or write what differs: a line left empty was done as planned, 0 was not done." }),
    table(found.lines), ...found.fields.map(more),
    make("p", {}, make("button", { type: "submit", value: "differs", text: "Note it with what differs" })));
  box.hidden = false;
  box.querySelector("h4").focus();
}

export function close() {
  day = null;
  fields = new Map();
  byId("session-form").hidden = true;
  byId("session-form").replaceChildren();
}

function table(lines) {
  const rows = lines.map((line) => {
    const one = field(line.key, `${line.kind} ${line.what}, done`, { placeholder: line.planned, title: line.example });
    return make("tr", {}, make("th", { scope: "row" }, make("strong", { text: line.kind }), ` ${line.what}`),
      make("td", { text: line.planned }), make("td", {}, one.input, one.wrong));
  });
  return make("table", {}, make("caption", { className: "aside", text: "Work and what had to be fetched" }),
    make("thead", {}, make("tr", {}, ...["what", "planned", "done"].map((text) => make("th", { scope: "col", text })))),
    make("tbody", {}, ...rows));
}

function more(spec) {
  const one = field(spec.key, spec.label, { long: spec.long });
  return make("div", { className: "labelled" }, make("span", { className: "key", text: spec.label }), one.input,
    spec.says ? make("p", { className: "says" }, ...said(spec.says)) : null, one.wrong);
}

function field(key, label, { long, ...options }) {
  const input = make(long ? "textarea" : "input", { ...(long ? { rows: 2 } : { type: "text" }), ariaLabel: label, autocomplete: "off", ...options });
  const wrong = make("div", { className: "wrong", id: `session-wrong-${fields.size}`, hidden: true });
  fields.set(key, { input, wrong });
  // Enter goes on to the next field; only a button notes the session.
  input.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || long || event.isComposing) return;
    event.preventDefault();
    const all = [...byId("session-form").querySelectorAll("input, textarea, button[value=differs]")];
    all[all.indexOf(input) + 1]?.focus();
  });
  return fields.get(key);
}

// What is to be noted, by the button that was pressed.
export function answersOf(button) {
  const given = [...fields].map(([key, { input }]) => [key, input.value]).filter(([, value]) => value.trim());
  return { day, answers: button.value === "listed" ? {} : Object.fromEntries(given), unused: button.value === "listed" && given.length > 0 };
}

// What could not be read stands below its field; the first one is gone to.
export function tellWrong(found) {
  let first = null;
  for (const [key, { input, wrong }] of fields) {
    const one = found[key];
    wrong.hidden = !one;
    wrong.replaceChildren(...(one ? [make("p", {}, make("strong", { text: "Wrong: " }), ...said(one.message)), make("p", { className: "hint" }, ...said(one.hint))] : []));
    input.classList.toggle("bad", Boolean(one));
    if (one) { input.setAttribute("aria-invalid", "true"); input.setAttribute("aria-describedby", wrong.id); first ??= input; }
    else { input.removeAttribute("aria-invalid"); input.removeAttribute("aria-describedby"); }
  }
  first?.focus();
}
