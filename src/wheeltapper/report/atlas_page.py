"""One page of good and bad parts, side by side, that needs no other file and no script.

Each pair shows the good part, the same with the condition, and the difference outlined. Nothing is fetched.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Callable, Iterable
from html import escape

from wheeltapper.atlas import Pair, data_of
from wheeltapper.report.drawing_ink import ACCENT, INK, PAPER

PAGE = """<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src 'self' data:; style-src 'unsafe-inline'">
<title>What good and bad look like</title>
<style>
body {{ margin: 0 auto; padding: 16px; max-width: 1900px; background: {paper}; color: {ink}; font: 18px/1.4 sans-serif }}
h1, h2 {{ font-size: 22px; font-weight: normal; margin: 24px 0 12px }}
.pair {{ display: flex; flex-wrap: wrap; gap: 16px }}
figure {{ margin: 0; flex: 1 1 320px }}
img {{ display: block; width: 100%; border: 1px solid {ink}; box-sizing: border-box }}
figcaption {{ padding: 6px 0 0 10px; border-left: 4px solid {accent}; margin-top: 8px }}
</style>
<main>
<h1>What good and bad look like</h1>
<p>{note}</p>
{pairs}
</main>
</html>
"""


def atlas_page(found: Iterable[Pair], source: Callable[[str], str], note: str) -> str:
    """The page.

    Args:
        found: what to show, in this order.
        source: gives the address of one of our pictures: `embedded`, or its name where the files lie beside the page.
        note: what is to be known of all of them.

    Returns:
        HTML text; an embedded picture that stands in several pairs is in it as often.
    """
    pairs = "\n".join(_pair(p, source) for p in found)
    return PAGE.format(paper=PAPER, ink=INK, accent=ACCENT, note=escape(note), pairs=pairs)


def embedded(file: str) -> str:
    """One of our pictures as an address that holds it."""
    return _held(data_of(file), "webp")


def _held(data: bytes, kind: str) -> str:
    return f"data:image/{kind};base64,{b64encode(data).decode()}"


def _pair(pair: Pair, source: Callable[[str], str]) -> str:
    good = _held(pair.good, "jpeg") if pair.good_is_photo else source(pair.bad.good)
    cells = [_figure(good, pair.good_said), _figure(source(pair.bad.file), pair.bad.said)]
    if pair.outlined:
        cells.append(_figure(source(pair.outlined.file), pair.outlined.said))
    return f'<h2>{escape(pair.bad.said)}</h2>\n<div class="pair">{"".join(cells)}</div>'


def _figure(source: str, said: str) -> str:
    text = escape(said, quote=True)
    return f'<figure><img src="{source}" alt="{text}" loading="lazy"><figcaption>{text}</figcaption></figure>'
