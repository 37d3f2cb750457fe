// Asks the program: one thing after the other, with the key that stands behind # in the address.

const KEY = "rootroom-key";

function key() {
  const given = location.hash.slice(1);
  if (/^[\w-]{40,}$/.test(given)) {
    sessionStorage.setItem(KEY, given);
    history.replaceState(null, "", location.pathname);
  }
  return sessionStorage.getItem(KEY) ?? "";
}

const headers = { "Content-Type": "application/json", "X-Rootroom-Key": key() };
export const windowName = Array.from(crypto.getRandomValues(new Uint32Array(4)), (n) => n.toString(36)).join("");

export class Refused extends Error {}

export async function ask(what, given = {}) {
  const answer = await fetch(`/api/${what}`, {
    method: "POST", headers, body: JSON.stringify({ ...given, window: windowName }),
  });
  if (!answer.ok) throw new Refused(await answer.text());
  return answer.json();
}

let number = null;
let last = Promise.resolve();
const typed = new Map();
// What was left, and is on its way to become a value: a window may be closed before it arrives.
const leaving = new Map();
let sending = false;

// Letters that have not reached the program are kept by the browser, for when it is there again.
let unsent = "";
export function keepFor(plan) { unsent = `rootroom unsent ${plan}`; }
function keepUnsent() {
  try {
    if (typed.size + leaving.size) localStorage.setItem(unsent, JSON.stringify([...leaving, ...typed]));
    else localStorage.removeItem(unsent);
  } catch { /* a browser that keeps nothing has the field itself */ }
}
export function takeUnsent() {
  try {
    const found = JSON.parse(localStorage.getItem(unsent) ?? "[]");
    localStorage.removeItem(unsent);
    return found.filter(([, value]) => typeof value === "string");
  } catch { return []; }
}

export function knows(state) { if (state.number !== undefined) number = state.number; }
export function knownNumber() { return number; }

// Acts follow each other, each made on the state that the one before left.
export function act(what, given = {}) {
  const done = last.then(async () => {
    const state = await ask("do", { ...given, what, number });
    knows(state);
    return state;
  });
  last = done.catch(() => {});
  return done;
}

// What is typed goes out at once; while one letter is under way, the later ones wait together.
export async function typing(place, value) {
  typed.set(place, value);
  keepUnsent();
  if (sending) return;
  sending = true;
  try {
    while (typed.size) {
      const [next, words] = typed.entries().next().value;
      await act("typing", { typed: next, value: words });
      if (typed.get(next) === words) typed.delete(next);
      keepUnsent();
    }
  } catch { /* the watch tells that the program has ended */ } finally { sending = false; }
}

export function leave() {
  fetch("/api/leave", { method: "POST", headers, keepalive: true, body: JSON.stringify({ window: windowName }) }).catch(() => {});
}

export function typedNoMore(place, value) {
  typed.delete(place);
  if (value !== undefined) leaving.set(place, value);
  keepUnsent();
}
export function arrived(place) { if (leaving.delete(place)) keepUnsent(); }
export function idle() { return last; }
