"""Photos and sounds through the door: kept as they came, shown to whoever is signed in, bare of place and camera elsewhere."""

from __future__ import annotations

import io
import json
import secrets
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from django.conf import LazySettings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from web.bay import entry, look, send, taken_in
from web.people import client_of, person
from wheeltapper.store import files
from wheeltapper.store.find import entries
from wheeltapper.store.models import KeptVisit, Original, Task

pytestmark = [pytest.mark.django_db, pytest.mark.reasoned]
JSON = {"Accept": "application/json"}
WAV = b"RIFF\x24\0\0\0WAVEfmt " + bytes(2000)


@pytest.fixture(autouse=True)
def folder(settings: LazySettings, tmp_path: Path) -> Path:
    """A shop folder of its own."""
    settings.SHOP_FOLDER = tmp_path
    return tmp_path


@pytest.fixture
def client() -> Client:
    """A technician's phone."""
    return client_of(person())


def photo(size: tuple[int, int] = (640, 480), place: bool = True) -> bytes:
    """A picture lying on its side, with where it was taken and by what."""
    exif = Image.Exif()
    exif[0x0112], exif[0x010F] = 6, "SecretMaker"
    if place:
        exif.get_ifd(0x8825).update({1: "N", 2: (47.0, 22.0, 0.0), 3: "E", 4: (8.0, 32.0, 0.0)})
    out = io.BytesIO()
    Image.effect_noise(size, 60).convert("RGB").save(out, "JPEG", exif=exif, comment=b"SecretComment")
    return out.getvalue()


def sent(client: Client, visit: KeptVisit, data: bytes, **about: str) -> tuple[int, dict[str, Any]]:
    """As the phone sends it: the file is the body, what it is about stands in the address."""
    said = {
        "id": secrets.token_hex(16),
        "at": "2026-11-26T09:00:00.000Z",
        "position": "1-road",
        "check": "seal",
    } | about
    answer = client.post(
        f"/visit/{visit.number}/files", data, "application/octet-stream", query_params=said, headers=JSON
    )
    return answer.status_code, answer.json()


def body(answer: Any) -> bytes:
    """All of it."""
    data = b"".join(answer.streaming_content) if answer.streaming else answer.content
    answer.close()
    return bytes(data)


def test_kept_as_it_came_and_named_at_its_check(client: Client) -> None:
    visit, data = taken_in(client), photo()
    status, said = sent(client, visit, data)
    assert (status, said["sha256"], said["kind"], said["task"]) == (
        201,
        sha256(data).hexdigest(),
        "photo",
        None,
    )
    last = entries(visit)[-1]
    assert (last.id, last.by, last.kind) == (said["entry"], "JT", "photo")
    assert last.body == {"sha256": said["sha256"], "position": "1-road", "check": "seal"}
    shown = client.get(f"/visit/{visit.number}/files/{said['sha256']}")
    assert (shown["Content-Type"], body(shown)) == ("image/jpeg", data)


def test_the_same_again_is_confirmed_and_not_doubled(client: Client) -> None:
    visit, data, id_ = taken_in(client), photo(), secrets.token_hex(16)
    first, again = (sent(client, visit, data, id=id_) for _ in range(2))
    assert (first[0], again[0], again[1]["kept"]) == (201, 200, [id_])
    assert len([e for e in entries(visit) if e.kind == "photo"]) == Original.objects.count() == 1
    status, said = sent(client, visit, photo((320, 240)), id=id_)
    assert (status, "stands for something else" in said["what"]) == (409, True)


def test_a_form_without_script_may_send_it(client: Client) -> None:
    visit, data = taken_in(client), photo()
    said = {
        "id": secrets.token_hex(16),
        "at": "2026-11-26T09:00:00.000Z",
        "position": "1-road",
        "check": "seal",
    }
    answer = client.post(
        f"/visit/{visit.number}/files", said | {"file": SimpleUploadedFile("x.jpg", data)}, headers=JSON
    )
    assert (answer.status_code, answer.json()["sha256"]) == (201, sha256(data).hexdigest())
    assert (
        client.post(f"/visit/{visit.number}/files", said, headers=JSON).json()["what"] == "it arrived empty"
    )


@pytest.mark.parametrize("data", [b"<html>", b"GIF89a" + bytes(100), b"\0\0\0\x18ftypheic" + bytes(100)])
def test_what_cannot_be_kept_is_told(client: Client, data: bytes) -> None:
    visit = taken_in(client)
    status, said = sent(client, visit, data)
    assert (status, set(said)) == (422, {"where", "what", "do"})
    assert not Original.objects.exists()


def test_nothing_and_no_length_is_told(client: Client) -> None:
    status, said = sent(client, taken_in(client), b"")
    assert (status, said["what"]) == (413, "it came without its length")


