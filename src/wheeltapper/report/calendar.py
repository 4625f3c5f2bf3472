"""What is due as an iCalendar (RFC 5545): whole days, so that no time zone can move one; no owner's name and no price."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date as Date
from datetime import datetime, timedelta

from icalendar import Calendar, Event

MADE_BY = "-//Wheeltapper//what is due//EN"


@dataclass(frozen=True)
class Entry:
    """One day in the calendar."""

    uid: str  # the same for the same thing, so that a calendar moves it and makes no second one
    day: Date
    say: str
    more: str


def calendar(entries: Iterable[Entry], shop: str, made: datetime) -> bytes:
    """The calendar's text.

    Args:
        entries: one for each thing that is due.
        shop: its name.
        made: when it was made, with its time zone.

    References:
        RFC 5545: VEVENT 3.6.1, DATE 3.3.4, DTEND exclusive 3.8.2.2, folding 3.1, TEXT 3.3.11.
    """
    out = Calendar()
    out.add("prodid", MADE_BY)
    out.add("version", "2.0")
    out.add("x-wr-calname", f"{shop}: due")
    for entry in entries:
        event = Event()
        event.add("uid", entry.uid)
        event.add("dtstamp", made)
        event.add("dtstart", entry.day)
        event.add("dtend", entry.day + timedelta(days=1))
        event.add("summary", entry.say)
        event.add("description", entry.more)
        event.add("transp", "TRANSPARENT")
        out.add_component(event)
    return bytes(out.to_ical())
