"""The estimate, the parts list and the books: each screen works, is for whom it is for, and keeps what was typed."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client

from web.bay import entry, look, send, taken_in
from web.people import client_of, person
from wheeltapper.store.models import KeptEntry, KeptVisit
from wheeltapper.web.live import live, tables, told

pytestmark = [pytest.mark.reasoned, pytest.mark.django_db]
EVIL = "<script>alert(1)</script>"
SCREENS = (
    "estimate",
    "estimate/line?group=must&code=CAP",
    "estimate/line?group=must",
    "estimate/terms",
    "parts",
)
EXAMPLE = Path(__file__).parent.parent.parent / "examples" / "house"


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The example's books as the shop's own."""
    folder = tmp_path / "house"
    folder.mkdir()
    for path in EXAMPLE.iterdir():
        (folder / path.name).write_bytes(path.read_bytes())
    monkeypatch.setattr(settings, "HOUSE_FOLDER", folder)
    return folder


@pytest.fixture
def desk() -> Client:
    """The counter's PC."""
    return client_of(person("counter", "Cy Ray", "CR"), "desk")


@pytest.fixture
def visit(house: Path) -> KeptVisit:
    """A tandem with a cap missing."""
    bay = client_of(person("lead"))
    made = taken_in(bay, bolt_pattern="6 on 5.5")
    send(bay, made, entry(look("cap", "missing")))
    return reread(made)


def reread(visit: KeptVisit) -> KeptVisit:
    """The visit as the database has it now."""
    visit.refresh_from_db()
    return visit


def at(visit: KeptVisit, screen: str) -> str:
    """The address of a screen of a visit."""
    return f"/visit/{visit.number}/{screen}"


def change(desk: Client, visit: KeptVisit, **typed: str) -> int:
    """Change the cap's line; the status of the answer."""
    said = {"group": "must", "code": "CAP", "qty": "1", "each": "6.00", "reason": "the owner brings the part"}
    return desk.post(at(visit, "estimate/line"), said | typed).status_code


@pytest.mark.parametrize("screen", SCREENS)
def test_each_screen_works_and_has_nothing_inline(desk: Client, visit: KeptVisit, screen: str) -> None:
    answer = desk.get(at(visit, screen))
    page = answer.content.decode()

    assert answer.status_code == 200
    assert "Answers carry: <strong>CR</strong>" in page
    assert "style=" not in page
    assert "<script" not in page


@pytest.mark.parametrize("screen", SCREENS)
def test_a_visit_that_is_not_there_is_not_found_and_nobody_gets_in_without_signing_in(
    desk: Client, visit: KeptVisit, screen: str
) -> None:
    assert desk.get(f"/visit/26-9999/{screen}").status_code == 404
    assert Client().get(at(visit, screen)).headers["Location"].startswith("/sign-in")


def test_roles(visit: KeptVisit) -> None:
    """The bay reads the parts list; money is for lead, counter and owner; books are for lead and owner."""
    bay = client_of(person("technician", "Kim Roe", "KR"), "bay")
    desk = client_of(person("counter", "Cy Ray", "CR"), "desk")

    assert [bay.get(at(visit, s)).status_code for s in SCREENS] == [403, 403, 403, 403, 200]
    assert change(bay, visit, qty="0") == 403
    assert bay.post(at(visit, "estimate/take-back")).status_code == 403
    assert [c.get("/books").status_code for c in (bay, desk)] == [403, 403]
    assert desk.post("/books/prices").status_code == 403
    edit = {"group": "must", "code": "CAP", "qty": 0, "why": "x", "by": "KR"}
    status, answer = send(bay, visit, entry({"estimate": [edit]}, by="KR"))
    assert (status, answer["kept"]) == (207, [])
    assert "lead, counter and owner" in answer["refused"][0]["what"]


@pytest.mark.parametrize("screen", ["estimate", "parts"])
def test_a_screen_to_look_at_takes_nothing(desk: Client, visit: KeptVisit, screen: str) -> None:
    assert desk.post(at(visit, screen)).status_code == 405
    assert desk.get(at(visit, "estimate/take-back")).status_code == 405


