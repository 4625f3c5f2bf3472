"""The counter's side: links, replies, the telephone, the ways out of held, and what comes back at the next visit."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from web.owned import Owner, kept_example, link_to, said, with_prices
from web.people import client_of, person
from wheeltapper.store import keep, links
from wheeltapper.store.models import KeptEntry, KeptVisit, Mail, OwnerLink
from wheeltapper.web import live, owner_link

pytestmark = [pytest.mark.reasoned, pytest.mark.django_db]
SCREENS = ("owner", "owner/page", "read-back", "leaving")
DOES = ("owner/links", "owner/links/{k}/send", "owner/links/{k}/end", "owner/reply")
CHOICE = "1-road hub-drum"


@pytest.fixture(autouse=True)
def prices(settings: Any, tmp_path: Path) -> None:
    """The example shop's prices."""
    with_prices(tmp_path, settings)
    owner_link._wrong.clear()


@pytest.fixture
def visit() -> KeptVisit:
    """The example visit."""
    return kept_example()


@pytest.fixture
def desk() -> Client:
    """The counter, signed in."""
    return client_of(person("counter", "Cora Webb", "CW"), "desk")


def now(visit: KeptVisit) -> Any:
    """The visit's record and its release."""
    live_ = live.live(KeptVisit.objects.get(pk=visit.pk))
    return live_.folded.visit, live_.examination.release  # type: ignore[union-attr]


def fields(page: str) -> dict[str, str]:
    """The version that a form carries."""
    return dict(re.findall(r'name="(version|entries)" value="(\w+)"', page))


@pytest.mark.parametrize("screen", SCREENS)
def test_each_screen_works_for_counter_lead_and_owner_and_nobody_else(visit: KeptVisit, screen: str) -> None:
    at = f"/visit/{visit.number}/{screen}"
    status = {
        role: client_of(person(role, f"Jo {short}", short), short).get(at).status_code
        for role, short in (
            ("counter", "A1"),
            ("lead", "B1"),
            ("owner", "C1"),
            ("technician", "D1"),
            ("apprentice", "E1"),
        )
    }

    assert status == {"counter": 200, "lead": 200, "owner": 200, "technician": 403, "apprentice": 403}
    assert Client().get(at).status_code == 302


@pytest.mark.parametrize("screen", [*SCREENS, "owner/links/1", "owner/shown/x", "leaving/paper"])
def test_a_visit_that_is_not_there_is_not_found(desk: Client, screen: str) -> None:
    assert desk.get(f"/visit/26-9999/{screen}").status_code == 404


@pytest.mark.parametrize("what", DOES)
def test_what_changes_something_is_posted_by_who_may(visit: KeptVisit, desk: Client, what: str) -> None:
    link, _ = link_to(visit)
    at = f"/visit/{visit.number}/{what.format(k=link.pk)}"

    assert desk.get(at).status_code == 405
    assert client_of(person("technician"), "bay").post(at).status_code == 403
    assert links.stands(OwnerLink.objects.get())


def test_a_link_is_made_shown_and_ended(visit: KeptVisit, desk: Client) -> None:
    made = desk.post(f"/visit/{visit.number}/owner/links", {"to": "Dana <Reed>"})
    page = desk.get(made["Location"]).content.decode()
    url = re.findall(r'<p class="copy">http://testserver(/o/[\w-]{43}/)</p>', page)

    assert len(url) == 1
    assert "<svg" in page
    assert "Hello Dana &lt;Reed&gt;," in page
    assert Client().get(url[0]).status_code == 200
    assert "Dana &lt;Reed&gt;" in Client().get(url[0]).content.decode()

    assert desk.post(f"/visit/{visit.number}/owner/links/{OwnerLink.objects.get().pk}/end").status_code == 302
    assert Client().get(url[0]).status_code == 410
    assert "by CW" in desk.get(f"/visit/{visit.number}/owner").content.decode()
    assert "/o/" not in desk.get(made["Location"]).content.decode()


