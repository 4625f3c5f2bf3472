// One wheel: an answer is a tap; it is kept on the phone first, shown at once, then sent.
"use strict";
(() => {
  const place = document.querySelector("#stations");
  const { position, by, send, file, work } = place.dataset;

  const rowOf = (node) => node.closest(".row");
  const ids = (row) => row.dataset.ids.split(" ").filter(Boolean);
  const found = (row) => row.dataset.found.split("|").filter((w) => w && w !== "fine");

  function piece(row, words) {
    const look = { check: row.dataset.check, found: words };
    if (row.dataset.place) look.place = row.dataset.place;
    return { corner: [{ position, by, [row.dataset.how]: [look] }] };
  }

  function answer(row, body, words, said) {
    const entry = Waiting.entry(by, body, ids(row));
    row.dataset.ids = entry.id;
    row.dataset.found = words.join("|");
    paint(row, words, said);
    return entry;
  }

  function paint(row, words, said) {
    const fine = words.length === 1 && words[0] === "fine";
    const state = fine ? "fine" : words.length ? "finding" : "not-checked";
    row.className = `row ${state} waiting`;
    row.querySelector(".answer").textContent = `${said || words.join(", ")} (waiting)`;
    for (const [name, on] of [["fine", fine], ["finding", state === "finding"], ["not", state === "not-checked"]]) {
      row.querySelector(`.${name}`).setAttribute("aria-pressed", String(on));
    }
    row.querySelectorAll("[data-word]").forEach((b) => b.setAttribute("aria-pressed", String(words.includes(b.dataset.word))));
    row.querySelectorAll(".camera").forEach((c) => { c.hidden = false; });
    count();
  }

  function count() {
    const left = place.querySelectorAll(".row.open:not([data-also]), .row.not-checked:not([data-also])").length, said = place.querySelector("#gaps strong");
    if (said) said.textContent = said.textContent.replace(/: \d+ checks?/, `: ${left} check${left === 1 ? "" : "s"}`);
  }

  function open(box, button, on) {
    box.hidden = !on;
    button.setAttribute("aria-expanded", String(on));
  }

  place.addEventListener("click", (event) => {
    const button = event.target.closest("button");
    if (!button) return;
    const row = rowOf(button);
    if (button.classList.contains("to-open")) {
      const next = place.querySelector(".row.open:not([data-also])");
      if (next) next.scrollIntoView({ block: "center" });
      return;
    }
    if (button.classList.contains("all-fine")) return allFine(button);
    if (button.classList.contains("nail")) {
      const box = button.closest(".measured"), mark = { ...JSON.parse(box.dataset.mark), felt: button.dataset.felt, felt_by: by };
      Waiting.add(send, [Waiting.entry(by, { corner: [{ position, mark: [mark] }] }, [box.dataset.id])]);
      button.parentElement.textContent = `Fingernail: ${button.dataset.felt} (waiting)`;
      return;
    }
    if (button.classList.contains("agree")) {
      const look = { position, by, agrees: button.dataset.agrees === "yes" };
      Waiting.add(send, [Waiting.entry(by, { second_look: [look] })]);
      button.closest(".second").textContent = "Second look kept (waiting)";
      return;
    }
    if (!row) return;
    const words = row.querySelector(".words");
    if (button.classList.contains("fine")) {
      open(words, row.querySelector(".finding"), false);
      Waiting.add(send, [answer(row, piece(row, ["fine"]), ["fine"])]);
    } else if (button.classList.contains("finding")) {
      row.querySelectorAll(".why-not").forEach((n) => n.remove());
      open(words, button, words.hidden);
    } else if (button.classList.contains("not")) {
      askWhy(row, button);
    } else if (button.dataset.word) {
      const had = found(row), word = button.dataset.word;
      const now = had.includes(word) ? had.filter((w) => w !== word) : [...had, word];
      if (now.length) Waiting.add(send, [answer(row, piece(row, now), now)]);
      else takeBack(row);
    } else if (button.dataset.why) {
      const body = { corner: [{ position, by, not_checked: [{ check: row.dataset.check, why: button.dataset.why, by }] }] };
      Waiting.add(send, [answer(row, body, [], `not checked: ${button.dataset.why}`)]);
      row.querySelector(".why-not").remove();
    } else if (button.classList.contains("record")) {
      record(row);
    } else if (button.dataset.take) {
      taking = { check: row.dataset.check, place: row.dataset.place };
      document.querySelector(`#take-${button.dataset.take}`).click();
    }
  });

  function takeBack(row) {
    const gone = ids(row);
    row.dataset.ids = "";
    row.dataset.found = "";
    row.className = "row open waiting";
    row.querySelector(".answer").textContent = "not answered (waiting)";
    row.querySelectorAll("[aria-pressed]").forEach((b) => b.setAttribute("aria-pressed", "false"));
    Waiting.add(send, [Waiting.entry(by, { why: "taken back on the corner" }, gone, "withdraw")]);
  }

  function askWhy(row, button) {
    open(row.querySelector(".words"), row.querySelector(".finding"), false);
    if (row.querySelector(".why-not")) { row.querySelector(".why-not").remove(); return; }
    const box = document.querySelector("#why-not").content.firstElementChild.cloneNode(true);
    box.classList.add("why-not");
    button.closest(".three").after(box);
  }

  function allFine(button) {
    const station = button.closest(".station");
    const rows = [...station.querySelectorAll(".row.open")].filter((r) => !r.dataset.also);
    Waiting.add(send, rows.map((row) => answer(row, piece(row, ["fine"]), ["fine"])));
    button.hidden = true;
    const next = station.nextElementSibling;
    if (next) next.scrollIntoView({ block: "start" });
    count();
  }

  // The inputs stand outside of what the server draws anew: an answer may arrive while the camera is open.
  let recording = null;  // one at a time; its button may be drawn anew meanwhile
  let taking = null;  // the check that the camera was opened for
  for (const kind of ["photo", "sound"]) {
    const input = document.querySelector(`#take-${kind}`);
    input.addEventListener("change", async () => {
      const shots = [...input.files], about = taking;
      input.value = "";
      for (const shot of shots) await attach(about, shot, kind);
    });
  }

  const rowAt = (about) => [...place.querySelectorAll(".row")].find((r) => r.dataset.check === about.check && r.dataset.place === about.place);

  async function attach(at, blob, kind, said) {
    const about = { kind, position, check: at.check }, row = rowAt(at);
    if (said) about.said = said;
    const shown = document.createElement(kind === "photo" ? "img" : "p");
    if (kind === "photo") Object.assign(shown, { src: URL.createObjectURL(blob), alt: "photo, waiting", width: 96, height: 72 });
    else shown.textContent = "recording, waiting";
    if (row) row.querySelector(".photos").prepend(shown);
    await Waiting.addFile(file, by, blob, about);
  }

  // Recording in the page needs a secure page; elsewhere the phone's own recorder is asked for.
  if (window.isSecureContext && navigator.mediaDevices && window.MediaRecorder) showRecorders();
  function showRecorders() {
    place.querySelectorAll(".record").forEach((b) => {
      b.hidden = false;
      b.textContent = recording ? "Stop: tap the drum first, five times" : "Record here";
    });
  }

  async function record(row) {
    if (recording) { recording.recorder.stop(); return; }
    const about = { check: row.dataset.check, place: row.dataset.place };
    let stream;
    try {
      stream = await navigator.mediaDevices.getUserMedia({ audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false } });
    } catch {
      row.querySelector(".record").textContent = "The microphone is not allowed: use the other button";
      return;
    }
    const parts = [], recorder = new MediaRecorder(stream);
    const said = JSON.stringify(stream.getAudioTracks()[0].getSettings());
    recorder.ondataavailable = (e) => parts.push(e.data);
    recorder.onstop = async () => {
      stream.getTracks().forEach((t) => t.stop());
      recording = null;
      showRecorders();
      await attach(about, new Blob(parts, { type: recorder.mimeType }), "sound", said.slice(0, 400));
    };
    recording = { recorder };
    recorder.start(500);
    showRecorders();
  }

  // ---- what follows from it, from the server
  let asking = null, kept = 0;  // entries that the server has confirmed: a page made from fewer is old
  Object.assign(Waiting.showing, { to: send, wheel: position });
  Waiting.told.addEventListener("kept", (event) => {
    const { to, said } = event.detail;
    if (to !== send && to !== file) return;
    kept = Math.max(kept, said.entries || 0);
    if (said.html) draw(said.html);
    else { clearTimeout(asking); asking = setTimeout(refresh, 60); }
  });
  async function refresh() {
    const answer = await fetch(`${location.pathname}?part`, { credentials: "same-origin", redirect: "error" }).catch(() => null);
    if (answer && answer.ok) draw(await answer.text());
  }
  // What a person has open stays open when the wheel is drawn anew; each gives back how to open it again.
  function openedNow() {
    const rows = [...place.querySelectorAll(".row")].flatMap((row) => {
      const at = { check: row.dataset.check, place: row.dataset.place }, again = [];
      const reopen = (how) => () => { const drawn = rowAt(at); if (drawn) how(drawn); };
      if (!row.querySelector(".words").hidden) again.push(reopen((r) => open(r.querySelector(".words"), r.querySelector(".finding"), true)));
      if (row.querySelector(".why-not")) again.push(reopen((r) => askWhy(r, r.querySelector(".not"))));
      if (row.querySelector("details.good").open) again.push(reopen((r) => { r.querySelector("details.good").open = true; }));
      return again;
    });
    const also = [...place.querySelectorAll(".station > details.also[open]")].map((box) => box.parentElement.id);
    return [...rows, ...also.map((id) => () => { const box = place.querySelector(`#${id} > details.also`); if (box) box.open = true; })];
  }
  function draw(html) {
    const made = Number((html.match(/data-entries="(\d+)"/) || [])[1]);
    if (made < kept) { clearTimeout(asking); asking = setTimeout(refresh, 60); return; }
    if (Waiting.read().some((w) => w.to === send && !w.refused)) return;  // newer answers are under way
    const opened = openedNow();
    const y = window.scrollY, anchor = document.elementFromPoint(180, 200), id = anchor && anchor.closest("[id]") && anchor.closest("[id]").id;
    const before = id ? document.getElementById(id).getBoundingClientRect().top : 0;
    place.innerHTML = html;
    for (const reopen of opened) reopen();
    const now = id && document.getElementById(id);
    window.scrollTo(0, now ? y + now.getBoundingClientRect().top - before : y);
    if (window.isSecureContext && navigator.mediaDevices && window.MediaRecorder) showRecorders();
  }

  // ---- recordings and photos that the server is busy with
  let looking = null, before = 0;
  async function look() {
    clearTimeout(looking);
    const answer = await fetch(work, { credentials: "same-origin", headers: { Accept: "application/json" } }).catch(() => null);
    if (!answer || !answer.ok) return;
    const said = await answer.json(), list = place.querySelector("#work");
    const mine = said.tasks.filter((t) => t.position === position && (t.state !== "done"));
    list.replaceChildren(...mine.map((t) => {
      const line = document.createElement("li");
      const name = t.kind === "ring" ? "Ring test" : "Measuring the line";
      line.textContent = t.state === "failed" ? `${name}: ${t.said}` : `${name}: ${t.state}${t.share ? `, ${Math.round(100 * t.share)} %` : ""}`;
      return line;
    }));
    if (said.open < before) refresh();
    before = said.open;
    if (said.open) looking = setTimeout(look, 700);
  }
  Waiting.told.addEventListener("kept", (event) => { if (event.detail.to === file) look(); });
  look();

  // What waited from before this page was loaded is shown as answered, too.
  for (const waiting of Waiting.read()) {
    if (waiting.to !== send || waiting.refused) continue;
    for (const corner of waiting.entry.body.corner || []) {
      if (corner.position !== position) continue;
      for (const how of ["look", "feel", "hear"]) {
        for (const look of corner[how] || []) {
          const row = [...place.querySelectorAll(".row")].find((r) => r.dataset.check === look.check && r.dataset.place === (look.place || ""));
          if (row) { row.dataset.ids = waiting.entry.id; row.dataset.found = look.found.join("|"); paint(row, look.found); }
        }
      }
    }
  }
  Waiting.send();
})();