@pytest.mark.parametrize(
    "wrong", ["?group=must&code=NONE", "?group=nothing", "?group=axle 9 brake-assembly, now", ""]
)
def test_a_line_that_is_not_there_is_not_found(desk: Client, visit: KeptVisit, wrong: str) -> None:
    assert desk.get(at(visit, f"estimate/line{wrong}")).status_code == 404


def test_a_change_stands_beside_what_the_rules_ask_for(desk: Client, visit: KeptVisit) -> None:
    before = live(visit).examination
    assert change(desk, visit, qty="0") == 302
    after = live(reread(visit)).examination
    page = desk.get(at(visit, "estimate")).content.decode()

    assert before is not None
    assert after is not None
    assert "CR made it struck: the owner brings the part" in page
    assert "The rules ask for 1, $6.00." in page
    assert (after.quote, after.calls, after.release) == (before.quote, before.calls, before.release)
    assert (after.estimate.least.parts_cents or 0) + 600 == before.estimate.least.parts_cents
    assert (
        "how many was changed" not in desk.get(at(visit, "parts")).content.decode()
    )  # a struck part is not fetched


def test_a_change_of_mind_is_a_new_entry_and_taking_back_leaves_both_in_the_record(
    desk: Client, visit: KeptVisit
) -> None:
    change(desk, visit, qty="0")
    change(desk, visit, qty="1", each="5.00", why="ours after all")
    kept = KeptEntry.objects.filter(visit=visit).count()
    page = desk.get(at(visit, "estimate/line?group=must&code=CAP")).content.decode()
    assert "CR made it struck" in page
    assert "CR made it $5.00 each: ours after all" in page
    entries = [e.id for e in live(reread(visit)).folded.standing if e.body.get("estimate")]

    for one in entries:
        assert desk.post(at(visit, "estimate/take-back"), {"entry": one}).status_code == 302
    made = live(reread(visit)).examination

    assert made is not None
    assert all(not row.edits for g in made.estimate.groups for row in g.rows)
    assert KeptEntry.objects.filter(visit=visit).count() == kept + 2
    assert desk.post(at(visit, "estimate/take-back"), {"entry": entries[0]}).status_code == 404


@pytest.mark.parametrize(
    ("wrong", "said"),
    [({"qty": "-1"}, "whole number"), ({"qty": "1.5"}, "whole number"), ({"qty": ""}, "whole number"), ({"each": "5,00"}, "amount of money"),
     ({"each": "99999999"}, "amount of money"), ({"hours": "1:30"}, "number of hours"), ({"reason": ""}, "reason"), ({}, "what the rules ask for already")],
)  # fmt: skip
def test_a_slip_keeps_what_was_typed(
    desk: Client, visit: KeptVisit, wrong: dict[str, str], said: str
) -> None:
    typed = {
        "group": "must",
        "code": "CAP",
        "qty": "1",
        "each": "6.00",
        "reason": "the owner brings the part",
        **wrong,
    }
    answer = desk.post(at(visit, "estimate/line"), typed)
    page = answer.content.decode()

    assert answer.status_code == 422
    assert said in page
    assert all(f'value="{v}"' in page for k, v in typed.items() if k in ("qty", "each") and v)
    assert not any(e.body.get("estimate") for e in live(reread(visit)).folded.standing)


def test_what_is_typed_is_text_on_every_page(desk: Client, visit: KeptVisit) -> None:
    typed = {"group": "must", "say": EVIL, "qty": "2", "each": "1.00", "why": EVIL}
    assert desk.post(at(visit, "estimate/line"), typed).status_code == 302
    assert desk.post(at(visit, "estimate/terms"), {"deposit": "5.00", "why": EVIL}).status_code == 302

    for page in (desk.get(at(visit, s)).content.decode() for s in ("estimate", "estimate/terms", "parts")):
        assert "&lt;script&gt;" in page
        assert "<script>" not in page


def test_terms_have_a_reason_and_a_day_that_can_be(desk: Client, visit: KeptVisit) -> None:
    where = at(visit, "estimate/terms")

    assert desk.post(where, {"deposit": "50.00"}).status_code == 422
    assert "before the visit" in desk.post(where, {"valid_until": "2020-01-01", "why": "x"}).content.decode()
    assert "is not a day" in desk.post(where, {"valid_until": "soon", "why": "x"}).content.decode()
    assert (
        desk.post(where, {"deposit": "50", "valid_until": "2031-02-03", "why": "a long job"}).status_code
        == 302
    )
    page = desk.get(at(visit, "estimate")).content.decode()
    assert "Good until 3 Feb 2031" in page
    assert "CR set a deposit of $50.00 and good until 3 Feb 2031: a long job" in page


