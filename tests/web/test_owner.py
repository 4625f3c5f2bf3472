"""The owner's page behind its link: what it shows, to whom, and what becomes of what is answered there."""

from __future__ import annotations

import json
import re
from datetime import timedelta
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from web.owned import Owner, kept_example, link_to, said, with_prices
from wheeltapper.store import files, keep, links
from wheeltapper.store.models import KeptEntry, KeptVisit, Original, OwnerLink
from wheeltapper.web import live, owner_link, shown

pytestmark = [pytest.mark.reasoned, pytest.mark.django_db]
CHOICE, OTHER = "1-road hub-drum", "2-curb hub-drum"


@pytest.fixture(autouse=True)
def prices(settings: Any, tmp_path: Path) -> None:
    """The example shop's prices, and nobody who has tried wrong links yet."""
    with_prices(tmp_path, settings)
    owner_link._wrong.clear()


@pytest.fixture
def visit() -> KeptVisit:
    """The example visit."""
    return kept_example()


@pytest.fixture
def dana(visit: KeptVisit) -> Owner:
    """An owner who has opened the page."""
    made = Owner(link_to(visit)[1])
    assert made.look() == 200
    return made


def answers(visit: KeptVisit) -> list[Any]:
    """As the visit has them."""
    visit.refresh_from_db()
    known = live.live(visit).folded.visit
    assert known is not None
    return list(known.answer)


def test_the_page_opens_without_account_cookie_or_script(dana: Owner) -> None:
    answer = Client().get(dana.at)

    assert answer.cookies == {}
    assert "<script" not in dana.page
    assert "style=" not in dana.page.replace("font-style=", "")
    assert (answer["Referrer-Policy"], answer["Cache-Control"], answer["X-Robots-Tag"]) == (
        "no-referrer",
        "no-store",
        "noindex",
    )
    assert "default-src 'none'" in answer["Content-Security-Policy"]


def test_it_goes_in_order_and_names_who_answers(dana: Owner) -> None:
    at = [dana.page.index(f'id="{name}"') for name in ("replace", "dress", "costs", "work", "owner-decides", "fine", "not-needed", "not-checked", "ask")]  # fmt: skip

    assert at == sorted(at)
    assert "You answer as <b>Dana Reed</b>" in dana.page
    assert "$555.00" in dana.page
    assert "$678.50" in dana.page


def test_a_fixed_item_has_no_button(dana: Owner) -> None:
    offered = re.findall(r'name="on" value="([^"]+)"', dana.page)

    assert offered == ["work", CHOICE, OTHER]


def test_one_tap_answers_and_the_record_says_who_when_how_and_what_was_seen(
    visit: KeptVisit, dana: Owner
) -> None:
    seen = dana.seen()
    answer = dana.answer(CHOICE, "not now", said="after the <season>")
    row = answers(visit)[0]
    entry = KeptEntry.objects.latest("pk")

    assert (answer.status_code, answer["Location"]) == (302, "./#1-road-hub-drum")
    assert (row.position, row.part, row.answer, row.by, row.how, row.said) == (
        "1-road",
        "hub-drum",
        "not now",
        "Dana Reed",
        "on the page",
        "after the <season>",
    )
    assert row.cents == 55500
    assert row.date is not None
    assert row.seen.model_dump(mode="json") | {"day": ""} == {
        "version": seen["version"],
        "entries": int(seen["entries"]),
        "tables": live.tables().fingerprint,
        "day": "",
    }
    assert (entry.by, entry.kind) == (shown.OWNER, "piece")
    assert entry.device.startswith("link ")
    dana.look()
    assert "You said: not now." in dana.page
    assert f"{CHOICE}: the owner has not answered" not in str(live.live(visit).examination.release.because)  # type: ignore[union-attr]


def test_a_change_of_mind_is_a_new_entry(visit: KeptVisit, dana: Owner) -> None:
    for word in ("not now", "now"):
        dana.look()
        assert dana.answer(CHOICE, word).status_code == 302

    assert [a.answer for a in answers(visit)] == ["not now", "now"]
    dana.look()
    assert "You said: do it now." in dana.page


def test_the_version_is_the_hash_of_what_was_shown_and_can_be_made_again(
    visit: KeptVisit, dana: Owner
) -> None:
    seen = dana.seen()
    dana.answer(CHOICE, "now")
    keep.add(visit, [said({"complaint": "and it squeals"})], "phone")
    again = shown.again(visit, int(seen["entries"]), seen["version"])
    kept = Original.objects.get(sha256=seen["version"])

    assert again is not None
    assert again.text == files.path_of(kept).read_text("utf-8")
    assert sha256(files.path_of(kept).read_bytes()).hexdigest() == seen["version"]
    for text in ("Someone once punched the metal", "$555.00", "12.074 in"):
        assert text in again.text
        assert text in dana.page


