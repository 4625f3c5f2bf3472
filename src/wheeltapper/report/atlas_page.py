"""One page of good and bad parts, side by side, that needs no other file and no script.

Each pair shows the good part, the same with the condition, and the difference outlined. Nothing is fetched.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Callable, Iterable
from html import escape

from wheeltapper.atlas import Pair
from wheeltapper.report.drawing_ink import ACCENT, INK, PAPER

PAGE = """<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; style-src 'unsafe-inline'">
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


def atlas_page(found: Iterable[Pair], data_of: Callable[[str], bytes], note: str) -> str:
    """The page.

    Args:
        found: what to show, in this order.
        data_of: gives the bytes of one of our pictures.
        note: what is to be known of all of them.

    Returns:
        HTML text; a picture that stands in several pairs is in it as often.
    """
    return PAGE.format(
        paper=PAPER,
        ink=INK,
        accent=ACCENT,
        note=escape(note),
        pairs="\n".join(_pair(p, data_of) for p in found),
    )


def _pair(pair: Pair, data_of: Callable[[str], bytes]) -> str:
    kind = "jpeg" if pair.good_is_photo else "webp"
    cells = [_figure(pair.good, kind, pair.good_said), _figure(data_of(pair.bad.file), "webp", pair.bad.said)]
    if pair.outlined:
        cells.append(_figure(data_of(pair.outlined.file), "webp", pair.outlined.said))
    return f'<h2>{escape(pair.bad.said)}</h2>\n<div class="pair">{"".join(cells)}</div>'


def _figure(data: bytes, kind: str, said: str) -> str:
    text = escape(said, quote=True)
    source = f"data:image/{kind};base64,{b64encode(data).decode()}"
    return f'<figure><img src="{source}" alt="{text}"><figcaption>{text}</figcaption></figure>'
