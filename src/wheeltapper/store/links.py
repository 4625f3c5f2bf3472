"""Links for owners: nobody can guess one, each shows one visit, ends by itself and can be ended at once.

A token is 256 bits: HMAC-SHA256 of a random seed under the server's own key, which lies in the shop's folder and in no backup.
The database keeps the seed and the token's SHA-256, so who reads it (or a backup) can open nothing; yet the counter can show a
link again without its being kept. A shop that was restored has another key: its old links still open, and cannot be shown again.
"""

from __future__ import annotations

import hmac
import secrets
from base64 import urlsafe_b64encode
from datetime import timedelta
from hashlib import sha256

from django.conf import settings
from django.utils import timezone

from wheeltapper.store.models import KeptVisit, OwnerLink

LENGTH = 43  # letters of a token
PURPOSE = b"owner link "


def make(visit: KeptVisit, to: str, by: str, days: int) -> OwnerLink:
    """A new link for somebody, good for so many days."""
    seed = secrets.token_hex(32)
    until = timezone.now() + timedelta(days=days)
    return OwnerLink.objects.create(
        visit=visit, key=key_of(token(seed)), seed=seed, to=to, made_by=by, until=until
    )


def token_of(link: OwnerLink) -> str | None:
    """The token again, to be shown or sent; None where the server's key is another one now."""
    return token_again(link.seed, link.key)


def found(asked: str) -> OwnerLink | None:
    """The link of a token, ended or not; None for a token that there never was."""
    if len(asked) != LENGTH:
        return None
    return OwnerLink.objects.filter(key=key_of(asked)).select_related("visit").first()


def stands(link: OwnerLink) -> bool:
    """Whether it still opens."""
    return link.revoked is None and link.until > timezone.now()


def end(link: OwnerLink, by: str) -> None:
    """From now on it opens nothing; who ended it first stays on record."""
    OwnerLink.objects.filter(pk=link.pk, revoked=None).update(revoked=timezone.now(), revoked_by=by)


def opened(link: OwnerLink) -> None:
    """Write down when it was opened for the first time."""
    if link.opened is None:
        OwnerLink.objects.filter(pk=link.pk, opened=None).update(opened=timezone.now())


def key_of(made: str) -> str:
    """What is kept of a token."""
    return sha256(made.encode()).hexdigest()


def token(seed: str, purpose: bytes = PURPOSE) -> str:
    """The token that a seed makes here; one for each purpose."""
    made = hmac.new(settings.SECRET_KEY.encode(), purpose + seed.encode(), sha256).digest()
    return urlsafe_b64encode(made).decode().rstrip("=")


def token_again(seed: str, key: str, purpose: bytes = PURPOSE) -> str | None:
    """The token of a kept row; None where the server's key is another one now."""
    made = token(seed, purpose)
    return made if hmac.compare_digest(key_of(made), key) else None
