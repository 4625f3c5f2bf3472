// One picture over another, and an edge between them that a finger, a mouse or the arrow keys move. Without this script the
// two stand side by side. Nothing is fetched and nothing is kept.
"use strict";
for (const wipe of document.querySelectorAll("[data-wipe]")) {
  const two = wipe.querySelector(".two");
  const above = two.querySelectorAll("img")[1];
  const slide = wipe.querySelector("input.slide");
  const edge = document.createElement("i");
  edge.className = "edge";
  two.append(edge);
  wipe.classList.add("on");
  wipe.querySelectorAll(".slide").forEach((e) => { e.hidden = false; });

  const move = () => {
    const at = slide.value + "%";
    above.style.clipPath = `inset(0 0 0 ${at})`;
    edge.style.left = at;
    slide.setAttribute("aria-valuetext", `${slide.value} % then, ${100 - slide.value} % now`);
  };
  const follow = (event) => {
    const box = two.getBoundingClientRect();
    slide.value = Math.round(100 * (event.clientX - box.left) / box.width);
    move();
  };
  slide.addEventListener("input", move);
  two.addEventListener("pointerdown", (event) => {
    event.preventDefault();
    two.setPointerCapture(event.pointerId);
    follow(event);
  });
  two.addEventListener("pointermove", (event) => {
    if (two.hasPointerCapture(event.pointerId)) follow(event);
  });
  move();
}
