"""Which address is which screen."""

from __future__ import annotations

from wheeltapper.web import (
    atlas,
    bench,
    books,
    corner,
    entries,
    estimate,
    gate,
    mark,
    paper,
    people,
    phones,
    sign_in,
    table,
    uploads,
    yard,
)

SCREENS = (
    yard,
    gate,
    table,
    estimate,
    paper,
    books,
    bench,
    corner,
    entries,
    uploads,
    mark,
    atlas,
    sign_in,
    people,
    phones,
)
urlpatterns = [address for screen in SCREENS for address in screen.PATHS]
