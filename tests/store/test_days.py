"""The shop's day: late in the evening, when clocks change, at the turn of the year, and on the other side of the world."""

from __future__ import annotations

import json
import zipfile
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from threading import Event
from typing import Any

import pytest
from django.conf import LazySettings

from conftest import priced
from store.sample import gate
from wheeltapper.flow import examine
from wheeltapper.store import history, keep, outlook, sending
from wheeltapper.store.find import entries
from wheeltapper.store.fold import fold
from wheeltapper.store.models import KeptVisit, Mail, OwnerLink
from wheeltapper.store.pack import Packed, pack
from wheeltapper.web import live

pytestmark = [pytest.mark.django_db, pytest.mark.reasoned]
# Half past eleven at night in Chicago on the days on which clocks change in 2026, and on the last of the year. Daylight saving
# time ends on the first Sunday of November and begins on the second of March: 15 U.S.C. 260a, from memory.
LATE = [("2026-11-02T05:30:00", "1 Nov 2026"), ("2026-03-09T04:30:00", "8 Mar 2026"), ("2027-01-01T05:30:00", "31 Dec 2026")]  # fmt: skip


@pytest.fixture(autouse=True)
def folder(settings: LazySettings, tmp_path: Path) -> Path:
    """A shop of its own in Chicago."""
    settings.SHOP_FOLDER, settings.HOUSE_FOLDER = tmp_path, tmp_path / "house"
    settings.TIME_ZONE = "America/Chicago"
    return tmp_path


def moment(text: str) -> datetime:
    """A moment, UTC."""
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def taken_in(at: datetime, day: date) -> KeptVisit:
    """A trailer that came then, with the date that its gate wrote."""
    kept = keep.open_visit(at)
    keep.add(kept, [gate(date=day.isoformat())], "test")
    return live.told(KeptVisit.objects.get(pk=kept.pk)).kept


@pytest.mark.parametrize("at, day", LATE)
def test_late_in_the_evening_it_is_still_that_day(at: str, day: str) -> None:
    """Where a unit is looked for, and in the visit's number; UTC is a day ahead."""
    local = moment(at).date() - timedelta(days=1)
    kept = taken_in(moment(at), local)

    assert [k.said for k in history.units_like("TF-0417")] == [f"last here {day}, in work"]
    assert kept.number == "26-0001"


@pytest.mark.parametrize("at, day", LATE)
def test_the_pool_has_the_shop_s_day(
    at: str, day: str, monkeypatch: pytest.MonkeyPatch, folder: Path
) -> None:
    """Pooled at half past eleven: as of that day, of the visits before it."""
    taken_in(moment(at) - timedelta(days=2), moment(at).date() - timedelta(days=3))
    stop = Event()
    monkeypatch.setattr("django.utils.timezone.now", lambda: moment(at))
    monkeypatch.setattr(stop, "wait", lambda s: stop.set() if s == outlook.PAUSE_S else None)
    outlook.keep_pooled(stop)

    assert [p.on for p in outlook.pools()] == [moment(at).date() - timedelta(days=1)]


def link_until(at: datetime) -> OwnerLink:
    """A link that ends then."""
    kept = taken_in(at - timedelta(days=9), at.date() - timedelta(days=10))
    return OwnerLink.objects.create(visit=kept, key="k" * 64, seed="s", to="Dana", made_by="CW", until=at)


@pytest.mark.parametrize("at, day", LATE)
def test_an_owner_is_told_the_last_day_of_a_link_as_the_shop_counts(at: str, day: str) -> None:
    """The e-mail says what the page says."""
    mail = Mail(link=link_until(moment(at)), to="d@reed.example", at="https://x", made=moment(at), pk=1)
    text = sending._message(mail, "t", {"name": "Flats", "mail_from": "desk@flats.example"}).get_content()

    assert f"works until {day}." in text


@pytest.mark.parametrize("at, zone, day", [("2026-11-01T22:00:00", "Australia/Sydney", "2026-11-02"), ("2026-11-02T05:30:00", "America/Chicago", "2026-11-01")])  # fmt: skip
def test_a_pack_is_examined_on_the_shop_s_day(
    at: str, zone: str, day: str, settings: Any, monkeypatch: pytest.MonkeyPatch, folder: Path
) -> None:
    """A Sydney morning is the evening before in UTC: the visit of today is not one of the future."""
    settings.TIME_ZONE = zone
    monkeypatch.setattr(keep, "now", lambda: f"{at}.000Z")
    kept = taken_in(moment(at), date.fromisoformat(day))
    assert isinstance(pack(kept, folder / "proof.zip", priced()), Packed)
    with zipfile.ZipFile(folder / "proof.zip") as held:
        said, page = json.loads(held.read("visit.json")), held.read("reader.html").decode()

    assert said["examined_on"] == day
    assert "in the future" not in page


def test_a_visit_dated_tomorrow_is_asked_about_and_foretells_nothing_of_today(folder: Path) -> None:
    """A slip of the date is said, the pool leaves it out until that day, and nothing that was entered is lost."""
    today = date(2026, 11, 20)
    kept = taken_in(moment("2026-11-20T15:00:00"), date(2026, 12, 20))
    read = fold(entries(kept)).visit
    assert read is not None
    pool = outlook.pool_them(priced(), today)

    assert ["in the future" in p.what for p in examine(read, priced(), today).problems].count(True) == 1
    assert pool is not None
    assert pool.visits == 0
    assert examine(read, priced(), date(2026, 12, 20)).visit == read


def test_two_visits_on_one_day_do_not_tell_each_other_s_later(folder: Path) -> None:
    """In and out, and in again: the second is told with the first, the first without the second."""
    first = taken_in(moment("2026-11-20T14:00:00"), date(2026, 11, 20))
    second = taken_in(moment("2026-11-20T20:00:00"), date(2026, 11, 20))
    reads = [fold(entries(k)).visit for k in (first, second)]
    assert reads[0] is not None
    assert reads[1] is not None

    assert outlook.earlier(first, reads[0], priced()) == ()
    assert [v.date for v in outlook.earlier(second, reads[1], priced())] == [date(2026, 11, 20)]
