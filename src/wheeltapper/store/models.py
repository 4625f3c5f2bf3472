"""The tables in which a shop's visits, people and files are kept.

Entries are only ever added: no code changes or deletes one, and the database refuses it too (a trigger, migration 0002).
What a visit row says besides its number is a summary that can always be made again from the entries.
"""

from __future__ import annotations

from typing import ClassVar, Literal, get_args

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.utils import timezone

from wheeltapper.report.wording import day

Role = Literal["owner", "lead", "technician", "counter", "apprentice"]
ROLES: tuple[Role, ...] = get_args(Role)


KINDS = (  # what stands in a browser's own description, and what people call the thing
    ("iPhone", "iPhone"), ("iPad", "iPad"), ("Android", "Android phone"), ("Windows", "Windows PC"), ("Mac OS", "Mac"),
    ("CrOS", "notebook"), ("Linux", "Linux PC"),
)  # fmt: skip


class People(BaseUserManager["Person"]):
    """Makes persons."""


class Person(AbstractBaseUser):
    """Somebody who works here and answers with his or her name."""

    login = models.CharField(max_length=40, unique=True)
    name = models.CharField(max_length=80)
    short = models.CharField(max_length=8, unique=True)  # initials, as they stand beside an answer
    role = models.CharField(max_length=12, choices=[(r, r) for r in ROLES])
    is_active = models.BooleanField(default=True)  # nobody is deleted: the name stands in records
    first_password = models.BooleanField(default=False)  # given by the owner, good for one sign-in

    objects: ClassVar[People] = People()
    USERNAME_FIELD = "login"


class Device(models.Model):
    """A phone, tablet or PC that somebody has signed in on; it is known by a cookie there."""

    key = models.CharField(
        max_length=43, unique=True
    )  # SHA-256 of what the cookie holds: no secret, entries name it
    said = models.CharField(max_length=120)  # what the browser calls itself
    first_seen = models.DateTimeField(auto_now_add=True)
    last_seen = models.DateTimeField(auto_now=True)
    revoked = models.BooleanField(default=False)

    @property
    def called(self) -> str:
        """What kind of thing it is, in plain words, with when it was first seen to tell two alike apart."""
        kind = next((plain for word, plain in KINDS if word in self.said), "device")
        if kind == "Android phone" and "Mobile" not in self.said:
            kind = "Android tablet"
        seen = timezone.localtime(self.first_seen)
        return f"{kind}, here since {day(seen)} {seen:%H:%M}"


class BayPin(models.Model):
    """A person known on one device: the last full sign-in there, and the four digits that are good for a while after it."""

    person = models.ForeignKey(Person, models.CASCADE)
    device = models.ForeignKey(Device, models.CASCADE)
    pin = models.CharField(max_length=200, blank=True)  # Argon2; empty: none chosen, or taken away
    full_at = models.DateTimeField(null=True)  # last full sign-in here
    wrong = models.PositiveSmallIntegerField(default=0)  # wrong PINs since the last right one

    class Meta:
        unique_together = (("person", "device"),)


class SignedIn(models.Model):
    """A session: somebody signed in on a device. Its row gone, the session has ended."""

    session_key = models.CharField(max_length=40, unique=True)
    person = models.ForeignKey(Person, models.CASCADE)
    device = models.ForeignKey(Device, models.CASCADE)
    by_pin = models.BooleanField(default=False)
    began = models.DateTimeField(auto_now_add=True)
    last_seen = models.DateTimeField(auto_now_add=True)
    until = models.DateTimeField()  # a full sign-in is asked for again


