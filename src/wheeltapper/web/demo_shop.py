"""Fills a shop folder with an invented shop: people, open trailers, pictures from the atlas (rendered), taps (simulated)."""

from __future__ import annotations

import io
import secrets
import tomllib
import wave
from datetime import UTC, datetime, time
from datetime import date as Date
from importlib.resources import files
from typing import Any

import numpy as np

from wheeltapper.atlas import data_of, pictures
from wheeltapper.store import keep
from wheeltapper.store.entries import MOMENT, Entry
from wheeltapper.store.files import kept
from wheeltapper.store.models import KeptVisit, Original, Person, Role
from wheeltapper.web import demo_fleet, live

PASSWORD = "ring the drum"
PEOPLE: tuple[tuple[str, str, Role], ...] = (
    ("T1", "Ida Marsh", "owner"), ("T2", "Ben Okoro", "technician"), ("AL", "Al Lindqvist", "apprentice"), ("CW", "Cora Webb", "counter"),
)  # fmt: skip
VISITS = ("visit.toml", "ring.toml", "disc.toml")
SPLIT = ("look", "feel", "hear", "ring", "mark", "reading", "not_checked")
RATE = 44_100


def fill() -> None:
    """People and visits into an empty shop; one that has people already is left as it is."""
    if Person.objects.exists():
        return
    for short, name, role in PEOPLE:
        person = Person(login=short.lower(), name=name, short=short, role=role)
        person.set_password(PASSWORD)
        person.save()
    _earlier()
    room = files("wheeltapper") / "examples"
    for name in VISITS:
        raw = tomllib.loads((room / name).read_text("utf-8"), parse_float=str)
        visit = keep.open_visit()
        keep.add(visit, [_entry(raw["technician"], body) for body in pieces(raw)], "demo")
        keep.add(visit, list(_files(raw)), "demo")
        live.told(KeptVisit.objects.get(pk=visit.pk))


def _earlier() -> None:
    """The visits of before, each with the clock of its own day."""
    for day, raw in demo_fleet.visits(Date.today()):
        then = datetime.combine(day, time(16), UTC)
        visit = keep.open_visit(then)
        at = then.strftime(MOMENT.replace("%fZ", "000Z"))
        said = [_entry("T2", body) for body in pieces(raw)]
        said += [_then(raw)] if raw["unit"]["id"] == "TF-0417" else []
        keep.add(visit, [entry.model_copy(update={"at": at}) for entry in said], "demo")
        live.told(KeptVisit.objects.get(pk=visit.pk))


def _then(raw: dict[str, Any]) -> Entry:
    """The band of 1-road while it was good, from the view in which the visit of now shows its grooves."""
    now = next(
        p for p in pictures() if (p.check, p.condition, p.shows) == ("band surface", "grooves", "part")
    )
    return _file(
        raw, {"position": "1-road"}, now.check, data_of(now.good), "photo", f"rendered: {now.view}: good"
    )


def pieces(raw: dict[str, Any]) -> list[dict[str, Any]]:
    """A visit file as the entries that people would have made of it: one for each answer, reading and line of the return sheet."""
    head = {k: _day(v) for k, v in raw.items() if k not in {"corner", "done", "return_sheet"}}
    out: list[dict[str, Any]] = [head, *({"done": [_day(row)]} for row in raw.get("done", ()))]
    sheet = raw.get("return_sheet", {})
    out += [{"return_sheet": {k: v}} for k, v in sheet.items() if k != "wheel"]
    for wheel in sheet.get("wheel", ()):
        at = wheel["position"]
        out += [
            {"return_sheet": {"wheel": [{"position": at, k: v}]}} for k, v in wheel.items() if k != "position"
        ]
    for corner in raw["corner"]:
        rest = {k: v for k, v in corner.items() if k not in SPLIT}
        out += [{"corner": [rest]}] if set(rest) > {"position"} else []
        for kind in SPLIT:
            out += [
                {"corner": [{"position": corner["position"], kind: [one]}]} for one in corner.get(kind, ())
            ]
    return out


def _day(value: Any) -> Any:
    """Days as text, as they travel."""
    if hasattr(value, "isoformat"):
        return value.isoformat()
    if isinstance(value, dict):
        return {k: _day(v) for k, v in value.items()}
    return [_day(v) for v in value] if isinstance(value, list) else value


def _files(raw: dict[str, Any]) -> list[Entry]:
    """A rendered picture for each finding that the atlas shows, and a simulated tap where a drum was rung."""
    shown = {(p.check, p.condition): p for p in reversed(pictures()) if p.shows == "part"}
    out = []
    for corner in raw["corner"]:
        for answer in [a for how in ("look", "feel") for a in corner.get(how, ())]:
            words = answer["found"] if isinstance(answer["found"], list) else [answer["found"]]
            for picture in [p for w in words if (p := shown.get((answer["check"], w)))]:
                out.append(
                    _file(
                        raw,
                        corner,
                        answer["check"],
                        data_of(picture.file),
                        "photo",
                        f"rendered: {picture.said}",
                    )
                )
        if corner.get("ring"):
            out.append(
                _file(raw, corner, "ring", tapped(), "sound", "simulated: five taps on a drum that never was")
            )
    return out


def _file(
    raw: dict[str, Any], corner: dict[str, Any], check: str, data: bytes, kind: str, said: str
) -> Entry:
    original = kept([data])
    assert isinstance(original, Original)  # ours, and tested
    body = {
        "sha256": original.sha256,
        "position": corner["position"],
        "check": check,
        "name": said,
        "said": said,
    }
    return _entry(raw["technician"], body, kind)


def _entry(by: str, body: dict[str, Any], kind: str = "piece") -> Entry:
    return Entry.model_validate(
        {"id": secrets.token_hex(16), "at": keep.now(), "by": by, "kind": kind, "body": body}
    )


def tapped(taps: int = 5, seed: int = 7) -> bytes:
    """A simulated recording: damped pairs of tones at each tap, in quiet noise. No drum was struck for it.

    Args:
        taps: how many, 0.9 s apart.
        seed: for the noise.

    Returns:
        A wav file, mono, 16 bit.
    """
    dice = np.random.default_rng(seed)
    out = dice.normal(0, 0.001, int(RATE * (0.5 + 0.9 * taps)))
    tones = (
        (465.7, 7.0, 0.7),
        (469.1, 7.4, 0.5),
        (1046.9, 11.0, 0.6),
        (1052.8, 11.6, 0.5),
        (1848.4, 17.0, 0.5),
        (2716.0, 24.0, 0.4),
        (3462.2, 31.0, 0.5),
    )
    for tap in range(taps):
        start = int(RATE * (0.4 + 0.9 * tap))
        t = np.arange(min(int(0.85 * RATE), len(out) - start)) / RATE
        out[start : start + len(t)] += sum(
            a * np.exp(-d * t) * np.sin(2 * np.pi * f * t) for f, d, a in tones
        )
    whole = io.BytesIO()
    with wave.open(whole, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes((0.7 * 32767 * out / np.abs(out).max()).astype("<i2").tobytes())
    return whole.getvalue()