def test_too_large_is_refused_before_it_is_read(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    visit = taken_in(client)
    monkeypatch.setattr(files, "MOST_BYTES", -900_000)
    assert sent(client, visit, photo((3000, 2000)))[0] == 413
    form = {"file": SimpleUploadedFile("x.jpg", photo((3000, 2000)))}
    assert client.post(f"/visit/{visit.number}/files", form, headers=JSON).status_code in {400, 413}


def test_half_a_body_is_no_photo(client: Client) -> None:
    visit, data = taken_in(client), photo()
    at = f"/visit/{visit.number}/files?id={secrets.token_hex(16)}&at=2026-11-26T09:00:00.000Z"
    short = {"wsgi.input": io.BytesIO(data[:-500]), "CONTENT_LENGTH": str(len(data))}
    answer = client.generic("POST", at, data, "image/jpeg", headers=JSON, **short)  # type: ignore[arg-type]
    assert answer.status_code == 422
    assert "whole" in answer.json()["what"]
    assert not Original.objects.exists()


@pytest.mark.parametrize("wrong", [{"id": "x"}, {"id": ""}, {"at": "yesterday"}])
def test_a_bad_id_or_clock_is_told(client: Client, wrong: dict[str, str]) -> None:
    visit = taken_in(client)
    status, said = sent(client, visit, photo(), **wrong)
    assert status == 422
    assert said["where"] in wrong


def test_the_picture_shown_elsewhere_carries_nothing_but_pixels(client: Client, folder: Path) -> None:
    visit, data = taken_in(client), photo((3000, 2000))
    assert b"SecretMaker" in data
    sha = sent(client, visit, data)[1]["sha256"]
    for size, longest in (("small", 480), ("clean", 2048)):
        for _ in range(2):
            answer = client.get(f"/visit/{visit.number}/files/{sha}?{size}")
            made = body(answer)
            assert answer["Content-Type"] == "image/jpeg"
            assert b"Secret" not in made
            assert b"Exif" not in made
            with Image.open(io.BytesIO(made)) as picture:
                assert picture.size == (round(longest * 2 / 3), longest)  # upright now
    assert sorted(p.suffixes[0] for p in folder.rglob("*.jpg")) == [".clean", ".jpg", ".small"]
    assert body(client.get(f"/visit/{visit.number}/files/{sha}")) == data
    assert not list(folder.rglob("*.part"))


def test_a_picture_that_cannot_be_read_is_told(client: Client) -> None:
    visit = taken_in(client)
    for data in (b"\xff\xd8\xff" + bytes(500), WAV):
        sha = sent(client, visit, data)[1]["sha256"]
        answer = client.get(f"/visit/{visit.number}/files/{sha}?small")
        assert (answer.status_code, "To do:" in answer.content.decode()) == (422, True)


def test_a_player_may_ask_for_a_part(client: Client) -> None:
    visit = taken_in(client)
    sha = sent(client, visit, WAV)[1]["sha256"]
    at = f"/visit/{visit.number}/files/{sha}"
    part = client.get(at, headers={"Range": "bytes=4-9"})
    assert (part.status_code, part["Content-Range"], part.content) == (
        206,
        f"bytes 4-9/{len(WAV)}",
        WAV[4:10],
    )
    assert client.get(at, headers={"Range": f"bytes=2000-{len(WAV) + 99}"}).content == WAV[2000:]
    for odd in ("bytes=9-4", "bytes=-5", "lines=1-2", "bytes=99999999-", "bytes=a-b"):
        whole = client.get(at, headers={"Range": odd})
        assert (whole.status_code, body(whole)) == (200, WAV)


def test_a_recording_of_taps_is_listened_to(client: Client) -> None:
    visit = taken_in(client)
    first = sent(client, visit, WAV, check="ring")[1]
    assert sent(client, visit, WAV, check="ring")[1]["task"] == first["task"]
    sent(client, visit, WAV + b"2", check="ring", asked='{"hung": true}')
    sent(client, visit, WAV + b"3", check="ring", position="1-curb")
    asked = [t.asked for t in Task.objects.order_by("pk")]
    assert [(a["position"], len(a["earlier"]), a["hung"], a["by"]) for a in asked] == [
        ("1-road", 0, None, "JT"), ("1-road", 1, True, "JT"), ("1-curb", 0, None, "JT")
    ]  # fmt: skip
    assert sent(client, visit, WAV + b"4", check="bearings")[1]["task"] is None
    told = client.get(f"/visit/{visit.number}/work").json()
    assert told["open"] == 3
    assert {"id", "kind", "position", "state", "share", "said"} == set(told["tasks"][0])


def test_a_line_is_measured_where_it_was_tapped(client: Client) -> None:
    visit = taken_in(client)
    sha = sent(client, visit, photo())[1]["sha256"]
    asked = {
        "position": "1-road",
        "sha256": [sha],
        "check": "band line",
        "on": "friction band",
        "ends": [[1, 2], [3, 4]],
    }
    at = f"/visit/{visit.number}/work/wanted"
    answer = client.post(
        at, json.dumps({"kind": "mark", "asked": asked | {"by": "XX"}}), "application/json", headers=JSON
    )
    assert answer.status_code == 201
    task = Task.objects.get(pk=answer.json()["task"])
    assert (task.asked["by"], task.asked["diameter"], task.asked["ends"]) == ("JT", "12 in", [[1, 2], [3, 4]])


@pytest.mark.parametrize(
    "sent_",
    [
        "",
        "[]",
        "{}",
        '{"kind":"rm"}',
        '{"kind":"mark","asked":{"position":"9-left"}}',
        '{"kind":"ring","asked":[]}',
        "[" * 9999,
    ],
)
def test_what_cannot_be_asked(client: Client, sent_: str) -> None:
    visit = taken_in(client)
    answer = client.post(f"/visit/{visit.number}/work/wanted", sent_, "application/json", headers=JSON)
    assert (answer.status_code, Task.objects.count()) == (422, 0)


def test_nobody_sees_or_sends_anything_without_signing_in(client: Client) -> None:
    visit = taken_in(client)
    sha = sent(client, visit, photo())[1]["sha256"]
    stranger = Client()
    assert sent(stranger, visit, photo((200, 200)))[0] == 401
    for at in (f"files/{sha}", f"files/{sha}?small", "work"):
        assert stranger.get(f"/visit/{visit.number}/{at}", headers=JSON).status_code == 401
    assert stranger.get(f"/visit/{visit.number}/files/{sha}").status_code == 302
    assert Original.objects.count() == 1


def test_the_counter_looks_and_does_not_send(client: Client) -> None:
    visit = taken_in(client)
    sha = sent(client, visit, photo())[1]["sha256"]
    counter = client_of(person("counter", "Cora Webb", "CW"), "office")
    assert sent(counter, visit, photo((200, 200)))[0] == 403
    assert body(counter.get(f"/visit/{visit.number}/files/{sha}?small")).startswith(b"\xff\xd8")


def test_wrong_addresses_and_methods(client: Client) -> None:
    visit = taken_in(client)
    assert client.post("/visit/26-9999/files", photo(), "image/jpeg").status_code == 404
    for sha in ("ab" * 32, "..%2f..%2fsecret.key", "x"):
        assert client.get(f"/visit/{visit.number}/files/{sha}").status_code == 404
    assert client.get(f"/visit/{visit.number}/files").status_code == 405
    assert client.post(f"/visit/{visit.number}/files/{'ab' * 32}").status_code == 405
    assert client.get(f"/visit/{visit.number}/work/wanted").status_code == 405


def test_a_script_in_its_name_is_only_a_name(client: Client) -> None:
    visit = taken_in(client)
    sent(client, visit, photo(), said="<script>alert(1)</script>", name="../../x.jpg")
    last = entries(visit)[-1].body
    assert (last["said"], last["name"]) == ("<script>alert(1)</script>", "../../x.jpg")
    page = client.get(f"/visit/{visit.number}/1-road").content.decode()
    assert "<script>alert" not in page


def test_entries_name_only_files_that_are_here(client: Client) -> None:
    visit = taken_in(client)
    one = {
        "id": secrets.token_hex(16),
        "at": "2026-11-26T09:00:00.000Z",
        "by": "JT",
        "kind": "photo",
        "instead_of": [],
        "body": {"sha256": "ab" * 32},
    }
    status, said = send(client, visit, one)
    assert (status, said["kept"]) == (207, [])
    assert "has not arrived" in said["refused"][0]["what"]


def test_a_finding_s_photo_stands_beside_the_good_view(client: Client) -> None:
    """On the way back of a call: the good one, and this part instead of our rendered picture once it was photographed."""
    visit = taken_in(client)
    send(client, visit, entry(look("hub face", "paint")))
    there = f"/visit/{visit.number}/walk/1-road/hub-face"
    rendered = client.get(there).content.decode()
    assert "/atlas/hub_face-good.webp" in rendered
    assert "/atlas/hub_face-paint.webp" in rendered
    assert "hub face: paint: rendered, not this part" in rendered
    _, said = sent(client, visit, photo(), check="hub face")
    own = client.get(there).content.decode()
    assert "/atlas/hub_face-good.webp" in own
    assert f"/files/{said['sha256']}?sheet" in own
    assert "hub face: paint: this part" in own
    assert "/atlas/hub_face-paint.webp" not in own
    small = client.get(f"/visit/{visit.number}/files/{said['sha256']}?sheet")
    seen = Image.open(io.BytesIO(body(small)))
    assert max(seen.size) <= 800
    assert dict(seen.getexif()) == {}