class KeptVisit(models.Model):
    """A visit: its entries hold all of it; the rest of this row is what the Yard shows of it."""

    number = models.CharField(max_length=12, unique=True)  # 26-0412
    unit = models.CharField(max_length=80, blank=True, db_index=True)
    tag = models.CharField(
        max_length=80, blank=True, db_index=True
    )  # the unit as it is compared (unit_names.py)
    opened = models.DateTimeField(db_index=True)
    entries = models.PositiveIntegerField(default=0)
    tail = models.CharField(
        max_length=64, blank=True
    )  # hash of the last entry: one cut off at the end is missed
    summarised = models.PositiveIntegerField(default=0)  # entries that the summary was made from
    state = models.CharField(max_length=40, blank=True, db_index=True)
    open = models.BooleanField(default=True, db_index=True)
    summary = models.JSONField(default=dict)

    class Meta:
        ordering = ("-opened",)


class Extract(models.Model):
    """What the ledger needs of a visit: a few of its answers, made from its entries up to `tail`, and made again when that moved on."""

    visit = models.OneToOneField(KeptVisit, models.CASCADE, primary_key=True, related_name="extract")
    tail = models.CharField(max_length=64)
    form = (
        models.PositiveSmallIntegerField()
    )  # how it was made (ledger.py): one of an older form is made again
    body = models.JSONField()


class UnitLine(models.Model):
    """A unit as the board shows it: made again from its visits whenever one of them moves on, and what a list brought in of it."""

    tag = models.CharField(max_length=80, unique=True)  # as it is compared (unit_names.py)
    unit = models.CharField(max_length=80)
    told = models.JSONField(default=dict)  # from a list that was brought in: axles, brake, ..., owner
    visit = models.ForeignKey(KeptVisit, models.SET_NULL, null=True)  # the latest
    here = models.BooleanField(default=False)
    worst = models.PositiveSmallIntegerField(default=0, db_index=True)  # place in CALLS of its worst call
    on = models.DateField(null=True, db_index=True)  # when the first thing falls due
    come_in = models.BooleanField(default=False)
    seen = models.JSONField(default=list)  # what each visit gives to a pattern, and what it came to
    seen_on = models.DateField(null=True)  # the day of the last of them
    slack = models.BooleanField(default=False, db_index=True)  # brakes were not adjusted at the last of them
    side = models.CharField(max_length=8, blank=True, db_index=True)  # the one side that was worn ahead at it
    alarms = models.JSONField(default=list)


class DueLine(models.Model):
    """One thing that is due on a unit, from its latest visit that is out."""

    line = models.ForeignKey(UnitLine, models.CASCADE, related_name="due")
    visit = models.ForeignKey(KeptVisit, models.CASCADE)
    what = models.CharField(max_length=40)
    position = models.CharField(max_length=20, blank=True)
    part = models.CharField(max_length=40, blank=True)
    miles = models.PositiveIntegerField(null=True)  # after the visit
    at = models.PositiveIntegerField(null=True)  # on the unit's own count
    by = models.DateField(null=True)
    on = models.DateField(
        null=True, db_index=True
    )  # the day that comes first: that date, or the miles at the unit's pace
    by_miles = models.BooleanField(default=False)  # the miles come first
    pace = models.PositiveIntegerField()  # miles a month
    assumed = models.BooleanField(default=False)  # so is that pace
    basis = models.TextField(blank=True)
    come_in = models.BooleanField(default=False)


class CalendarKey(models.Model):
    """An address at which a calendar may fetch what is due; whoever has it needs no account."""

    key = models.CharField(max_length=64, unique=True)
    seed = models.CharField(max_length=64)
    made_by = models.CharField(max_length=8)
    made = models.DateTimeField(auto_now_add=True)
    revoked = models.DateTimeField(null=True)
    revoked_by = models.CharField(max_length=8, blank=True)
    fetched = models.DateTimeField(null=True)  # for the last time


class KeptEntry(models.Model):
    """One link of a visit's chain; the columns are its `Entry` (entries.py), word for word."""

    visit = models.ForeignKey(KeptVisit, models.PROTECT)
    seq = models.PositiveIntegerField()  # from 1
    entry_id = models.CharField(max_length=36, unique=True)  # made by the client
    at = models.CharField(max_length=30)  # the client's clock
    received = models.CharField(max_length=30)  # the server's
    by = models.CharField(max_length=8)
    device = models.CharField(max_length=43)
    kind = models.CharField(max_length=12)
    instead_of = models.JSONField(default=list)
    body = models.TextField()  # canonical JSON, exactly as hashed
    before = models.CharField(max_length=64)
    hash = models.CharField(max_length=64)

    class Meta:
        unique_together = (("visit", "seq"),)
        ordering = ("visit", "seq")


