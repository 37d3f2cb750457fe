// What the plan comes to: the demand with every change, list, days and chart as they are found.

import { ask } from "./server.js";
import { make } from "./cells.js";

const PARTS = { check: "check", list: "list", days: "sessions", chart: "chart" };
let timer = null;
let known = {};
let html = {};

const byId = (id) => document.getElementById(id);

function put(id, text) {
  if (html[id] === text) return;
  html[id] = text;
  byId(id).innerHTML = text;
}

function age(id, words) {
  const holder = byId(id).closest(".answer");
  holder.classList.toggle("old", Boolean(words));
  const told = holder.querySelector(".age");
  told.hidden = !words || !html[id];
  told.textContent = words;
}

export function renew(state) {
  const errors = state.problems.filter((one) => one.severity === "error").length;
  const what = errors === 1 ? "One thing is wrong in the plan." : `${errors} things are wrong in the plan.`;
  const waits = errors ? `From before the last change. ${what}` : "";
  if (state.demand !== undefined) put("demand", state.demand);
  age("demand", waits);
  if (waits) for (const id of [...Object.values(PARTS), "compared"]) age(id, waits);
  byId("answers-status").textContent = errors && !state.empty ? what : "";
  variants(state);
  if (!errors) poll();
}

function variants(state) {
  const there = byId("variants");
  const names = JSON.stringify([state.variants, state.writes]);
  if (there.dataset.names === names) return;
  there.dataset.names = names;
  there.replaceChildren(...state.variants.map((name) => make("li", { className: "line" }, make("span", { text: name }),
    make("button", { type: "button", className: "take", value: name, text: "Change places", ariaLabel: `Change places with ${name}`, disabled: !state.writes }),
    make("button", { type: "button", className: "drop", value: name, text: "Drop", ariaLabel: `Drop ${name}`, disabled: !state.writes }))));
  if (!state.variants.length) put("compared", "");
}

async function poll() {
  clearTimeout(timer);
  let found;
  try { found = await ask("answers", known); } catch { return; }
  if (found.html) for (const [name, id] of Object.entries(PARTS)) put(id, found.html[name]);
  if (found.compared) put("compared", found.compared);
  if (found.of !== known.of || found.stage !== known.stage) known = { of: found.of, stage: found.stage };
  const words = found.pending ? "From before the last change; being worked out anew." : "";
  for (const id of Object.values(PARTS)) age(id, found.stage ? "" : words);
  age("compared", words);
  byId("answers-status").textContent = found.pending ? "Working out list and days ..." : found.failed ? "List and days could not be worked out." : "";
  if (found.pending) timer = setTimeout(poll, 300);
}
