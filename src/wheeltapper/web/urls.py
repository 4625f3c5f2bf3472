"""Which address is which screen."""

from __future__ import annotations

from wheeltapper.web import (
    atlas,
    back,
    bench,
    books,
    corner,
    entries,
    estimate,
    gate,
    leaving,
    ledger,
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
    what_if,
    yard,
)

SCREENS = (
    yard,
    gate,
    table,
    what_if,
    ledger,
    estimate,
    paper,
    books,
    bench,
    back,
    corner,
    entries,
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