def test_everything_on_the_page_is_in_the_version(dana: Owner, visit: KeptVisit) -> None:
    """What is not in it is only whose link it is and how long it works."""
    text = re.sub(r"<[^>]+>", "\n", re.sub(r"<svg.*?</svg>", "", dana.page.split("<body>")[1]))
    now = shown.now(visit)
    assert now is not None
    known = json.dumps(now.page, ensure_ascii=False).lower()
    lines = {
        line.strip(" :.,()“”").replace("&#x27;", "'").lower()
        for line in text.splitlines()
        if len(line.strip()) > 3
    }
    extra = [
        line
        for line in lines
        if not all(piece.strip(" .:,") in known for piece in re.split(r"[:;,.] ", line))
    ]

    assert sorted(extra) == sorted(
        [w for w in extra if "dana reed" in w or "this link works until" in w or w == now.version[:12]]
    )
    assert len(lines) > 60


def test_two_owners_at_once_both_stay(visit: KeptVisit, dana: Owner) -> None:
    sam = Owner(link_to(visit, "Sam Reed")[1])
    sam.look()
    assert dana.answer(CHOICE, "now").status_code == 302
    assert sam.answer(CHOICE, "not now").status_code == 302

    assert [(a.by, a.answer) for a in answers(visit)] == [("Dana Reed", "now"), ("Sam Reed", "not now")]
    assert len({a.seen.version for a in answers(visit)}) == 1
    dana.look()
    assert "You said: not now." in dana.page
    assert "Sam Reed" in dana.page


def test_nobody_agrees_to_what_has_changed(visit: KeptVisit, dana: Owner) -> None:
    """A drum that turned out cracked is not a choice any more."""
    crack = {
        "corner": [
            {"position": "1-road", "feel": [{"check": "band under the fingernail", "found": "catches"}]}
        ]
    }
    drum = {"position": "1-road", "part": "hub-drum", "call": "replace", "by": "T1", "why": "cracked"}
    keep.add(visit, [said(crack), said({"call": [drum]})], "phone")
    answer = dana.answer(CHOICE, "not now")

    assert answer.status_code == 422
    assert "has changed since you opened this page" in answer.content.decode()
    assert answers(visit) == []


def test_nobody_agrees_to_another_price(visit: KeptVisit, dana: Owner, settings: Any) -> None:
    house = settings.HOUSE_FOLDER / "house.toml"
    house.write_text(house.read_text("utf-8").replace("120.00", "150.00"), "utf-8")
    answer = dana.answer(CHOICE, "now")

    assert answer.status_code == 422
    assert answers(visit) == []


@pytest.mark.parametrize(
    ("on", "word"),
    [
        ("2-road hub-drum", "now"),
        ("2-road hub-drum", "not now"),
        (CHOICE, "do it"),
        (CHOICE, ""),
        ("work", "now"),
        ("", "now"),
        ("x" * 900, "now"),
    ],
)
def test_an_answer_that_was_not_offered_is_not_taken(
    visit: KeptVisit, dana: Owner, on: str, word: str
) -> None:
    assert dana.answer(on, word).status_code == 422
    assert answers(visit) == []


@pytest.mark.parametrize(
    "wrong",
    [
        {"version": "0" * 64},
        {"entries": "1"},
        {"entries": "999999"},
        {"entries": "x"},
        {"entries": "9" * 40},
        {"version": ""},
    ],
)
def test_a_version_that_never_was_is_not_taken(visit: KeptVisit, dana: Owner, wrong: dict[str, str]) -> None:
    assert dana.answer(CHOICE, "now", **wrong).status_code == 422
    assert answers(visit) == []


@pytest.mark.parametrize("word", ["do it", "it stays here", "not here"])
def test_the_work_nobody_may_choose_is_had_done_here_or_not(visit: KeptVisit, dana: Owner, word: str) -> None:
    assert dana.answer("work", word).status_code == 302
    now = live.live(KeptVisit.objects.get(pk=visit.pk))
    assert now.folded.visit is not None
    (row,) = now.folded.visit.go_ahead

    assert (row.answer, row.by, row.cents) == (word, "Dana Reed", 67850)
    assert "2-road hub-drum" in row.items
    assert now.examination is not None
    assert now.examination.release.state == "held"
    assert "2-road hub-drum: replace not done" in now.examination.release.because


def test_a_question_and_its_reply(visit: KeptVisit, dana: Owner) -> None:
    assert dana.ask("  How long <b>does</b> it take?\x00 ").status_code == 302
    keep.add(
        visit,
        [said({"reply": [{"to": "How long <b>does</b> it take?", "text": "Till noon.", "by": "CW"}]}, "CW")],
        "desk",
    )
    dana.look()

    assert "How long &lt;b&gt;does&lt;/b&gt; it take?" in dana.page
    assert "Till noon." in dana.page


def test_an_empty_question_is_told_and_a_long_one_is_cut(visit: KeptVisit, dana: Owner) -> None:
    answer = dana.ask(" \n ")
    assert answer.status_code == 422
    assert "write what you want to know" in answer.content.decode().lower()

    assert dana.ask("why? " * 500).status_code == 302
    known = live.live(KeptVisit.objects.get(pk=visit.pk)).folded.visit
    assert known is not None
    assert len(known.question[0].text) == shown.MOST_WORDS


