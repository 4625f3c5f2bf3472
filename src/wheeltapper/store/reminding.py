"""Reminders: who is told once, by e-mail, what is due. Each thing once for each address, however often the list is gone through."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db import IntegrityError, transaction
from django.utils import timezone

from wheeltapper.problems import Problem
from wheeltapper.store import links, sending
from wheeltapper.store.models import KeptVisit, Mail, OwnerLink, Reminded

NO_LINK = "nobody there has given an e-mail address"
ENDED = "the owner's link has ended"


@dataclass(frozen=True)
class Reminder:
    """What became of reminding one address of what is due after one visit."""

    visit: str
    unit: str
    to: str
    items: tuple[str, ...]  # put on the list now
    fault: Problem | None = None


def remind(visit: KeptVisit, items: Iterable[tuple[str, str]], by: str) -> list[Reminder]:
    """Put e-mails on the list for the owners of a visit.

    Args:
        visit: after which it is due.
        items: name of each thing, unique in its visit, and the line that says it.
        by: whose mails they are.

    Returns:
        One for each address; nothing for one that was told all of it before.
    """
    named = list(items)
    last: dict[str, Mail] = {}
    for mail in Mail.objects.filter(link__visit=visit).select_related("link").order_by("pk"):
        last[mail.to.casefold()] = mail
    if not last:
        fault = Problem(f"visit {visit.number}", NO_LINK, "call the owner.")
        return [Reminder(visit.number, visit.unit, "", (), fault)]
    return [made for mail in last.values() if (made := _one(visit, mail, named, by))]


def _one(visit: KeptVisit, before: Mail, items: list[tuple[str, str]], by: str) -> Reminder | None:
    known = set(Reminded.objects.filter(visit=visit, to=before.to).values_list("item", flat=True))
    new = [(name, line) for name, line in items if name not in known]
    if not new:
        return None
    link = _standing(visit, before.link)
    slip = sending.fault(before.to)
    if link is None:
        slip = Problem(f"visit {visit.number}", ENDED, "make a new one, or call the owner.")
    if slip or link is None:
        return Reminder(visit.number, visit.unit, before.to, (), slip)
    try:
        with transaction.atomic():
            mail = Mail.objects.create(
                link=link,
                to=before.to,
                by=by,
                at=before.at,
                due=timezone.now(),
                reminds=[line for _, line in new],
            )
            Reminded.objects.bulk_create(
                [Reminded(visit=visit, to=before.to, item=name, mail=mail) for name, _ in new]
            )
    except IntegrityError:  # another run was quicker
        return None
    return Reminder(visit.number, visit.unit, before.to, tuple(line for _, line in new))


def _standing(visit: KeptVisit, link: OwnerLink) -> OwnerLink | None:
    """The link that the address was sent, or a newer one of the same person."""
    same = OwnerLink.objects.filter(visit=visit, to=link.to).order_by("-pk")
    return next((k for k in same if links.stands(k) and links.token_of(k)), None)


def failed(visit: KeptVisit) -> list[Mail]:
    """Reminders of a visit that could not be sent."""
    return list(Mail.objects.filter(link__visit=visit, state="failed").exclude(reminds=[]))
