"""Tags for tongues: whoever scans one sees what is due on that unit, and can say what was done. They end only when told to.

A tag's token is made and kept as an owner's link's is (links.py); anyone who stands beside the trailer can read it.
"""

from __future__ import annotations

import secrets

from django.utils import timezone

from wheeltapper.store import links
from wheeltapper.store.models import UnitTag

PURPOSE = b"unit tag "


def make(unit: str, by: str) -> UnitTag:
    """A new tag for a unit."""
    seed = secrets.token_hex(32)
    return UnitTag.objects.create(
        unit=unit, seed=seed, key=links.key_of(links.token(seed, PURPOSE)), made_by=by
    )


def token_of(tag: UnitTag) -> str | None:
    """The token again, to be printed; None where the server's key is another one now."""
    return links.token_again(tag.seed, tag.key, PURPOSE)


def found(token: str) -> UnitTag | None:
    """The tag of a token, ended or not; None for a token that there never was."""
    return UnitTag.objects.filter(key=links.key_of(token)).first() if len(token) == links.LENGTH else None


def stands(tag: UnitTag) -> bool:
    """Whether it still opens."""
    return tag.revoked is None


def end(tag: UnitTag, by: str) -> None:
    """From now on it opens nothing; who ended it first stays on record."""
    UnitTag.objects.filter(pk=tag.pk, revoked=None).update(revoked=timezone.now(), revoked_by=by)


def scanned(tag: UnitTag) -> None:
    """Write down when it was opened for the first time."""
    if tag.scanned is None:
        UnitTag.objects.filter(pk=tag.pk, scanned=None).update(scanned=timezone.now())
