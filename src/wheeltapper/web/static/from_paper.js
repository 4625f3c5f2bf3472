// Typing a paper in by keyboard: Enter goes on, / and a number go to a row, the words of the digits light up as they are typed.
"use strict";
(() => {
  const form = document.querySelector("#from-paper"), jump = document.querySelector("#jump");
  const fields = () => [...form.querySelectorAll(".typed input, .typed select, button.main")];
  let changed = false;

  function on(from) {
    const all = fields(), next = all[all.indexOf(from) + 1];
    if (!next) return;
    next.focus();
    if (next.select) next.select();
  }

  function go(number) {
    const row = form.querySelector(`.typed[data-row="${number}"]`);
    if (!row) { jump.setAttribute("aria-invalid", "true"); jump.select(); return; }
    jump.removeAttribute("aria-invalid");
    jump.value = "";
    const field = row.querySelector("input");
    field.focus();
    field.select();
  }

  function light(field) {
    const text = field.value.toLowerCase();
    const digits = /^[\d\s,]+$/.test(text) ? text : "";
    field.closest(".typed").querySelectorAll("[data-digit]").forEach((w) => w.classList.toggle("on", digits.includes(w.dataset.digit)));
  }

  form.addEventListener("keydown", (event) => {
    const field = event.target;
    if (event.key === "/" && field !== jump) { event.preventDefault(); jump.focus(); jump.select(); return; }
    if (event.key !== "Enter" || field.tagName === "BUTTON") return;
    event.preventDefault();
    if (field === jump) go(Number(jump.value)); else on(field);
  });
  form.addEventListener("input", (event) => {
    const field = event.target;
    if (field === jump) return;
    changed = true;
    if (!("look" in field.dataset)) return;
    light(field);
    if (/^(f|n[a-f])$/i.test(field.value)) on(field);
  });
  form.addEventListener("submit", () => { changed = false; });
  window.addEventListener("beforeunload", (event) => { if (changed) event.preventDefault(); });
  form.querySelectorAll("[data-look]").forEach(light);
})();
