// The return sheet: each line is an entry, kept on the phone first. It stands instead of the entries that this page shows for its
// line, and of no other: what somebody else entered meanwhile stays, and the gate sees both.
"use strict";
(() => {
  const place = document.querySelector("#back"), part = place.querySelector("#part");
  const { by, send, file, visit } = place.dataset, here = place.dataset.place;
  const pad = place.querySelector("#keypad"), typed = place.querySelector("#typed"), which = place.querySelector("#which"), stop = place.querySelector("#stop"), units = place.querySelector("#units");
  const kept = (row) => row.dataset.ids.split(" ").filter(Boolean);
  const lines = () => [...part.querySelectorAll("[data-line]")];
  const lineAt = (at, field) => lines().find((l) => l.dataset.place === at && l.dataset.line === field);
  const openYes = () => [...part.querySelectorAll("#fresh [data-line]")].filter((l) => !l.dataset.value && !kept(l).length);

  // ---- one line
  const body = (at, field, value) => ({ return_sheet: at === "trailer" ? { [field]: value } : { wheel: [{ position: at, [field]: value }] } });

  function answer(line, value, words, instead) {
    const entry = Waiting.entry(by, body(line.dataset.place, line.dataset.line, value), instead || kept(line));
    paint(line, entry.id, value, words);
    return entry;
  }

  function paint(line, id, value, words) {
    line.dataset.ids = id;
    line.dataset.value = JSON.stringify(value);
    line.classList.add("said");
    line.querySelector(".answer").textContent = `${words} (waiting)`;
    line.querySelectorAll("[data-set]").forEach((b) => b.setAttribute("aria-pressed", String(JSON.stringify(JSON.parse(b.dataset.set)) === line.dataset.value)));
    all();
  }

  function words(line, value) {
    if (value && typeof value === "object") return [value.value, `by the ${value.source}`, (value.stages || []).length ? `star order in ${value.stages.length} stages` : "", `wrench ${value.wrench}`, value.by, value.second ? `second initial ${value.second}` : ""].filter(Boolean).join(", ");
    const button = line && [...line.querySelectorAll("[data-set]")].find((b) => JSON.stringify(JSON.parse(b.dataset.set)) === JSON.stringify(value));
    return button ? button.textContent : String(value);
  }

  // Buttons that answer several lines at once are there only while there are several.
  function all() {
    const yes = part.querySelector(".all-yes");
    if (yes) yes.hidden = openYes().length < 2;
    part.querySelectorAll(".same").forEach((button) => { button.hidden = bareOf(button).length < Object.keys(JSON.parse(button.dataset.rows)).length; });
    part.querySelectorAll(".fits").forEach((box) => {
      const button = box.querySelector(".all-fitted");
      if (button) button.hidden = [...box.querySelectorAll(".fit")].filter((f) => !f.dataset.on).length < 2;
    });
  }

  // ---- the keypad: the unit is the key that ends a number, so none is ever guessed
  let slot = null, digits = "";
  const nameOf = (line, button) => ({ at: line.dataset.place, field: line.dataset.line, draft: button.dataset.draft || "", ids: kept(line) });  // what it showed when the number was begun
  const buttonAt = (name) => { const line = lineAt(name.at, name.field); return line && line.querySelector(".number"); };

  function pick(button) {
    part.querySelectorAll(".number[aria-current]").forEach((b) => b.removeAttribute("aria-current"));
    slot = button ? nameOf(button.closest("[data-line]"), button) : null;
    digits = "";
    say("");
    pad.hidden = !button;
    if (!button) return;
    button.setAttribute("aria-current", "true");
    which.textContent = button.querySelector("span").firstChild.textContent.trim();
    units.querySelectorAll("[data-unit]").forEach((b) => b.remove());
    for (const row of ranges(button)) {
      const key = document.createElement("button");
      key.type = "button";
      key.dataset.unit = row.unit;
      key.textContent = row.unit;
      units.prepend(key);
    }
    show();
    button.scrollIntoView({ block: "center" });
  }
  const ranges = (button) => button.dataset.units.split("|").map((u) => u.split(";")).map(([unit, low, high]) => ({ unit, low: Number(low), high: Number(high) })).reverse();
  function say(text) { stop.textContent = text; stop.classList.toggle("on", Boolean(text)); }
  function show() { typed.textContent = digits || "·"; }

  function key(k) {
    if ((k === "." && digits.includes(".")) || digits.length > 6) return;
    digits += k;
    say("");
    show();
  }

  function end(unit) {
    const button = buttonAt(slot), line = button.closest("[data-line]"), value = Number(digits), range = ranges(button).find((r) => r.unit === unit);
    if (!digits || digits === "." || Number.isNaN(value)) { say("No number is typed yet."); return; }
    if (value < range.low || value > range.high) {
      const other = ranges(button).find((r) => r.unit !== unit && value >= r.low && value <= r.high);
      say(`${digits} ${unit} cannot be right: ${range.low} to ${range.high} ${unit} is possible. ${other ? `Was it ${other.unit}?` : "Read it again."}`);
      return;
    }
    if (line.dataset.counted && unit === "stops" && !Number.isInteger(value)) { say("Count whole stops."); return; }
    const text = `${digits.startsWith(".") ? "0" : ""}${digits.replace(/\.$/, "")} ${unit}`;
    if (slot.draft) { draft({ value: text, n: value, unit }); pick(null); return; }
    Waiting.add(send, [answer(line, line.dataset.counted ? value : text, text, slot.ids)]);
    const rest = [...line.closest(".station").querySelectorAll("[data-line] > .number")];
    pick(rest.slice(rest.indexOf(button) + 1).find((b) => !b.closest("[data-line]").dataset.value) || null);
  }

  // ---- the torque is said whole: until it is kept it lies in this page's own store
  const shelf = `torque-${visit}-${here}`;
  function drafted() { try { return JSON.parse(sessionStorage.getItem(shelf)) || {}; } catch { return {}; } }
  function draft(more) {
    const began = { ids: kept(part.querySelector("#torque")), ...drafted() };  // what stood when it was begun
    sessionStorage.setItem(shelf, JSON.stringify({ ...began, ...more }));
    showDraft();
  }
  function showDraft() {
    const box = part.querySelector("#torque");
    if (!box) return;
    const now = drafted();
    box.querySelector("#draft-value").textContent = now.value || "not typed";
    box.querySelectorAll("[data-pick]").forEach((b) => b.setAttribute("aria-pressed", String(now[b.dataset.pick] === b.dataset.word)));
    if (Object.keys(now).length) box.querySelector("#anew").open = true;
  }
  function halt(text) {
    const box = part.querySelector("#torque-stop");
    box.textContent = text;
    box.classList.toggle("on", Boolean(text));
  }

  function keepTorque(button) {
    const now = drafted();
    if (!now.value) return halt("No torque is typed yet: tap value.");
    if (!now.source) return halt(`Where does ${now.value} stand? Pick it: a torque without its source is not kept.`);
    if (!now.wrench) return halt("Which wrench was it? Pick it, or put it on the list.");
    const scale = Number(button.dataset.scales.split("|").map((s) => s.split(";")).find(([u]) => u === now.unit)[1]);
    const before = (now.stages || "").split("|").filter(Boolean).map((s) => s.split(";")).filter(([, least]) => Number(least) < now.n * scale).map(([text]) => text);
    const torque = { value: now.value, source: now.source, wrench: now.wrench, by };
    if (now.stages) torque.stages = [...before, now.value];
    const gauge = [...part.querySelectorAll('[data-pick="wrench"]')].find((b) => b.dataset.word === now.wrench);
    torqueKept(torque, gauge, now.ids);
    sessionStorage.removeItem(shelf);
    part.querySelector("#anew").open = false;
    showDraft();
    halt("");
  }

  function torqueKept(torque, gauge, instead) {
    const line = part.querySelector("#torque"), entries = [];
    if (gauge && gauge.dataset.gauge) entries.push(Waiting.entry(by, { gauge: [bare(JSON.parse(gauge.dataset.gauge))] }));
    entries.push(answer(line, torque, words(null, torque), instead));
    Waiting.add(send, entries);
  }
  const bare = (row) => Object.fromEntries(Object.entries(row).filter(([, v]) => v !== null));

  // ---- the same as another wheel, where nothing is answered yet: what the button says, by whoever taps it
  const bareOf = (button) => Object.entries(JSON.parse(button.dataset.rows)).filter(([field]) => { const l = lineAt(here, field); return !l.dataset.value && !kept(l).length; });
  function same(button) {
    const entries = [];
    for (const [field, value] of bareOf(button)) {
      const line = lineAt(here, field), mine = field === "torque" ? { ...value, by } : value;
      entries.push(answer(line, mine, words(line, mine)));
    }
    Waiting.add(send, entries);
    all();
  }

  // ---- parts and bench work
  const done = (row, more) => ({ done: [{ position: row.dataset.place, part: row.dataset.part, by, ...more }] });
  function fitted(row) {
    const entry = Waiting.entry(by, done(row, { action: "replaced" }), kept(row));
    mark(row, entry.id, true);
    return entry;
  }
  function mark(row, id, on) {
    row.dataset.ids = id;
    row.dataset.on = on ? "yes" : "";
    const button = row.querySelector("[data-fit]");
    button.setAttribute("aria-pressed", String(on));
    button.textContent = on ? "fitted" : "not fitted";
    all();
  }
  function unfitted(row) {
    const gone = kept(row);
    if (!gone.length) { row.querySelector("small").textContent += " (entered together with other things: it cannot be taken back here)"; return; }
    Waiting.add(send, [Waiting.entry(by, { why: "not fitted after all" }, gone, "withdraw")]);
    mark(row, "", false);
  }
  function benched(row) {
    const photo = row.dataset.photo.split(" ").filter(Boolean).pop(), more = { action: "dressed" };
    if (photo) more.after = photo;
    const entry = Waiting.entry(by, done(row, more), kept(row));
    row.dataset.ids = entry.id;
    row.querySelector(".answer").textContent = photo ? "done, with its photo (waiting)" : "done, no after-photo yet (waiting)";
    row.querySelector("[data-benched]").setAttribute("aria-pressed", "true");
    Waiting.add(send, [entry]);
  }
  function unbenched(row) {
    Waiting.add(send, [Waiting.entry(by, { why: "bench work not done after all" }, kept(row), "withdraw")]);
    row.dataset.ids = "";
    row.querySelector(".answer").textContent = "not done (waiting)";
    row.querySelector("[data-benched]").setAttribute("aria-pressed", "false");
  }
  const sent = new Map();  // a photo under way, and the place and part whose bench work it shows
  let taking = null;
  const benchAt = (at) => [...part.querySelectorAll(".bench")].find((b) => b.dataset.place === at.place && b.dataset.part === at.part);
  const camera = place.querySelector("#take-photo");
  if (camera) camera.addEventListener("change", async () => {
    const [shot] = camera.files, at = taking;
    camera.value = "";
    if (!shot || !at) return;
    const shown = document.createElement("img");
    Object.assign(shown, { src: URL.createObjectURL(shot), alt: "after-photo, waiting", width: 96, height: 72 });
    benchAt(at).querySelector(".photos").prepend(shown);
    sent.set(await Waiting.addFile(file, by, shot, { kind: "photo", position: at.place, check: `after ${at.part}` }), at);
  });

  place.addEventListener("click", (event) => {
    const button = event.target.closest("button");
    if (!button) return;
    const row = button.closest(".row"), set = button.dataset;
    if (button.classList.contains("number")) return pick(button);
    if (set.key) return key(set.key);
    if (set.unit) return end(set.unit);
    if (set.act === "back") { digits = digits.slice(0, -1); say(""); return show(); }
    if (set.act === "close") return pick(null);
    if (set.act === "keep-torque") return keepTorque(button);
    if (button.classList.contains("same")) return same(button);
    if (button.classList.contains("all-yes")) return Waiting.add(send, openYes().map((l) => answer(l, true, words(l, true))));
    if (button.classList.contains("all-fitted")) return Waiting.add(send, [...button.closest(".fits").querySelectorAll(".fit")].filter((f) => !f.dataset.on).map(fitted));
    if (set.pick) return draft({ [set.pick]: drafted()[set.pick] === set.word ? "" : set.word });
    if (set.second) return torqueKept({ ...JSON.parse(row.dataset.value), second: set.second });
    if (set.set) {
      const value = JSON.parse(set.set);
      if (row.dataset.value === JSON.stringify(value)) return undefined;
      return Waiting.add(send, [answer(row, value, button.textContent)]);
    }
    if ("fit" in set) return row.dataset.on ? unfitted(row) : Waiting.add(send, [fitted(row)]);
    if ("benched" in set) return set.whole && kept(row).length ? unbenched(row) : benched(row);
    if (set.take) { taking = { place: row.dataset.place, part: row.dataset.part }; camera.click(); }
    return undefined;
  });
  document.addEventListener("keydown", (event) => {
    if (!slot || event.ctrlKey || event.metaKey || event.altKey) return;
    if (/^[0-9.]$/.test(event.key)) { key(event.key); event.preventDefault(); }
    else if (event.key === "Backspace") { digits = digits.slice(0, -1); show(); }
  });

  // ---- what follows from it, from the server
  let asking = null, known = 0;
  Waiting.told.addEventListener("kept", (event) => {
    const { to, said } = event.detail;
    if (to === file && said.sha256 && sent.has(said.entry)) {
      const row = benchAt(sent.get(said.entry));
      sent.delete(said.entry);
      row.dataset.photo = said.sha256.slice(0, 16);
      benched(row);
    }
    if (to !== send && to !== file) return;
    known = Math.max(known, said.entries || 0);
    later();
  });
  function later() { clearTimeout(asking); asking = setTimeout(refresh, 60); }
  async function refresh() {
    const got = await fetch(`${location.pathname}?part`, { credentials: "same-origin", redirect: "error" }).catch(() => null);
    if (got && got.ok) draw(await got.text());
  }
  function draw(html) {
    const made = Number((html.match(/data-entries="(\d+)"/) || [])[1]);
    if (made < known) return later();
    if (Waiting.read().some((w) => w.to === send && !w.refused)) return undefined;  // newer answers are under way
    const open = [...part.querySelectorAll("details")].map((d) => d.open), y = window.scrollY;
    const held = document.elementFromPoint(180, 200), seen = held && held.closest("[data-line], .station"), name = seen && (seen.id ? `#${seen.id}` : `[data-line="${seen.dataset.line}"][data-place="${seen.dataset.place}"]`);
    const top = seen ? seen.getBoundingClientRect().top : 0, had = part.querySelectorAll("details").length;
    part.innerHTML = html;
    const boxes = [...part.querySelectorAll("details")];
    if (boxes.length === had) boxes.forEach((d, i) => { if (d.id !== "anew") d.open = open[i]; });
    const again = name && part.querySelector(name);
    window.scrollTo(0, again ? y + again.getBoundingClientRect().top - top - (window.scrollY - y) : y);
    ready();
    return undefined;
  }
  function ready() {
    all();
    showDraft();
    const button = slot && buttonAt(slot);
    if (button) button.setAttribute("aria-current", "true");
  }

  // What waited from before this page was loaded is shown as answered, too.
  for (const waiting of Waiting.read()) {
    if (waiting.to !== send || waiting.refused) continue;
    const { wheel, ...whole } = waiting.entry.body.return_sheet || {};
    const said = [["trailer", whole], ...(wheel || []).map(({ position, ...rest }) => [position, rest])];
    for (const [at, fields] of said) {
      for (const [field, value] of Object.entries(fields)) {
        const line = lineAt(at, field);
        if (line) paint(line, waiting.entry.id, value, words(line, value));
      }
    }
    for (const row of waiting.entry.body.done || []) {
      const box = [...part.querySelectorAll(".fit")].find((f) => f.dataset.place === row.position && f.dataset.part === row.part);
      if (box && row.action === "replaced") mark(box, waiting.entry.id, true);
    }
  }
  ready();
  Waiting.send();
})();