def test_a_link_of_another_visit_is_not_found_here(visit: KeptVisit, desk: Client) -> None:
    link, _ = link_to(visit)
    other = kept_example("disc")

    assert desk.get(f"/visit/{other.number}/owner/links/{link.pk}").status_code == 404
    assert desk.post(f"/visit/{other.number}/owner/links/{link.pk}/end").status_code == 404
    assert links.stands(OwnerLink.objects.get())


def test_the_shops_own_address_stands_in_the_link(visit: KeptVisit, desk: Client, settings: Any) -> None:
    house = settings.HOUSE_FOLDER / "house.toml"
    house.write_text(
        house.read_text("utf-8") + 'owner_address = "https://flats.example"\nlink_days = "7"\n', "utf-8"
    )
    made = desk.post(f"/visit/{visit.number}/owner/links", {"to": "Dana"})

    assert "https://flats.example/o/" in desk.get(made["Location"]).content.decode()
    link = OwnerLink.objects.get()
    assert round((link.until - link.made).total_seconds() / 86400) == 7


@pytest.mark.parametrize(
    ("sent", "slip"),
    [
        ({"to": " "}, "write the owner"),
        ({"to": "Dana", "mail": "nowhere"}, "name@place.com"),
        ({"to": "Dana", "mail": "a@b.example"}, "smtp_host"),
    ],
)
def test_a_slip_is_told_and_what_was_typed_stays(
    visit: KeptVisit, desk: Client, sent: dict[str, str], slip: str
) -> None:
    answer = desk.post(f"/visit/{visit.number}/owner/links", sent)
    page = answer.content.decode()

    assert answer.status_code == 422
    assert slip in page
    assert f'value="{sent["to"]}"' in page
    assert OwnerLink.objects.count() == 0
    assert Mail.objects.count() == 0


def test_an_email_goes_on_the_list_and_nothing_waits_for_it(
    visit: KeptVisit, desk: Client, settings: Any
) -> None:
    house = settings.HOUSE_FOLDER / "house.toml"
    house.write_text(
        house.read_text("utf-8") + 'smtp_host = "mail.invalid"\nmail_from = "desk@flats.example"\n', "utf-8"
    )
    desk.post(f"/visit/{visit.number}/owner/links", {"to": "Dana", "mail": "dana@reed.example"})
    mail = Mail.objects.get()

    assert (mail.to, mail.state, mail.by, mail.at) == (
        "dana@reed.example",
        "waiting",
        "CW",
        "http://testserver",
    )
    assert "dana@reed.example: waiting" in desk.get(f"/visit/{visit.number}/owner").content.decode()
    assert (
        desk.post(
            f"/visit/{visit.number}/owner/links/{mail.link.pk}/send", {"mail": "sam@reed.example"}
        ).status_code
        == 302
    )
    assert Mail.objects.count() == 2


def test_what_was_shown_is_shown_again_word_for_word(visit: KeptVisit, desk: Client) -> None:
    dana = Owner(link_to(visit)[1])
    dana.look()
    version = dana.seen()["version"]
    dana.answer(CHOICE, "now")
    keep.add(
        visit,
        [said({"done": [{"position": "2-road", "part": "hub-drum", "action": "replaced", "by": "T1"}]})],
        "phone",
    )
    page = desk.get(f"/visit/{visit.number}/owner").content.decode()
    again = desk.get(f"/visit/{visit.number}/owner/shown/{version}").content.decode()

    def body(text: str) -> list[str]:
        main = text.partition("<main>")[2].partition("</main>")[0]
        words = re.sub(r"<form.*?</form>|<p>Do it now <b>.*?</p>|<[^>]+>", " ", main, flags=re.S).split()
        return " ".join(words).replace("You answer as Dana Reed . ", "").split()

    assert f"owner/shown/{version}" in page
    assert body(again) == body(dana.page)
    assert "<form" not in again
    assert desk.get(f"/visit/{kept_example('disc').number}/owner/shown/{version}").status_code == 404


