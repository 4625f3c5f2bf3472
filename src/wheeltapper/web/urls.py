"""Which address is which screen."""

from __future__ import annotations

from wheeltapper.web import (
    atlas,
    bench,
    corner,
    entries,
    gate,
    leaving,
    mark,
    owner,
    owner_link,
    people,
    phones,
    read_back,
    sign_in,
    table,
    uploads,
    yard,
)

SCREENS = (
    yard, gate, table, bench, corner, entries, uploads, mark, atlas, owner, owner_link, read_back, leaving, sign_in, people, phones,
)  # fmt: skip
urlpatterns = [address for screen in SCREENS for address in screen.PATHS]
