"""What the bay's templates draw: the mark of a call, the good view of a check."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from django import template
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from wheeltapper.atlas import good_view_of
from wheeltapper.report.drawing import call_mark
from wheeltapper.report.drawing_ruler import bare_ruler
from wheeltapper.store.unit_names import plain
from wheeltapper.web.corner import Row
from wheeltapper.web.mark import ON
from wheeltapper.words import CallWord

register = template.Library()


@register.filter
@lru_cache(16)
def drawn(call: CallWord | None) -> SafeString:
    """A call's mark as it is drawn everywhere."""
    return mark_safe(call_mark(call or None))  # our own drawing, nothing typed is in it


@register.filter
def wheels(position: str) -> list[str]:
    """The wheels of an item that speaks of several."""
    return position.split(", ")


@register.filter
def tag(name: str) -> str:
    """A unit's name as addresses hold it."""
    return plain(name)


@register.filter
def own(pictures: Mapping[str, str], file: str) -> bool:
    """Whether the shop's own photo stands in for a picture of the atlas."""
    return pictures.get(file, "ours") != "ours"


@register.filter
def scale(number: Mapping[str, float]) -> SafeString:
    """One number on one ruler from new to its limit, without letters: they stand below, large enough to read."""
    return mark_safe(bare_ruler(float(number["share"]), float(number["doubt"])))  # numbers alone


@register.simple_tag
@lru_cache(20_000)
def row(row: Row, number: str, extra: bool = False) -> SafeString:
    """A check's row on the wheel; most of them stay as they are from one answer to the next."""
    return mark_safe(
        render_to_string("corner/row.html", {"row": row, "number": number, "extra": extra, "lines": ON})
    )


@register.simple_tag
def good_view(check: str) -> SafeString:
    """The atlas's good part from where this check looks, if there is one; loaded when it is opened."""
    picture = good_view_of(check)
    if picture is None:
        return mark_safe("")
    return format_html(
        '<img src="{}" alt="{}" loading="lazy" width="1200" height="844"><p>{}: a good one, rendered, not a photograph.</p>',
        reverse("atlas", args=[picture.file]),
        picture.said,
        picture.said.partition(":")[0],
    )