class Original(models.Model):
    """A photo or sound kept as it was received; the file is named by its hash."""

    sha256 = models.CharField(max_length=64, unique=True)
    kind = models.CharField(max_length=8)  # photo, sound
    ending = models.CharField(max_length=8)  # by content, not by name
    size = models.PositiveBigIntegerField()
    received = models.DateTimeField(auto_now_add=True)


class Task(models.Model):
    """Work that a clip or photo makes for the server: done beside the pages, seen on the corner."""

    visit = models.ForeignKey(KeptVisit, models.CASCADE)
    kind = models.CharField(max_length=8)  # ring, mark
    asked = models.JSONField()  # position, check, sha256s and what was tapped
    state = models.CharField(max_length=8, default="waiting", db_index=True)  # waiting, running, done, failed
    share = models.FloatField(default=0.0)
    said = models.CharField(max_length=400, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    made = models.DateTimeField(auto_now_add=True)
    ended = models.DateTimeField(null=True)


class OwnerLink(models.Model):
    """A link at which one owner sees one visit. What was said through it is entries; this row says only who has it and how long."""

    visit = models.ForeignKey(KeptVisit, models.CASCADE)
    key = models.CharField(max_length=64, unique=True)  # SHA-256 of the token, which is kept nowhere
    seed = models.CharField(
        max_length=64
    )  # with the server's key, which is not in the database, it makes the token again
    to = models.CharField(max_length=80)  # whose answers they are
    made_by = models.CharField(max_length=8)
    made = models.DateTimeField(auto_now_add=True)
    until = models.DateTimeField()
    revoked = models.DateTimeField(null=True)
    revoked_by = models.CharField(max_length=8, blank=True)
    opened = models.DateTimeField(null=True)  # for the first time


class UnitTag(models.Model):
    """A tag on a unit's tongue. What was said through it is entries; this row says only that it opens."""

    unit = models.CharField(max_length=80, db_index=True)
    key = models.CharField(max_length=64, unique=True)  # SHA-256 of the token, which is kept nowhere
    seed = models.CharField(max_length=64)  # as an owner's link
    made_by = models.CharField(max_length=8)
    made = models.DateTimeField(auto_now_add=True)
    revoked = models.DateTimeField(null=True)
    revoked_by = models.CharField(max_length=8, blank=True)
    scanned = models.DateTimeField(null=True)  # for the first time


class Mail(models.Model):
    """An e-mail with a link in it, waiting to be sent or sent; the link itself is put in as it goes out."""

    link = models.ForeignKey(OwnerLink, models.CASCADE)
    to = models.CharField(max_length=254)
    reminds = models.JSONField(default=list)  # lines of what is due; none: it brings the link
    at = models.CharField(max_length=200)  # address of this server, as the owner's phone reaches it
    by = models.CharField(max_length=8)
    state = models.CharField(max_length=8, default="waiting", db_index=True)  # waiting, sent, failed
    tries = models.PositiveSmallIntegerField(default=0)
    due = models.DateTimeField()
    said = models.CharField(max_length=400, blank=True)
    made = models.DateTimeField(auto_now_add=True)
    ended = models.DateTimeField(null=True)


class Reminded(models.Model):
    """That somebody was reminded of one thing that is due: never twice."""

    visit = models.ForeignKey(KeptVisit, models.CASCADE)
    to = models.CharField(max_length=254)
    item = models.CharField(max_length=80)
    mail = models.ForeignKey(Mail, models.CASCADE)

    class Meta:
        unique_together = (("visit", "to", "item"),)