def test_a_question_is_seen_in_the_yard_and_replied_to(visit: KeptVisit, desk: Client) -> None:
    dana = Owner(link_to(visit)[1])
    dana.look()
    dana.ask("How long?")
    assert "The owner asks something" in desk.get("/").content.decode()

    empty = desk.post(f"/visit/{visit.number}/owner/reply", {"to": "How long?", "text": " "})
    wrong = desk.post(f"/visit/{visit.number}/owner/reply", {"to": "What?", "text": "x"})
    assert (empty.status_code, wrong.status_code) == (422, 422)
    assert (
        desk.post(f"/visit/{visit.number}/owner/reply", {"to": "How long?", "text": "Till noon."}).status_code
        == 302
    )
    dana.look()

    assert "Till noon." in dana.page
    assert "The owner asks something" not in desk.get("/").content.decode()
    assert KeptEntry.objects.latest("pk").by == "CW"


def read_back(desk: Client, visit: KeptVisit, what: str, **more: str) -> Any:
    """Tap an answer on the telephone's page."""
    at = f"/visit/{visit.number}/read-back"
    return desk.post(
        at,
        {
            "who": "Dana Reed",
            "how": "phone read-back",
            "answer": what,
            **fields(desk.get(at).content.decode()),
            **more,
        },
    )


def test_answers_are_kept_while_talking(visit: KeptVisit, desk: Client) -> None:
    assert read_back(desk, visit, f"{CHOICE}:not now", said="after the season").status_code == 302
    assert read_back(desk, visit, "2-curb hub-drum:now", how="in person").status_code == 302
    assert read_back(desk, visit, "work:do it").status_code == 302
    record, _ = now(visit)

    assert [(a.answer, a.by, a.how, a.said) for a in record.answer] == [
        ("not now", "Dana Reed", "phone read-back", "after the season"),
        ("now", "Dana Reed", "in person", None),
    ]
    assert [(g.answer, g.how) for g in record.go_ahead] == [("do it", "phone read-back")]
    assert all(a.seen for a in record.answer)
    assert KeptEntry.objects.latest("pk").by == "CW"


@pytest.mark.parametrize(
    ("what", "more"),
    [
        (f"{CHOICE}:now", {"who": " "}),
        (f"{CHOICE}:now", {"version": "0" * 64}),
        (f"{CHOICE}:maybe", {}),
        ("", {}),
        ("2-road hub-drum:not now", {}),
    ],
)
def test_a_slip_on_the_telephone_keeps_what_was_typed(
    visit: KeptVisit, desk: Client, what: str, more: dict[str, str]
) -> None:
    answer = read_back(desk, visit, what, said="<b>her words", **more)

    assert answer.status_code == 422
    assert "&lt;b&gt;her words" in answer.content.decode()
    assert now(visit)[0].answer == ()


def test_the_telephone_and_the_page_are_one_version(visit: KeptVisit, desk: Client) -> None:
    dana = Owner(link_to(visit)[1])
    dana.look()
    page = desk.get(f"/visit/{visit.number}/read-back").content.decode()

    assert fields(page)["version"] == dana.seen()["version"]
    for line in ("Three things can’t go back, three go with them", "That work is $678.50. Shall we do it?"):
        assert line in page
    assert "Three things can’t go back, three go with them" in dana.page


def leave(desk: Client, visit: KeptVisit, way: str, **more: str) -> Any:
    """Say what becomes of a trailer."""
    at = f"/visit/{visit.number}/leaving"
    return desk.post(
        at,
        {
            "way": way,
            "owner": "Dana Reed",
            "read_out": "yes",
            **fields(desk.get(at).content.decode()),
            **more,
        },
    )


