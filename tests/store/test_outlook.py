"""The pool of a shop's kept visits: made once a day, kept whole, told for one visit, named on the sheet and in the proof pack."""

from __future__ import annotations

import json
import subprocess
import sys
import zipfile
from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from pathlib import Path
from threading import Event

import pytest
from django.conf import LazySettings

from conftest import priced
from made_fleet import visit, yard
from store.sample import entry
from store.shop import env
from store.shop import shop as shop_folder
from web.serving import command
from wheeltapper.fleet.foretell import Pooled
from wheeltapper.fleet.outlook import ahead_of, look_ahead
from wheeltapper.fleet.pooled_text import named, pooled_of, text_of
from wheeltapper.plan.foresight import POOLED
from wheeltapper.records import Visit
from wheeltapper.store import keep, outlook
from wheeltapper.store.models import KeptVisit
from wheeltapper.store.pack import Packed, pack
from wheeltapper.web import live, shown

pytestmark = [pytest.mark.django_db, pytest.mark.reasoned]
DAY = date(2024, 6, 1)


@pytest.fixture(autouse=True)
def folder(settings: LazySettings, tmp_path: Path) -> Path:
    """A shop folder of its own."""
    settings.SHOP_FOLDER, settings.HOUSE_FOLDER = tmp_path, tmp_path / "house"
    return tmp_path


@cache
def shop() -> tuple[Visit, ...]:
    """Thirty made-up trailers, five visits each."""
    return tuple(yard(1, 30))


@cache
def proven() -> Pooled:
    """Their pool."""
    return named(Pooled(look_ahead(shop(), priced(), DAY).families, DAY, 150, "made up", "", ""))


def put(visit: Visit) -> KeptVisit:
    """Keep a visit as the server does, with the clock of its own day."""
    kept = keep.open_visit(datetime.combine(visit.date, time(15), UTC))
    body = visit.model_dump(mode="json", exclude_none=True, exclude_defaults=True)
    keep.add(kept, [entry(body)], "test")
    return live.told(KeptVisit.objects.get(pk=kept.pk)).kept


def has_pool(folder: Path, pool: Pooled) -> None:
    """The shop's folder with a pool in it."""
    (folder / outlook.NOW).write_text(text_of(pool), "utf-8")


def drum(name: str, size: str, day: date, miles: int) -> Visit:
    """One drum of one trailer."""
    counted = {"now": miles, "quality": "hubometer"}
    return visit(name, day, {"1-road": size}, mileage=counted, scope="hub service")


@pytest.mark.second_way
def test_a_pool_is_kept_word_for_word() -> None:
    """From text and back: the same text, the same name, the same answers."""
    again = pooled_of(text_of(proven()))
    mine = [v for v in shop() if v.unit.id == "U-0004"]
    assert again is not None

    assert (text_of(again), again.fingerprint) == (text_of(proven()), proven().fingerprint)
    first, second = (ahead_of(mine, p.families, p.on, priced(), DAY) for p in (proven(), again))
    assert first == second
    assert len(first) == 4


@pytest.mark.parametrize("text", ["", "{}", "[1]", '{"form": 2}', '{"form": 1, "families": [3]}', "7", '{"form": 1, "families": [], "on": "soon"}'])  # fmt: skip
def test_what_is_no_pool_is_none(folder: Path, text: str) -> None:
    """A file that was cut off or written by another version: as if there were none."""
    (folder / outlook.NOW).write_text(text, "utf-8")

    assert pooled_of(text) is None
    assert outlook.pools() == ()


def test_it_is_made_when_something_came_and_the_one_before_is_kept(folder: Path) -> None:
    """Nothing kept: none. Then one; not again for the same records; anew after the next entry."""
    assert outlook.pool_them(priced(), DAY) is None
    put(drum("T-1", "12.010", date(2024, 1, 5), 1000))
    first = outlook.pool_them(priced(), DAY)
    assert first is not None
    assert (first.visits, first.on, [f.what for f in first.families]) == (1, DAY, ["friction diameter"])
    assert first.families[0].pool is None
    assert outlook.pool_them(priced(), DAY + timedelta(days=1)) is None

    put(drum("T-1", "12.020", DAY, 9000))
    second = outlook.pool_them(priced(), DAY)
    assert second is not None
    assert second.visits == 1  # that day's own visit is left for the next day
    assert [p.fingerprint for p in outlook.pools()] == [second.fingerprint, first.fingerprint]
    assert not list(folder.glob("*.part"))


