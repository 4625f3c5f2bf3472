// The number pad: digits go into the form's own field; on a sign-in pad the fourth one sends it.
(function () {
  "use strict";
  var form = document.querySelector("form.pin");
  if (!form) { return; }
  var field = form.querySelector("input[name=pin]");
  var shown = form.querySelector(".digits");
  var pad = form.querySelector(".pad");
  var hidden = form.dataset.show !== "yes";
  var sent = false;
  field.type = "hidden";
  form.querySelector(".typed").hidden = true;
  pad.hidden = false;
  shown.hidden = false;
  function show() {
    var text = hidden ? "●".repeat(field.value.length) : field.value;
    shown.textContent = text + "○".repeat(4 - field.value.length);
    shown.setAttribute("aria-label", field.value.length + " of 4 digits");
  }
  function put(digit) {
    if (sent || field.value.length >= 4) { return; }
    field.value += digit;
    show();
    if (field.value.length === 4 && form.dataset.sends === "yes") { sent = true; form.submit(); }
  }
  function back() { field.value = field.value.slice(0, -1); show(); }
  pad.addEventListener("click", function (event) {
    var button = event.target.closest("button");
    if (!button) { return; }
    if (button.dataset.digit) { put(button.dataset.digit); } else { back(); }
  });
  document.addEventListener("keydown", function (event) {
    if (/^[0-9]$/.test(event.key)) { put(event.key); }
    if (event.key === "Backspace") { back(); }
  });
  window.addEventListener("pageshow", function () { sent = false; field.value = ""; show(); });
  field.value = "";
  show();
})();
