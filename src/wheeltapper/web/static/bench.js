// The keypad: digits after what is known already ("055" after "12."), and a key that would make a number impossible is refused.
"use strict";
(() => {
  const place = document.querySelector("#bench");
  const { position, by, send } = place.dataset;
  const pad = place.querySelector(".keypad"), typed = place.querySelector("#typed"), which = place.querySelector("#which"), stop = place.querySelector("#stop");
  const slots = [...place.querySelectorAll(".numbers button")];
  let slot = null, digits = "", before = 0;

  const remembered = (group) => {
    try { return JSON.parse(localStorage.getItem(`gauge-${group}`)) || {}; } catch { return {}; }
  };
  const unitOf = (group) => sessionStorage.getItem(`unit-${place.dataset.visit}-${group}`);  // asked once a visit, never guessed

  function rules() {
    const unit = unitOf(slot.dataset.group);
    const row = slot.dataset.windows.split("|").map((w) => w.split(";")).find((w) => w[0] === unit);
    if (!row) return null;
    return { unit, low: Number(row[1]), high: Number(row[2]), starts: row[3] ? row[3].split(",") : [], after: Number(row[4]) };
  }

  function others() {
    return slot.dataset.windows.split("|").map((w) => w.split(";")).filter((w) => w[0] !== rules().unit).map((w) => ({ unit: w[0], low: Number(w[1]), high: Number(w[2]) }));
  }

  function pick(next) {
    slots.forEach((s) => s.removeAttribute("aria-current"));
    slot = next;
    digits = "";
    before = 0;
    say("");
    if (!slot) { pad.hidden = true; location.assign(place.dataset.done); return; }
    slot.setAttribute("aria-current", "true");
    const group = slot.dataset.group, gauge = remembered(group);
    const asks = place.querySelector(`.gauge[data-group="${group}"]`);
    place.querySelectorAll(".gauge").forEach((g) => { g.hidden = true; });
    if (!unitOf(group) || (!gauge.id && !slot.dataset.limit)) {
      asks.hidden = false;
      press(asks, gauge.id, unitOf(group));
      pad.hidden = true;
      asks.scrollIntoView({ block: "nearest" });
      return;
    }
    pad.hidden = false;
    show();
    slot.scrollIntoView({ block: "center" });
  }

  function press(asks, id, unit) {
    asks.querySelectorAll("[data-id]").forEach((b) => b.setAttribute("aria-pressed", String(b.dataset.id === id)));
    asks.querySelectorAll("[data-unit]").forEach((b) => b.setAttribute("aria-pressed", String(b.dataset.unit === unit)));
  }

  function text() {
    const r = rules();
    return (r.starts.length && !digits.includes(".") ? r.starts[before] : "") + digits;
  }

  // Can any number that begins so be right?
  function possible(words, r) {
    if (!words || words === ".") return true;
    const value = Number(words), point = words.indexOf(".");
    if (point >= 0) {
      const step = 10 ** -(words.length - point - 1);
      return value <= r.high + 1e-9 && value + step > r.low - 1e-9;
    }
    for (let k = 0; k <= 4; k += 1) {
      if (value * 10 ** k <= r.high + 1e-9 && (value + 1) * 10 ** k > r.low - 1e-9) return true;
    }
    return false;
  }

  function key(k) {
    const r = rules();
    if (k === "." && digits.includes(".")) return;
    const had = digits;
    digits += k;
    const words = text();
    const behind = words.includes(".") ? words.length - words.indexOf(".") - 1 : 0;
    if (behind > (r.after || 3)) { digits = had; return; }
    if (!possible(words, r)) {
      digits = had;
      const other = others().find((o) => possible(words, o));
      say(`${words}… cannot be right: ${r.low} to ${r.high} ${r.unit} is possible.` + (other ? ` Does the gauge show ${other.unit}? Then change the gauge's unit.` : " Read it again."));
      return;
    }
    say("");
    show();
    if (r.starts.length && !digits.includes(".") && digits.length === r.after) keep();
  }

  function keep(open) {
    const r = rules(), words = open || text();
    if (!open) {
      const value = Number(words);
      if (!digits || Number.isNaN(value)) { say("No number is typed yet."); return; }
      if (value < r.low - 1e-9 || value > r.high + 1e-9) { say(`${words} cannot be right: ${r.low} to ${r.high} ${r.unit} is possible. Read it again.`); return; }
    }
    const { check, at, group, limit } = slot.dataset, gauge = remembered(group), ids = slot.dataset.ids.split(" ").filter(Boolean);
    const reading = { what: check, at: [at], value: [words], unit: r.unit, gauge: gauge.id, by };
    let body = { corner: [{ position, by, reading: [reading] }] };
    if (position === "trailer") body = { reading: [reading] };
    if (limit) body = { limit: [{ what: check, value: words, unit: r.unit, grade: "on the part", position }] };
    const entries = [Waiting.entry(by, body, ids)];
    if (!limit && !noted(gauge)) entries.unshift(Waiting.entry(by, { gauge: [gauge] }));
    slot.dataset.ids = entries[entries.length - 1].id;
    slot.dataset.value = words;
    slot.querySelector("b").textContent = `${words} ${r.unit} (waiting)`;
    Waiting.add(send, entries);
    pick(after());
  }

  // The next number: what is owed after this one, then what is owed at all, then back to the wheel.
  function after() {
    const wanted = (s) => !s.dataset.value && s.dataset.owed;
    return slots.slice(slots.indexOf(slot) + 1).find(wanted) || slots.find(wanted) || null;
  }

  // A gauge is told to a visit once.
  function noted(gauge) {
    const name = `noted-${place.dataset.visit}`;
    const list = JSON.parse(sessionStorage.getItem(name) || "[]");
    if (list.includes(gauge.id)) return true;
    sessionStorage.setItem(name, JSON.stringify([...list, gauge.id]));
    return false;
  }

  function say(words) {
    stop.textContent = words;
    stop.classList.toggle("on", Boolean(words));
  }

  function show() {
    const r = rules();
    which.textContent = `${slot.querySelector("span").textContent}, ${r.unit}`;
    const rest = r.starts.length && !digits.includes(".") ? "·".repeat(Math.max(0, r.after - digits.length)) : "";
    typed.textContent = `${text()}${rest}`;
    const button = place.querySelector("#before");
    button.hidden = r.starts.length < 2;
    button.textContent = r.starts.length ? r.starts[(before + 1) % r.starts.length] : "";
    place.querySelector("#none").hidden = slot.dataset.group !== "ohm";
  }

  place.addEventListener("click", (event) => {
    const button = event.target.closest("button");
    if (!button) return;
    if (slots.includes(button)) return pick(button);
    if (button.dataset.key) return key(button.dataset.key);
    const act = button.dataset.act;
    if (act === "back") { digits = digits.slice(0, -1); say(""); show(); }
    else if (act === "before") { before = (before + 1) % rules().starts.length; digits = ""; say(""); show(); }
    else if (act === "open") keep("open");
    else if (act === "next") { if (digits) keep(); else pick(slots[slots.indexOf(slot) + 1] || null); }
    else if (act === "gauge") { const d = slot.dataset.group; sessionStorage.removeItem(`unit-${place.dataset.visit}-${d}`); pick(slot); }
    else if (button.dataset.id) {
      const d = button.closest(".gauge").dataset.group;
      localStorage.setItem(`gauge-${d}`, JSON.stringify({ id: button.dataset.id, kind: button.dataset.kind, u: button.dataset.u.split("|") }));
      press(button.closest(".gauge"), button.dataset.id, unitOf(d));
      if (unitOf(d)) pick(slot);
    } else if (button.dataset.unit) {
      const d = button.closest(".gauge").dataset.group;
      sessionStorage.setItem(`unit-${place.dataset.visit}-${d}`, button.dataset.unit);
      press(button.closest(".gauge"), remembered(d).id, button.dataset.unit);
      if (remembered(d).id || slot.dataset.limit) pick(slot);
    }
  });
  document.addEventListener("keydown", (event) => {
    if (!slot || pad.hidden || event.ctrlKey || event.metaKey || event.altKey) return;
    if (/^[0-9.]$/.test(event.key)) { key(event.key); event.preventDefault(); }
    else if (event.key === "Backspace") { digits = digits.slice(0, -1); show(); }
    else if (event.key === "Enter" && digits) keep();
  });

  Waiting.send();
  if (slots.length) pick(slots.find((s) => !s.dataset.value && (s.dataset.owed || s.dataset.limit)) || slots[0]);
})();