def test_the_worker_makes_it_and_goes_on(monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
    """One turn of its loop."""
    put(drum("T-1", "12.010", date(2024, 1, 5), 1000))
    stop = Event()
    monkeypatch.setattr(outlook, "FIRST_S", 0.0)
    monkeypatch.setattr(stop, "wait", lambda s: stop.set() if s else None)
    outlook.keep_pooled(stop)

    assert [p.visits for p in outlook.pools()] == [1]


@pytest.mark.second_way
def test_a_kept_visit_is_told_from_its_own_earlier_ones(folder: Path) -> None:
    """Two visits of a trailer, the second one told with the first: as the whole shop with these two would have it, nearly."""
    first, second = (
        drum("T-1", "12.012", date(2023, 6, 1), 1000),
        drum("T-1", "12.041", date(2024, 5, 1), 15000),
    )
    kept = [put(first), put(second)]
    has_pool(folder, proven())
    seen = outlook.foretold(kept[1], second, priced(), outlook.pools()[0])
    assert seen is not None
    (part,) = seen.parts
    whole = next(a for a in look_ahead([*shop(), first, second], priced(), DAY).ahead if a.unit == "T-1")

    assert (part.prediction, part.records, seen.visits, seen.on) == (POOLED, 2, 150, DAY)
    assert part.middle_mi == pytest.approx(whole.middle_mi, rel=0.03)
    assert part.near_mi == pytest.approx(whole.near_mi, rel=0.05)
    assert outlook.earlier(kept[0], first, priced()) == ()


def test_the_page_the_sheet_and_the_pack_name_it(folder: Path) -> None:
    """The same name in all of them; without a pool the sheet says that there was none."""
    kept = put(drum("T-1", "12.070", date(2024, 5, 1), 15000))
    bare = live.live(kept)
    has_pool(folder, proven())
    now = live.live(kept)
    assert now.examination is not None
    assert now.examination.foresight is not None
    assert bare.sheet is not None
    assert now.sheet is not None
    out = folder / "proof.zip"
    assert isinstance(pack(kept, out, live.tables()), Packed)
    with zipfile.ZipFile(out) as held:
        said, seen = json.loads(held.read("visit.json")), held.read("wear-ahead.json").decode()

    mark = now.examination.foresight.fingerprint
    assert mark in now.sheet.foresight
    assert "No pool" in bare.sheet.foresight
    assert (said["wear_ahead"], seen) == (mark, now.examination.foresight.text)
    assert [n.prediction for n in now.examination.next if n.what == "interim check"] == [POOLED]


def test_what_an_owner_saw_is_made_again_with_the_pool_before(folder: Path) -> None:
    """Opened in the evening, answered in the morning: the shop pooled its records anew in between."""
    kept = put(drum("T-1", "12.070", date(2024, 5, 1), 15000))
    has_pool(folder, proven())
    seen = shown.now(kept)
    assert seen is not None
    (folder / outlook.NOW).replace(folder / outlook.BEFORE)
    has_pool(folder, named(Pooled((), DAY, 0, "other", "", "")))
    changed = shown.now(kept)

    assert changed is not None
    assert changed.version != seen.version
    again = shown.again(kept, seen.entries, seen.version)
    assert again is not None
    assert again.text == seen.text


def test_the_command_asks_a_shop(tmp_path: Path) -> None:
    """The visits of a shop's own folder, from another process; a folder without a shop, and both or neither, are said."""
    made = shop_folder(tmp_path / "shop")
    script = (
        "import sys, django; sys.path.insert(0, sys.argv[1]); django.setup()\n"
        "from store.test_outlook import drum, put\nfrom datetime import date\n"
        "put(drum('T-1', '12.012', date(2023, 6, 1), 1000)); put(drum('T-1', '12.041', date(2024, 5, 1), 15000))"
    )
    subprocess.run([sys.executable, "-c", script, str(Path(__file__).parents[1])], env=env(made), check=True, timeout=120)  # fmt: skip
    out = command("ahead", "--shop", str(made), "--on", "2024-06-01")
    none = command("ahead", "--shop", str(tmp_path))
    neither, both = command("ahead"), command("ahead", str(tmp_path), "--shop", str(made))

    assert (out.returncode, none.returncode, neither.returncode, both.returncode) == (0, 1, 2, 2), out.stderr
    assert "1-road friction diameter: next check in" in out.stdout
    assert "own records, from 2 records" in out.stdout
    assert "there is no shop in it" in none.stderr
    assert "with --shop" in neither.stderr
