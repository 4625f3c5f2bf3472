"""Which address is which screen."""

from __future__ import annotations

from wheeltapper.web import (
    atlas,
    bench,
    books,
    corner,
    entries,
    estimate,
    from_paper,
    gate,
    leaving,
    mark,
    owner,
    owner_link,
    paper,
    people,
    phones,
    read_back,
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
    from_paper,
    uploads,
    mark,
    atlas,
    owner,
    owner_link,
    read_back,
    leaving,
    sign_in,
    people,
    phones,
)
urlpatterns = [address for screen in SCREENS for address in screen.PATHS]