def closed(at: str) -> tuple[int, str]:
    """What a link says that does not open."""
    answer = Client().get(at)
    return answer.status_code, answer.content.decode()


def test_expired_ended_and_forged_links_show_nothing(visit: KeptVisit) -> None:
    old, at_old = link_to(visit)
    OwnerLink.objects.filter(pk=old.pk).update(until=timezone.now() - timedelta(seconds=1))
    ended, at_ended = link_to(visit)
    links.end(ended, "CW")
    said_ = [closed(at_old), closed(at_ended), closed("/o/" + "A" * 43 + "/"), closed("/o/x/")]

    assert [status for status, _ in said_] == [410, 410, 404, 404]
    for _, page in said_:
        assert "TF-0417" not in page
        assert "Tamarack" not in page
        assert "Dana" not in page


@pytest.mark.parametrize("what", ["answer", "ask"])
def test_an_ended_link_takes_nothing(visit: KeptVisit, dana: Owner, what: str) -> None:
    links.end(OwnerLink.objects.get(), "CW")
    before = KeptEntry.objects.count()
    answer = dana.client.post(
        f"{dana.at}{what}", {"on": CHOICE, "answer": "now", "text": "hello", **dana.seen()}
    )

    assert answer.status_code == 410
    assert KeptEntry.objects.count() == before


@pytest.mark.parametrize(
    ("path", "method"),
    [("", "post"), ("answer", "get"), ("ask", "get"), ("photo/x", "post"), ("good/x", "post")],
)
def test_the_wrong_way_to_ask(dana: Owner, path: str, method: str) -> None:
    assert getattr(dana.client, method)(dana.at + path).status_code == 405


def test_another_trailers_link_shows_nothing_of_this_one(dana: Owner) -> None:
    mine = kept_example(photos=True)
    photos = [json.loads(e.body)["sha256"] for e in KeptEntry.objects.filter(visit=mine, kind="photo")]
    other = kept_example("disc", unit={"id": "XX-9", "axles": 1, "brake": "hydraulic disc"})
    sam = Owner(link_to(other, "Sam")[1])
    sam.look()

    assert photos
    assert "TF-0417" not in sam.page
    assert {sam.client.get(f"{sam.at}photo/{sha}").status_code for sha in photos} == {404}
    assert sam.answer(CHOICE, "now", **dana.seen()).status_code == 422
    assert answers(mine) == []


def test_photos_on_the_page_and_no_other(visit: KeptVisit) -> None:
    mine = kept_example(photos=True)
    owner = Owner(link_to(mine)[1])
    owner.look()
    on_page = set(re.findall(r'"\./photo/(\w{64})"', owner.page))
    kept = {json.loads(e.body)["sha256"] for e in KeptEntry.objects.filter(visit=mine, kind="photo")}
    sounds = {o.sha256 for o in Original.objects.filter(kind="sound")}

    assert on_page
    assert on_page <= kept
    for sha in on_page:
        answer = owner.client.get(f"{owner.at}photo/{sha}")
        data = b"".join(answer.streaming_content)  # type: ignore[attr-defined]
        assert answer.status_code == 200
        assert data.startswith(b"\xff\xd8")
        assert b"Exif" not in data
        assert len(data) < 60_000
    for sha in (kept - on_page) | sounds | {"0" * 64}:
        assert owner.client.get(f"{owner.at}photo/{sha}").status_code == 404
    assert owner.client.get(f"{owner.at}good/nothing.webp").status_code == 404
    assert len(owner.client.get(f"{owner.at}good/cup-good.webp").content) < 40_000


def test_a_thousand_wrong_links_and_the_right_one_still_opens(dana: Owner) -> None:
    client = Client(REMOTE_ADDR="203.0.113.9")
    said_ = [client.get(f"/o/{n:043d}/").status_code for n in range(1000)]

    assert said_[: owner_link.WRONG] == [404] * owner_link.WRONG
    assert set(said_[owner_link.WRONG :]) == {429}
    assert client.get(dana.at).status_code == 200
    assert Client(REMOTE_ADDR="203.0.113.10").get("/o/" + "B" * 43 + "/").status_code == 404


def test_the_addresses_that_are_remembered_are_not_without_end(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(owner_link, "ADDRESSES", 50)
    for n in range(200):
        Client(REMOTE_ADDR=f"203.0.113.{n}").get("/o/x/")

    assert len(owner_link._wrong) == 50


def test_one_link_cannot_fill_the_disk(
    visit: KeptVisit, dana: Owner, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(owner_link, "MOST_SAID", 2)
    for _ in range(2):
        dana.look()
        assert dana.ask("and?").status_code == 302
    dana.look()

    assert dana.ask("and?").status_code == 422
    assert "call the shop" in dana.ask("and?").content.decode().lower()


def test_a_link_that_lost_its_end_is_led_on(dana: Owner) -> None:
    assert Client().get(dana.at.rstrip("/"))["Location"] == dana.at


def test_who_opened_it_first_is_on_the_row(visit: KeptVisit, dana: Owner) -> None:
    assert OwnerLink.objects.get().opened is not None
