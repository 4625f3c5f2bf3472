"""Two aligned pictures of one place, to be compared: a page that works by itself, and both side by side.

A page without scripts shows them side by side; with them a slider wipes from one to the other. Nothing is fetched.
Whether the two are aligned is the caller's word: here only their sizes are compared.
"""

from __future__ import annotations

from base64 import b64encode
from html import escape

from PIL import Image

from wheeltapper.problems import NoAnswerError
from wheeltapper.report.drawing_ink import ACCENT, INK, PAPER, SOFT
from wheeltapper.report.mark_ink import Pixels, as_bytes, broken, fitted, framed, letter, shown

PAGE = """<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'unsafe-inline'">
<title>{title}</title>
<style>
body {{ margin: 0 auto; padding: 16px; max-width: 1640px; background: {paper}; color: {ink}; font: 18px/1.4 sans-serif }}
h1 {{ font-size: 22px; font-weight: normal; margin: 0 0 12px }}
.pair {{ display: flex; flex-wrap: wrap; gap: 16px }}
figure {{ margin: 0; flex: 1 1 320px }}
img {{ display: block; width: 100%; border: 1px solid {ink}; box-sizing: border-box }}
figcaption {{ padding: 6px 0 0 10px; border-left: 4px solid {accent}; margin-top: 8px }}
.slide {{ display: none }}
.wipe .pair {{ display: block; position: relative }}
.wipe figure + figure {{ position: absolute; left: 0; top: 0; width: 100% }}
.wipe figure + figure img {{ clip-path: inset(0 0 0 var(--at)) }}
.wipe .edge {{ position: absolute; left: var(--at); top: 0; width: 3px; margin-left: -1px; background: {accent}; display: block }}
.wipe figcaption {{ display: none }}
.wipe .slide {{ display: block }}
.slide span {{ display: flex; justify-content: space-between; gap: 16px }}
.slide input {{ width: 100%; height: 56px; margin: 4px 0 0; accent-color: {accent} }}
</style>
<main id="main">
<h1>{title}</h1>
<div class="pair">
<figure><img src="data:image/jpeg;base64,{first}" alt="{first_said}"><figcaption>{first_said}</figcaption></figure>
<figure><img src="data:image/jpeg;base64,{second}" alt="{second_said}"><figcaption>{second_said}</figcaption></figure>
<i class="edge" hidden></i>
</div>
<label class="slide"><input id="at" type="range" min="0" max="100" step="0.5" value="50" aria-label="How much of the first picture is shown">
<span><b>left of the edge: {first_said}</b><b>right of it: {second_said}</b></span></label>
</main>
<script>
const main = document.getElementById("main"), at = document.getElementById("at");
const edge = document.querySelector(".edge"), photo = document.querySelector("img");
const move = () => {{
  main.style.setProperty("--at", at.value + "%");
  edge.style.height = photo.clientHeight + 2 + "px";
}};
main.classList.add("wipe");
edge.hidden = false;
at.addEventListener("input", move);
addEventListener("resize", move);
addEventListener("load", move);
move();
</script>
</html>
"""
GAP = 24  # pixels between two pictures
SIDE = 900  # pixels of each


def wipe_page(first: Pixels, second: Pixels, first_said: str, second_said: str, title: str) -> str:
    """Two pictures as one page that needs no other file.

    Args:
        first: (rows, columns, 3).
        second: the same place, aligned, (rows, columns, 3).
        first_said: what the first is.
        second_said: what the second is.
        title: what both show.

    Returns:
        The page as HTML text; the pictures in it have no metadata.

    Raises:
        NoAnswerError: the pictures differ in size.
    """
    _alike(first, second)
    one, two = (b64encode(as_bytes(fitted(p)[0], "jpeg", 82)).decode() for p in (first, second))
    said = {"title": title, "first_said": first_said, "second_said": second_said}
    return PAGE.format(
        paper=PAPER, ink=INK, accent=ACCENT, first=one, second=two,
        **{key: escape(text, quote=True) for key, text in said.items()},
    )  # fmt: skip


def wipe_picture(first: Pixels, second: Pixels, first_said: str, second_said: str) -> bytes:
    """Two pictures side by side in one frame.

    Args:
        first: (rows, columns, 3).
        second: the same place, aligned, (rows, columns, 3).
        first_said: what the first is.
        second_said: what the second is.

    Returns:
        A PNG without metadata.

    Raises:
        NoAnswerError: the pictures differ in size.
    """
    _alike(first, second)
    one, two = (fitted(p, SIDE, SIDE // 2)[0] for p in (first, second))
    both = Image.new("RGB", (2 * one.width + GAP, one.height), PAPER)
    both.paste(one, (0, 0))
    both.paste(two, (one.width + GAP, 0))
    for x in (one.width, one.width + GAP - 1):
        both.paste(INK, (x, 0, x + 1, one.height))
    size = max(18, one.width // 28)

    def write(sheet: Image.Image, left: int, top: int) -> None:
        for y in (
            left - 1,
            top,
        ):  # the frame's edge leaves the gap open; its margin is as wide above as at the left
            sheet.paste(PAPER, (left + one.width + 1, y, left + one.width + GAP - 1, y + 1))
        for x, said in ((left, first_said), (left + one.width + GAP, second_said)):
            letter(sheet, (x, top + 1.5 * size), _short(said, size, one.width), size, SOFT)

    return as_bytes(framed(both, write, round(1.6 * size)), "png")


def _short(said: str, size: int, width: float) -> str:
    """As much of a text as fits on one line."""
    lines = broken(said, size, width - size)
    return shown(said) if len(lines) < 2 else f"{lines[0]} ..."


def _alike(first: Pixels, second: Pixels) -> None:
    if first.shape != second.shape:
        sizes = " and ".join(f"{p.shape[1]} x {p.shape[0]}" for p in (first, second))
        raise NoAnswerError(f"the two pictures differ in size: {sizes} pixels", "align them first.")
