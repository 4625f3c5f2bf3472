// What was entered on this phone and not yet confirmed by the server. Text lies in localStorage, which is written before the
// tap is shown; photos and sounds lie in IndexedDB. Both work without a secure page. Nothing is dropped before it is confirmed.
"use strict";
const Waiting = (() => {
  const TEXT = "waiting-entries", SIGN_IN = "sign in again, and they go out";
  const box = document.querySelector("#waiting");
  let sending = false, again = null, pause = 2000, why = "";
  const told = new EventTarget();
  const showing = { to: "", wheel: "" };  // the wheel on this page: what follows from an answer comes with its confirmation

  function read() {
    try { return JSON.parse(localStorage.getItem(TEXT) || "[]"); } catch { return []; }
  }
  function write(list) { localStorage.setItem(TEXT, JSON.stringify(list)); show(); }

  function newId() {
    const bytes = crypto.getRandomValues(new Uint8Array(16));  // also there on a page that is not secure
    return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
  }

  function entry(by, body, insteadOf, kind) {
    return { id: newId(), at: new Date().toISOString(), by, kind: kind || "piece", instead_of: insteadOf || [], body };
  }

  function add(to, entries) {
    write([...read(), ...entries.map((e) => ({ to, entry: e }))]);
    send();
  }

  // ---- files
  function base() {
    return new Promise((done, fail) => {
      const ask = indexedDB.open("waiting-files", 1);
      ask.onupgradeneeded = () => ask.result.createObjectStore("files", { keyPath: "id" });
      ask.onsuccess = () => done(ask.result);
      ask.onerror = () => fail(ask.error);
    });
  }
  async function store(how, what) {
    const db = await base();
    return new Promise((done, fail) => {
      const go = db.transaction("files", how === "get" ? "readonly" : "readwrite");
      const files = go.objectStore("files");
      const ask = how === "get" ? files.getAll() : how === "put" ? files.put(what) : files.delete(what);
      go.oncomplete = () => { db.close(); done(ask.result); };
      go.onerror = () => { db.close(); fail(go.error); };
    });
  }
  async function addFile(to, by, file, about) {
    const kept = { id: newId(), at: new Date().toISOString(), by, to, about, file: await file.arrayBuffer(), type: file.type };
    await store("put", kept);
    await show();
    send();
    return kept.id;
  }

  // ---- sending
  async function send() {
    if (sending) return;
    sending = true;
    clearTimeout(again);
    try {
      await sendText();
      await sendFiles();
      pause = 2000;
      why = "";
    } catch (slip) {
      why = slip.message === SIGN_IN ? SIGN_IN : "";
      pause = Math.min(pause * 1.6, 30000);
    }
    sending = false;
    const left = await count();
    if (left) again = setTimeout(send, pause);
    show();
  }

  function later(status) {
    if (status === 401 || (status === 403 && !csrf())) throw new Error(SIGN_IN);
    if (status >= 500 || status === 403) throw new Error("later");
  }

  async function sendText() {
    for (;;) {
      const mine = read().filter((w) => w.entry.by === me() && !w.refused);
      if (!mine.length) return;
      const to = mine[0].to;
      const batch = mine.filter((w) => w.to === to).slice(0, 100);
      const answer = await fetch(to, {
        method: "POST", headers: { "Content-Type": "application/json", Accept: "application/json", "X-CSRFToken": csrf() }, credentials: "same-origin",
        body: JSON.stringify({ entries: batch.map((w) => w.entry), show: to === showing.to ? showing.wheel : undefined }), redirect: "error",
      });
      later(answer.status);
      const said = await answer.json();
      if (!said.kept) throw new Error(said.what || "later");
      const kept = new Set(said.kept);
      const refused = new Map(said.refused.map((r) => [r.id, r]));
      write(read().filter((w) => !kept.has(w.entry.id)).map((w) => refused.has(w.entry.id) ? { ...w, refused: refused.get(w.entry.id) } : w));
      told.dispatchEvent(new CustomEvent("kept", { detail: { to, said } }));
      if (!kept.size) return;
    }
  }

  async function sendFiles() {
    for (const kept of await store("get")) {
      if (kept.by !== me() || kept.refused) continue;
      const asked = new URLSearchParams({ id: kept.id, at: kept.at, ...kept.about });
      const answer = await fetch(`${kept.to}?${asked}`, {
        method: "POST", headers: { "Content-Type": kept.type || "application/octet-stream", Accept: "application/json", "X-CSRFToken": csrf() }, credentials: "same-origin",
        body: kept.file, redirect: "error",
      });
      later(answer.status);
      const said = await answer.json();
      if (answer.ok) await store("delete", kept.id);
      else await store("put", { ...kept, refused: said });
      told.dispatchEvent(new CustomEvent("kept", { detail: { to: kept.to, said } }));
    }
  }

  // ---- shown
  async function count() { return read().length + (await store("get")).length; }
  async function show() {
    if (!box) return;
    const texts = read(), files = await store("get");
    const all = texts.length + files.length;
    const refused = [...texts.filter((w) => w.refused).map((w) => w.refused), ...files.filter((f) => f.refused).map((f) => f.refused)];
    const others = [...new Set([...texts.map((w) => w.entry.by), ...files.map((f) => f.by)].filter((b) => b !== me()))];
    box.hidden = !all;
    box.textContent = all ? `${all} on this phone, waiting for the server` : "";
    if (all && why) box.textContent += `: ${why}`;
    if (others.length) box.textContent += `; some are ${others.join(" and ")}'s and go out when they sign in`;
    for (const r of refused.slice(0, 3)) {
      const line = document.createElement("p");
      line.textContent = `${r.what}. ${r.do}`;
      box.append(line);
    }
    if (refused.length) {
      const drop = document.createElement("button");
      drop.type = "button";
      drop.textContent = "I entered it anew: drop these";
      drop.addEventListener("click", dropRefused);
      box.append(drop);
    }
  }
  async function dropRefused() {
    write(read().filter((w) => !w.refused));
    for (const f of await store("get")) if (f.refused) await store("delete", f.id);
    show();
  }
  function me() { return document.body.dataset.by || ""; }
  function csrf() { return (document.cookie.match(/csrftoken=([^;]+)/) || [])[1] || ""; }

  addEventListener("online", send);
  addEventListener("pageshow", send);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) send(); });
  return { add, addFile, entry, send, read, told, showing };
})();