def test_left_and_right_stand_beside_road_and_curb_and_are_asked_for(
    desk: Client, visit: KeptVisit, house: Path
) -> None:
    assert "1-road (left)" in desk.get(at(visit, "parts")).content.decode()
    (house / "house.toml").write_text('rate = "90.00"\n')
    asked = desk.get(at(visit, "parts")).content.decode()

    assert "Left or right is not known" in asked
    assert "(left)" not in asked


def test_the_draft_is_there_at_once(desk: Client, visit: KeptVisit) -> None:
    """On the first page after the last answer, not made beside it."""
    bay = client_of(person("technician", "Kim Roe", "KR"), "bay")
    before = desk.get(at(visit, "estimate")).content.decode()
    send(bay, visit, entry(look("cups", "moves by hand"), by="KR"))
    after = desk.get(at(visit, "estimate")).content.decode()

    assert "F3" not in before
    assert "F3" in after


def test_books_go_out_and_come_in_again(house: Path, visit: KeptVisit) -> None:
    office = client_of(person("owner", "Mary Ash", "MA"), "office")
    out = office.get("/books/prices.csv")
    before = tables().fingerprint
    text = out.content.decode().replace("SEAL,seal,,,,grease seal,9.50", "SEAL,seal,,,,grease seal,10.25")

    same = office.post("/books/prices", {"file": named(out.content, "prices.csv")})
    assert "changed 0 cells" in same.content.decode()
    tried = office.post(
        "/books/prices", {"file": named(text.encode(), "p.csv"), "try": "yes"}
    ).content.decode()
    assert "seal, price: 9.50 -&gt; 10.25" in tried
    assert tables().price_of["SEAL"].cents == 950
    taken = office.post("/books/prices", {"file": named(text.encode(), "p.csv")})

    assert taken.status_code == 200
    assert tables().price_of["SEAL"].cents == 1025
    assert (house / ".earlier" / f"prices-{before}.csv").is_file()
    assert told(visit).examination is not None


@pytest.mark.parametrize(
    ("text", "said"),
    [("code,part,drum,studs,brake,say,price,unit\nSEAL,seal,,,,seal,\"9,50\",each\n", "is not an amount of money"), ("colour\nred\n", "columns must be"),
     ("", "it has no rows"), ("code,part,drum,studs,brake,price\nA,seal,,,,1\nB,seal,,,,2\n", "stands twice")],
)  # fmt: skip
def test_a_book_with_a_fault_changes_nothing(house: Path, text: str, said: str) -> None:
    office = client_of(person("owner", "Mary Ash", "MA"), "office")
    there = (house / "prices.csv").read_bytes()
    answer = office.post("/books/prices", {"file": named(text.encode(), "prices.csv")})

    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert (house / "prices.csv").read_bytes() == there
    assert office.post("/books/prices").status_code == 422
    assert office.post("/books/people").status_code == 404
    assert office.get("/books/prices").status_code == 405
    assert not list(house.glob(".*"))


def named(data: bytes, name: str) -> BytesIO:
    """A file as a form sends it."""
    file = BytesIO(data)
    file.name = name
    return file


def test_the_sheet_as_pdf_is_for_who_may_see_the_table(desk: Client, visit: KeptVisit) -> None:
    bay = client_of(person("technician", "Kim Roe", "KR"), "bay")
    answer = desk.get(at(visit, "sheet.pdf"))

    assert bay.get(at(visit, "sheet.pdf")).status_code == 403
    assert desk.post(at(visit, "sheet.pdf")).status_code == 405
    assert desk.get("/visit/26-9999/sheet.pdf").status_code == 404
    assert (answer.status_code, answer["Content-Type"], answer.content[:5]) == (
        200,
        "application/pdf",
        b"%PDF-",
    )
    assert answer.content == desk.get(at(visit, "sheet.pdf")).content