@pytest.mark.parametrize(
    ("way", "state"),
    [
        ("do it", "held"),
        ("it stays here", "held"),
        ("on a hauler", "left on a hauler"),
        ("against advice", "left against advice"),
    ],
)
def test_each_way_has_a_record_of_its_own(visit: KeptVisit, desk: Client, way: str, state: str) -> None:
    answer = leave(desk, visit, way, hauler="TX 4411", said="I know")
    record, gate = now(visit)

    assert answer.status_code == 302
    assert gate.state == state
    assert (record.exit is None) == (state == "held")
    if record.exit is None:
        assert [(g.answer, g.by, g.how, g.said) for g in record.go_ahead] == [
            (way, "Dana Reed", "in person", "I know")
        ]
        return
    assert (record.exit.how, record.exit.by, record.exit.owner, record.exit.said) == (
        way,
        "CW",
        "Dana Reed",
        "I know",
    )
    assert record.exit.seen is not None
    assert (
        "Hub and brake drum, rear axle, road side: cups: punch, peen or knurl marks (inner) (felt by T1)."
        in record.exit.told
    )
    assert (
        "Not checked: Wheel, rear axle, curb side: the wheel is at the tire shop until tomorrow."
        in record.exit.told
    )
    assert ("TX 4411" in " ".join(record.exit.told)) == (way == "on a hauler")
    assert any("replace not done" in b for b in gate.because)
    paper = desk.get(answer["Location"]).content.decode()
    assert all(line in paper for line in record.exit.told)
    assert leave(desk, visit, "it stays here").status_code == 422  # it has left


@pytest.mark.parametrize(
    ("way", "more"),
    [
        ("against advice", {"read_out": ""}),
        ("on a hauler", {"hauler": ""}),
        ("a signed waiver", {}),
        ("", {}),
        ("against advice", {"owner": ""}),
        ("against advice", {"version": "0" * 64}),
    ],
)
def test_no_way_out_by_a_slip(visit: KeptVisit, desk: Client, way: str, more: dict[str, str]) -> None:
    answer = leave(desk, visit, way, **{"hauler": "TX", "said": "kept words", **more})

    assert answer.status_code == 422
    assert "kept words" in answer.content.decode()
    assert now(visit)[1].state == "held"
    assert now(visit)[0].exit is None


def test_there_is_no_paper_for_a_trailer_that_has_not_left(visit: KeptVisit, desk: Client) -> None:
    assert desk.get(f"/visit/{visit.number}/leaving/paper").status_code == 404


def test_what_was_put_off_comes_back_at_the_gate_with_price_then_and_now(
    visit: KeptVisit, desk: Client, settings: Any
) -> None:
    dana = Owner(link_to(visit)[1])
    dana.look()
    dana.answer(CHOICE, "not now", said="after the <lake>")
    house = settings.HOUSE_FOLDER / "house.toml"
    house.write_text(house.read_text("utf-8").replace("120.00", "150.00"), "utf-8")
    page = desk.get("/gate?unit=TF-0417").content.decode()

    assert "“after the &lt;lake&gt;”" in page
    now_ = re.findall(r"Then \$555\.00, now \$(\d+\.\d\d)", page)
    assert len(now_) == 1
    assert float(now_[0]) > 555

    answer = desk.post(
        "/gate",
        {
            "unit": "TF-0417",
            "axles": "2",
            "brake": "electric drum",
            "drum": "12 in",
            "scope": "hub service",
            "quality": "unknown",
        },
    )
    assert answer.status_code == 302
    again = KeptVisit.objects.latest("pk")
    (row,) = now(again)[0].declined
    assert (row.position, row.part, row.by, row.said, row.cents) == (
        "1-road",
        "hub-drum",
        "Dana Reed",
        "after the <lake>",
        55500,
    )
    sam = Owner(link_to(again, "Dana Reed")[1])
    sam.look()
    assert "What you put off last time" in sam.page
    assert "after the &lt;lake&gt;" in sam.page
    assert "$555.00" in sam.page
