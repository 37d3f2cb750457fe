"use strict";
(() => {
  // What is entered stands in `state.fields`, each with the event that it will be handed back as,
  // so that entries made on an older sheet can still be handed back without that sheet.
  // Two tabs of one page share what is kept: each takes in what the other wrote before it writes.
  const root = document.documentElement;
  root.classList.remove("no-script");
  const body = document.body;
  const plan = body.dataset.plan;
  const prefix = `rootroom ${plan} `;
  const key = prefix + body.dataset.digest;
  const byId = (id) => document.getElementById(id);
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];

  const storage = (() => {
    try {
      const store = window.localStorage;
      const probe = "rootroom probe";
      store.setItem(probe, "1");
      const kept = store.getItem(probe) === "1";
      store.removeItem(probe);
      return kept ? store : null;
    } catch {
      return null;
    }
  })();
  if (!storage) byId("no-storage").hidden = false;

  const randomHex = (bytes) =>
    [...crypto.getRandomValues(new Uint8Array(bytes))].map((b) => b.toString(16).padStart(2, "0")).join("");

  const put = (name, text) => {
    try {
      storage.setItem(name, text);
    } catch {
      byId("no-storage").hidden = false;
    }
  };
  const isObject = (value) => typeof value === "object" && value !== null && !Array.isArray(value);
  const isEvent = (value) => isObject(value) && typeof value.kind === "string";
  const isEntry = (value) => isObject(value) && (value.event === null || isEvent(value.event));
  const isHanded = (value) => isObject(value) && isEvent(value.event) &&
    [value.field, value.text, value.id].every((text) => typeof text === "string");
  // What of a kept state can be used, and whether that is all of it.
  const sound = (kept) => {
    const held = isObject(kept) && kept.version === 1 ? kept : {};
    const fields = Object.entries(isObject(held.fields) ? held.fields : {});
    const events = Array.isArray(held.events) ? held.events : [];
    const text = (value) => (typeof value === "string" ? value : "");
    const found = {
      version: 1, by: text(held.by), name: text(held.name), opened: Number(held.opened) || 0,
      fields: Object.fromEntries(fields.filter(([, entry]) => isEntry(entry))),
      events: events.filter(isHanded),
    };
    const whole = isObject(held.fields) && Array.isArray(held.events) && found.by === held.by &&
      fields.length === Object.keys(found.fields).length && events.length === found.events.length;
    return [found, whole];
  };
  // A damaged state is put aside as it is, and what is sound of it is used.
  const read = (name) => {
    const text = storage && storage.getItem(name);
    if (text === null) return sound({})[0];
    let kept = null;
    try { kept = JSON.parse(text); } catch { /* put aside below */ }
    const [found, whole] = sound(kept);
    if (!whole) {
      put(`rootroom put aside ${Date.now()} ${name}`, text);
      put(name, JSON.stringify(found));
      byId("damaged").hidden = false;
    }
    return found;
  };
  const state = read(key);
  if (!state.by) {
    state.by = (storage && storage.getItem("rootroom phone")) || randomHex(4);
    if (storage) put("rootroom phone", state.by);
  }
  const takeIn = (other) => {
    for (const [id, entry] of Object.entries(other.fields)) {
      if (!(id in state.fields) || (state.fields[id].at ?? 0) < (entry.at ?? 0)) state.fields[id] = entry;
    }
    const known = new Set(state.events.map((one) => one.id));
    state.events.push(...other.events.filter((one) => !known.has(one.id)));
  };
  const keep = () => {
    if (!storage) return;
    takeIn(read(key));
    put(key, JSON.stringify(state));
  };
  if (!state.opened) {
    state.opened = Date.now();
    keep();
  }

  const dayOf = (moment) => {
    const two = (number) => String(number).padStart(2, "0");
    return `${moment.getFullYear()}-${two(moment.getMonth() + 1)}-${two(moment.getDate())}`;
  };
  const today = () => dayOf(new Date());
  const sessionOf = (element) => element.closest("[data-session]")?.dataset.session ?? null;

  // A field is a tick of the phone's own (no event) or something for the record.
  const enter = (element, id, shown, event) => {
    const empty = shown === "" || shown === false || shown === null;
    const handed = state.events.some((one) => one.field === id);
    // An entry that was emptied stays as such, or another tab would bring its old value back.
    const told = empty && !handed ? null : event;
    state.fields[id] = { shown, event: told, date: today(), session: sessionOf(element), at: Date.now() };
    keep();
    summarise([element.closest("details.session")].filter(Boolean));
  };

  const eventOf = (element) => {
    const { planned, ...event } = JSON.parse(element.dataset.event);
    return event;
  };
  const plannedOf = (element) => Number(JSON.parse(element.dataset.event).planned ?? 0);

  // A comma or a point before the last one or two digits is the decimal sign; others part thousands.
  const MOST_CENTS = 1e11;
  const cents = (text) => {
    const found = /^\s*(\d[\d\s.,']*?)(?:[.,](\d{1,2}))?\s*$/.exec(text);
    if (!found) return null;
    const paid = Number(found[1].replace(/\D/g, "")) * 100 + Number((found[2] ?? "").padEnd(2, "0"));
    return paid <= MOST_CENTS ? paid : null;
  };

  const numberChanged = (input) => {
    const event = eventOf(input);
    const { whole, most } = COUNTED[event.kind];
    const typed = Math.min(Math.max(0, Number(input.value)), most);
    const value = input.value === "" ? "" : whole ? Math.floor(typed) : typed;
    if (value !== "" && value !== Number(input.value)) input.value = value;
    event[input.dataset.key] = value === "" ? 0 : value;
    if (event.kind === "bought") {
      const paid = document.querySelector(`[data-paid="${input.id}"]`);
      event.paid_cents = paid && paid.value.trim() ? cents(paid.value) : null;
    }
    enter(input, input.id, value === "" ? "" : String(value), event);
    tickLine(input);
  };
  const lines = new Map(all("[data-line]").map((line) => [line.dataset.line, line]));
  const tickLine = (input) => {
    const line = lines.get(input.id);
    const value = Number(input.value);
    if (line) line.checked = input.value !== "" && value > 0 && value >= plannedOf(input);
  };
  const setNumber = (input, value) => {
    input.value = value;
    numberChanged(input);
  };

  const texts = JSON.parse(body.dataset.words);
  const make = (name, attributes, text = "") => {
    const element = Object.assign(document.createElement(name), { textContent: text });
    for (const [attribute, value] of Object.entries(attributes)) element.setAttribute(attribute, value);
    return element;
  };
  // What each kind of event counts, in which steps, what is asked for beside it, whether only whole
  // ones count, and the most that a record takes.
  const COUNTED = {
    moved: { key: "count", step: 1, label: "moved_by_me", beside: "lost", whole: true, most: 1e7 },
    lost: { key: "count", step: 1, label: "lost", whole: true, most: 1e7 },
    blended: { key: "batches", step: 0.5, label: "blended_by_me", most: 1e4 },
    used: { key: "scoops", step: 0.5, label: "used", beside: "left", most: 1e4 },
    left: { key: "scoops", step: 0.5, label: "left", most: 1e4 },
    worked: { key: "minutes", step: 15, label: "worked", whole: true, most: 7 * 24 * 60 },
    bought: { key: "packs", step: 1, label: "bought", whole: true, most: 1e6 },
  };
  const fill = (place, id, event, hint) => {
    const { key: counted, step, label } = COUNTED[event.kind];
    const said = texts[label];
    place.append(
      make("span", { id: `${id}-l` }, said),
      make("button", { type: "button", "data-by": -step, "aria-label": `${said}: ${texts.fewer}` }, "−"),
      make("input", {
        type: "number", inputmode: "decimal", min: 0, step, id, placeholder: hint,
        "aria-labelledby": `${id}-l`, "data-key": counted, "data-event": JSON.stringify(event),
      }),
      make("button", { type: "button", "data-by": step, "aria-label": `${said}: ${texts.more}` }, "+"),
    );
  };
  const fillStepper = (place) => {
    const { id } = place;
    const event = JSON.parse(place.dataset.event);
    place.removeAttribute("id");
    place.removeAttribute("data-event");
    fill(place, id, event, place.dataset.hint ?? "");
    const { beside } = COUNTED[event.kind];
    if (beside) {
      const { planned, ...rest } = event;
      const next = make("p", { class: "stepper" });
      fill(next, `${id}-${beside}`, { ...rest, kind: beside }, "");
      place.after(next);
    }
  };

  // A session gets its steppers, and what was entered, when it is first opened: a page of hundreds
  // would take long to open. Changes are heard on the whole page, so none is missed before that.
  const prepared = new Set();
  const prepare = (part) => {
    if (!part || prepared.has(part)) return;
    prepared.add(part);
    all(".stepper[data-event]", part).forEach(fillStepper);
    show(part);
  };
  const show = (part) => {
    all("input, textarea", part).forEach((field) => {
      if (field === document.activeElement && field.matches("textarea, [data-key], .paid")) return;
      const kept = state.fields[field.id];
      if (field.dataset.radio) {
        const chosen = state.fields[field.name]?.shown ?? (field.value === "open" ? "open" : null);
        field.checked = chosen === field.value;
      } else if (field.type !== "checkbox") {
        if (kept) field.value = kept.shown ?? "";
        if (field.dataset.key) tickLine(field);
      } else if (!field.dataset.line || field.dataset.event) {
        field.checked = Boolean(kept?.shown);
      }
    });
  };

  const paidChanged = (input) => {
    const understood = input.value.trim() === "" || cents(input.value) !== null;
    input.setAttribute("aria-invalid", String(!understood));
    enter(input, input.id, input.value.trim(), null);
    const packs = byId(input.dataset.paid);
    if (packs.value === "" && input.value.trim()) packs.value = plannedOf(packs);
    if (packs.value !== "") numberChanged(packs);
  };
  const boxChanged = (box) => {
    const { line, event } = box.dataset;
    if (line && event) {
      // A bed's layer is done as a whole: handed back as the share that was planned.
      const told = eventOf(box);
      told.share = box.checked ? plannedOf(box) : 0;
      enter(box, box.id, box.checked, told);
    } else if (event) {
      // Aftercare is given to all of its plants, or not yet.
      const told = eventOf(box);
      told.count = box.checked ? plannedOf(box) : 0;
      enter(box, box.id, box.checked, told);
    } else if (line) {
      const input = byId(line);
      setNumber(input, box.checked ? plannedOf(input) : "");
    } else {
      enter(box, box.id, box.checked, null);
    }
  };
  const radioChanged = (radio) => {
    const what = radio.dataset.radio;
    const event = what === "weather" ? { kind: what, weather: radio.value } : { kind: what, state: radio.value };
    enter(radio, radio.name, radio.value, event);
  };
  const others = [byId("shopping"), ...all("#aftercare")];
  const parts = [...all("details.session"), ...others];
  const partOf = (element) => parts.find((part) => part.contains(element));
  document.addEventListener("change", ({ target }) => {
    const { dataset } = target;
    const part = partOf(target);
    if (!part) return;
    const { checked, value } = target;
    prepare(part);
    if (target.type === "checkbox" || target.type === "radio") target.checked = checked;
    else target.value = value;
    if (dataset.radio) radioChanged(target);
    else if (target.type === "checkbox") boxChanged(target);
    else if (dataset.paid) paidChanged(target);
    else if (dataset.key) numberChanged(target);
  });
  document.addEventListener("input", ({ target }) => {
    if ("note" in target.dataset) enter(target, target.id, target.value, { kind: "note", text: target.value });
  });
  document.addEventListener("click", ({ target }) => {
    const button = target.closest("[data-by]");
    if (!button) return;
    const input = button.closest(".stepper").querySelector("input");
    setNumber(input, Math.max(0, Number(input.value || 0) + Number(button.dataset.by)));
  });

  // Entries that differ from what was last handed back become events; a later one names the earlier.
  const settle = (held) => {
    for (const [field, entry] of Object.entries(held.fields)) {
      if (!entry.event) continue;
      const before = held.events.filter((one) => one.field === field).at(-1);
      const text = JSON.stringify(entry.event);
      if (before ? before.text === text : emptied(entry.event)) continue;
      const { kind, ...rest } = entry.event;
      const event = { v: 1, id: randomHex(8), by: held.by, date: entry.date, kind, plan, session: entry.session };
      if (before) event.replaces = before.id;
      held.events.push({ field, text, id: event.id, event: { ...event, ...rest } });
    }
  };
  const emptied = (event) =>
    [event.count, event.batches, event.scoops, event.minutes, event.packs, event.share].some((n) => n === 0) ||
    event.text === "" || event.state === "open";
  const handBack = (held, digest) => {
    settle(held);
    const events = held.events.map((one) => one.event);
    const head = { v: 1, kind: "hand back", plan, digest, by: held.by, name: held.name, events: events.length };
    return [head, ...events].map((one) => JSON.stringify(one) + "\n").join("");
  };
  const fileName = () => `${plan.replace(/\.toml$/, "")}.${state.by}.jsonl`;

  const summarise = (sessions) => {
    const count = Object.values(state.fields).filter((entry) => entry.event).length;
    const status = byId("back-count");
    status.textContent = count ? status.dataset.count + count : status.dataset.nothing;
    sessions.forEach((session) => {
      const radios = all('[data-radio="session"]', session);
      const said = state.fields[radios[0].name]?.shown ?? "open";
      const chosen = radios.find((radio) => radio.value === said && said !== "open");
      session.querySelector(".state").textContent = chosen ? chosen.nextElementSibling.textContent : "";
    });
  };

  const text = () => {
    keep(); // with what another tab has handed back, so that a deed has one id whoever tells it
    const answer = handBack(state, body.dataset.digest);
    keep();
    byId("back-text").value = answer;
    return answer;
  };
  const save = (answer, name) => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([answer], { type: "application/x-ndjson" }));
    link.download = name;
    body.append(link);
    link.click();
    link.remove();
  };
  const done = (message) => { byId("back-done").textContent = message; };

  byId("save").addEventListener("click", (click) => {
    save(text(), fileName());
    done(click.target.dataset.done);
  });
  byId("copy").addEventListener("click", async (click) => {
    const { dataset } = click.target;
    const answer = text();
    try {
      await navigator.clipboard.writeText(answer);
      done(dataset.done);
    } catch {
      byId("back-text").select();
      done(dataset.failed);
    }
  });
  if (navigator.share) {
    byId("share").hidden = false;
    byId("share").addEventListener("click", async (click) => {
      const answer = text();
      const file = new File([answer], fileName() + ".txt", { type: "text/plain" });
      const files = { files: [file], title: fileName() };
      try {
        await navigator.share(navigator.canShare?.(files) ? files : { title: fileName(), text: answer });
        done(click.target.dataset.done);
      } catch { /* the share sheet was closed */ }
    });
  }
  window.addEventListener("storage", ({ key: changed, newValue }) => {
    if (changed !== key || newValue === null) return;
    takeIn(read(key));
    prepared.forEach(show);
    summarise(sessions);
  });
  byId("by-name").value = state.name;
  byId("by-name").addEventListener("change", (change) => {
    state.name = change.target.value.trim();
    keep();
  });

  // Entries of this plan made on another printing of the page.
  if (storage) {
    const others = Object.keys(storage).filter((name) =>
      name !== key && name.startsWith(prefix) && /^[0-9a-f]{12}$/.test(name.slice(prefix.length)));
    const states = others.map((name) => [name, read(name)]);
    byId("newer").hidden = !states.some(([, one]) => one.opened > state.opened);
    const held = states.filter(([, one]) => one.opened <= state.opened).filter(([, one]) =>
      one.events.length || Object.values(one.fields).some((entry) => entry.event));
    if (held.length) {
      byId("older").hidden = false;
      byId("older-button").addEventListener("click", () => {
        for (const [name, one] of held) {
          const digest = name.slice(prefix.length);
          const answer = handBack(one, digest);
          put(name, JSON.stringify(one));
          save(answer, `${plan.replace(/\.toml$/, "")}.${one.by}.${digest}.jsonl`);
        }
      });
    }
  }

  // Only the next session that is not done stands open, at its first undone line; on the evening
  // before, at what is to be done then. A link to a day opens it.
  const sessions = all("details.session");
  sessions.forEach((one) => one.addEventListener("toggle", () => { if (one.open) prepare(one); }));
  all("details.fold").forEach((one) => { one.open = false; });
  const open = (one) => {
    prepare(one);
    one.open = true;
  };
  others.forEach(prepare);
  const isOpen = (one) => {
    const { name } = one.querySelector('[data-radio="session"]');
    return (state.fields[name]?.shown ?? "open") === "open";
  };
  const undone = sessions.filter(isOpen);
  const coming = undone.find((one) => one.dataset.session >= today()) ?? undone[0] ?? sessions[0];
  if (sessions.length > 1) sessions.forEach((one) => { one.open = one === coming; });
  prepare(coming);
  const firstUndone = (session) => {
    const evening = session.querySelector(".evening");
    if (evening && session.dataset.session > today()) {
      const eve = new Date(`${session.dataset.session}T12:00`);
      eve.setDate(eve.getDate() - 1);
      if (dayOf(eve) === today()) {
        evening.open = true;
        return evening;
      }
    }
    const parts = all(".batch, .work > li", session);
    const at = parts.findIndex((part) => {
      const [counted, tick] = [part.querySelector("[data-key]"), part.querySelector("[data-line]")];
      if (tick) return !tick.checked;
      return counted ? Number(counted.value) < plannedOf(counted) : !part.querySelector("input").checked;
    });
    return at > 0 ? parts[at] : session;
  };
  const openTarget = () => {
    let name = location.hash.slice(1);
    try { name = decodeURIComponent(name); } catch { /* an odd address names nothing */ }
    const target = name && byId(name);
    if (target && target.matches("details")) open(target);
    return target;
  };
  window.addEventListener("hashchange", openTarget);
  history.scrollRestoration = "manual";
  // Not scrollIntoView: the first Tab would go on from there, past the link at the top.
  if (!openTarget() && coming) scrollBy(0, firstUndone(coming).getBoundingClientRect().top - 8);
  byId("open-all")?.addEventListener("click", () => sessions.forEach(open));
  window.addEventListener("beforeprint", () => {
    sessions.forEach(open);
    all("details.fold").forEach((one) => { one.open = true; });
  });
  summarise(sessions);
})();
