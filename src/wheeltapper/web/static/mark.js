// Each end is tapped twice: once on the whole photo, then exactly on the part of it that is drawn larger.
"use strict";
(() => {
  const place = document.querySelector("#photo"), canvas = place.querySelector("canvas"), source = document.querySelector("#source");
  const tell = document.querySelector("#tell"), measure = document.querySelector("#measure");
  const ZOOM = 5, pen = canvas.getContext("2d");
  let view = null, ends = [], close = false;

  function whole() { return { x: 0, y: 0, scale: Math.min(canvas.width / source.naturalWidth, canvas.height / source.naturalHeight) }; }

  function draw() {
    pen.fillStyle = "#EFE7D6";
    pen.fillRect(0, 0, canvas.width, canvas.height);
    pen.drawImage(source, view.x, view.y, canvas.width / view.scale, canvas.height / view.scale, 0, 0, canvas.width, canvas.height);
    ends.forEach(([x, y], i) => {
      const at = [(x - view.x) * view.scale, (y - view.y) * view.scale];
      for (const [colour, wide] of [["#FBF7EE", 6], ["#B4452C", 3]]) {
        pen.strokeStyle = colour;
        pen.lineWidth = wide;
        pen.beginPath();
        pen.arc(at[0], at[1], 14, 0, 7);
        pen.moveTo(at[0] - 22, at[1]); pen.lineTo(at[0] - 5, at[1]);
        pen.moveTo(at[0] + 5, at[1]); pen.lineTo(at[0] + 22, at[1]);
        pen.stroke();
      }
      pen.fillStyle = "#1B2A41";
      pen.font = "24px sans-serif";
      pen.fillText(String(i + 1), at[0] + 18, at[1] - 14);
    });
  }

  function start() {
    canvas.height = Math.round(canvas.width * Math.min(1.3, source.naturalHeight / source.naturalWidth));
    ends = [];
    close = false;
    view = whole();
    measure.disabled = true;
    tell.textContent = "Tap one end of the dark line.";
    draw();
  }

  canvas.addEventListener("click", (event) => {
    if (!view || ends.length === 2) return;
    const box = canvas.getBoundingClientRect();
    const x = view.x + (event.clientX - box.left) * canvas.width / box.width / view.scale;
    const y = view.y + (event.clientY - box.top) * canvas.height / box.height / view.scale;
    if (x < 0 || y < 0 || x > source.naturalWidth || y > source.naturalHeight) return;
    if (!close) {
      const scale = whole().scale * ZOOM;
      view = { x: x - canvas.width / 2 / scale, y: y - canvas.height / 2 / scale, scale };
      close = true;
      tell.textContent = "Now exactly: tap the very end of it.";
    } else {
      ends.push([Math.round(x * 10) / 10, Math.round(y * 10) / 10]);
      close = false;
      view = whole();
      tell.textContent = ends.length === 1 ? "Tap the other end." : "Both ends are set.";
      measure.disabled = ends.length !== 2;
    }
    draw();
  });

  document.querySelector("#anew").addEventListener("click", start);
  measure.addEventListener("click", async () => {
    measure.disabled = true;
    const { sha, on, check, position, ask, back } = place.dataset;
    const asked = { position, sha256: [sha], check, on, ends };
    const csrf = (document.cookie.match(/csrftoken=([^;]+)/) || [])[1] || "";
    const answer = await fetch(ask, {
      method: "POST", credentials: "same-origin", redirect: "error", body: JSON.stringify({ kind: "mark", asked }),
      headers: { "Content-Type": "application/json", Accept: "application/json", "X-CSRFToken": csrf },
    }).catch(() => null);
    if (answer && answer.ok) { location.assign(back); return; }
    const said = answer ? await answer.json().catch(() => ({})) : {};
    tell.textContent = said.what ? `${said.what}. ${said.do}` : "The server cannot be reached. The photo is kept; try again.";
    measure.disabled = false;
  });

  if (source.complete && source.naturalWidth) start();
  else source.addEventListener("load", start);
  source.addEventListener("error", () => { tell.textContent = "This browser cannot show the photo. Send it as JPEG."; });
})();
