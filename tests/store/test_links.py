"""Links for owners: what is kept of them, and when they open."""

from __future__ import annotations

from base64 import urlsafe_b64decode
from datetime import timedelta

import pytest
from django.forms.models import model_to_dict
from django.utils import timezone

from wheeltapper.store import keep, links
from wheeltapper.store.models import OwnerLink

pytestmark = [pytest.mark.reasoned, pytest.mark.django_db]


def made(days: int = 30) -> tuple[OwnerLink, str]:
    """A link and its token."""
    link = links.make(keep.open_visit(), "Dana Reed", "CW", days)
    token = links.token_of(link)
    assert token is not None
    return link, token


def test_a_token_is_256_bits_and_each_is_another() -> None:
    tokens = {made()[1] for _ in range(20)}

    assert len(tokens) == 20
    assert {len(urlsafe_b64decode(t + "=")) * 8 for t in tokens} == {256}


def test_the_row_says_nothing_that_opens() -> None:
    link, token = made()
    row = model_to_dict(link)

    assert token not in str(row)
    assert links.found(link.key) is None
    assert links.found(link.seed[: links.LENGTH]) is None
    assert links.found(token) == link


def test_no_other_text_opens_it() -> None:
    _, token = made()
    other = ("A" if token[0] != "A" else "B") + token[1:]

    assert [links.found(t) for t in (other, token[:-1], token + "A", token.upper(), "", "x" * 43)] == [
        None
    ] * 6


def test_it_ends_by_itself_and_at_once() -> None:
    link, _ = made()
    assert links.stands(link)

    OwnerLink.objects.filter(pk=link.pk).update(until=timezone.now() - timedelta(seconds=1))
    link.refresh_from_db()
    assert not links.stands(link)

    other, token = made()
    links.end(other, "CW")
    links.end(other, "MA")
    again = links.found(token)
    assert again is not None
    assert not links.stands(again)
    assert again.revoked_by == "CW"


def test_a_shop_that_was_restored_still_opens_its_links_and_cannot_show_them(
    settings: pytest.FixtureRequest,
) -> None:
    link, token = made()
    settings.SECRET_KEY = "another key, as a restored shop makes one"  # type: ignore[attr-defined]

    assert links.found(token) == link
    assert links.token_of(link) is None


def test_when_it_was_opened_first_stays() -> None:
    link, _ = made()
    links.opened(link)
    link.refresh_from_db()
    first = link.opened
    links.opened(link)
    link.refresh_from_db()

    assert first is not None
    assert link.opened == first
