"""The return sheet: what goes back on, how it was set and tightened, and what holds the trailer until it may roll.

Each line is an entry of its own and stands instead of those that this page showed for it, and of no other: what another phone
said meanwhile stays, differs, and holds the trailer. Nothing is answered beforehand. May it roll? `disposition/release.py` alone says.
"""

from __future__ import annotations

import json
import secrets
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.views.decorators.http import require_http_methods, require_safe
from pydantic import ValidationError

from wheeltapper.disposition.release import is_replaced
from wheeltapper.flow import Examination
from wheeltapper.plan.fitting import fits, small_material
from wheeltapper.problems import Problem
from wheeltapper.records import Gauge, Visit
from wheeltapper.report import refitted, wording
from wheeltapper.report.drawing_star import star, studs_of
from wheeltapper.report.wording import reader_for
from wheeltapper.store import keep
from wheeltapper.store.entries import Entry
from wheeltapper.store.models import KeptVisit, Person
from wheeltapper.units import WORKOUT_UNITS
from wheeltapper.web import live
from wheeltapper.web.back_lines import AFTER, SOURCES, Lines
from wheeltapper.web.live import Live
from wheeltapper.web.who import Asked, device_key, needs
from wheeltapper.words import TRAILER, positions

WRENCH = "torque wrench"
DOUBTS = ("2 %", "3 %", "4 %", "6 %")  # as certificates of hand torque wrenches print them: from memory
RECENT = 60  # visits in which to look for the shop's wrenches


@dataclass(frozen=True)
class Bench:
    """Bench work that a part owes."""

    position: str
    part: str
    why: tuple[str, ...]
    ids: tuple[str, ...]  # entries that say it was done
    after: str
    photos: tuple[tuple[str, str], ...]  # hash, and what a done-mark calls it


@needs("corner")
@require_safe
def back(request: Asked, number: str) -> HttpResponse:
    """The trailer's page; with ?part only what changes when an answer comes."""
    now, ex = _known(number)
    template = "back/trailer_part.html" if "part" in request.GET else "back/trailer.html"
    return render(request, template, _trailer(now, ex))


@needs("corner")
@require_safe
def wheel(request: Asked, number: str, position: str) -> HttpResponse:
    """One wheel's page."""
    now, ex = _known(number)
    if position not in positions(ex.visit.unit.axles):
        raise Http404(f"This trailer has no wheel {position}.")
    template = "back/wheel_part.html" if "part" in request.GET else "back/wheel.html"
    return render(request, template, _wheel(request, now, ex, position))


def _known(number: str) -> tuple[Live, Examination]:
    now = live.told(live.named(number))
    if now.examination is None:
        raise Http404("The gate comes first: say which trailer it is.")
    return now, now.examination


def _shared(now: Live, ex: Examination, position: str) -> dict[str, Any]:
    """What both pages show."""
    here = positions(ex.visit.unit.axles)
    return {
        "kept": now.kept, "visit": ex.visit, "position": position, "state": ex.release, "owed": refitted.owed_here(ex, position),
        "notes": refitted.explained(ex, position, reader_for(ex.visit)), "wheels": [(p, len(refitted.owed_here(ex, p))) for p in (TRAILER, *here)],
        "opened": ex.visit.scope == "hub service", "electric": ex.visit.unit.brake == "electric drum", "disc": ex.visit.unit.brake == "hydraulic disc",
    }  # fmt: skip


def _trailer(now: Live, ex: Examination) -> dict[str, Any]:
    lines, here = Lines(now, ex.visit), positions(ex.visit.unit.axles)
    work, reader = ex.estimate.least_lines, reader_for(ex.visit)
    rows, ids = fits(ex.visit, work, ex.calls, ex.tables), _done_ids(now)
    mates = refitted.beside_mates(ex, reader)
    told = {p: refitted.explained(ex, p, reader) for p in here}
    return _shared(now, ex, TRAILER) | {
        "held": refitted.held_besides(ex), "bench": tuple(_bench(now, ex)), "small": small_material(work, ex.tables),
        "fit": [(p, [(f, " ".join(ids.get((p, f.part), ()))) for f in rows if f.position == p]) for p in here],
        "brakes": lines.of(TRAILER, "adjusted", "breakaway_locks"), "feed": lines.of(TRAILER, "plug_volts", "total_amps"),
        "magnets": [x for p in here for x in lines.of(p, "magnet_volts")], "run": lines.of(TRAILER, "bedding_stops", "run_miles"),
        "hubs": [(x, mates.get(x.place, "")) for p in here for x in lines.of(p, "hub_temperature")], "out": lines.of(TRAILER, "out")[0],
        "feed_failed": refitted.failed(ex, "feed"), "heat_failed": refitted.failed(ex, "heat"),
        "legs": [(p, said) for p in here for said in told[p].get("leg", ())], "warm": [(p, said) for p in here for said in told[p].get("hub_heat", ())],
    }  # fmt: skip


def _wheel(request: Asked, now: Live, ex: Examination, position: str) -> dict[str, Any]:
    lines, visit = Lines(now, ex.visit), ex.visit
    here = positions(visit.unit.axles)
    after = here[here.index(position) + 1] if position != here[-1] else ""
    studs = studs_of(visit.unit.bolt_pattern)
    torque = lines.of(position, "torque")[0]
    by = {t.get("by") for t in torque.values}
    owed = refitted.owed_here(ex, position)
    return _shared(now, ex, position) | {
        "after": after, "here": [o for o in owed if not o.about], "together": [o for o in owed if o.about],
        "setting": lines.of(position, "method", "seat_torque", "back_off", "end_play", "gauge"),
        "fresh": lines.of(position, "new_seal", "new_pin", "faces_clean", "seats_match"), "nut": lines.of(position, "nut"),
        "torque": torque, "settings": refitted.settings(ex), "end_plays": refitted.end_plays(ex), "published": refitted.torques(ex),
        "star": star(studs) if studs else "", "stages": ex.tables.stages, "stage_source": "; ".join(dict.fromkeys(wording.source(s.source, ex.tables) for s in ex.tables.stages)),
        "sources": SOURCES, "wrenches": list(wrenches(visit)), "torque_units": [(u, WORKOUT_UNITS[u].scale) for u in ("ft-lb", "N m")],
        "others": Person.objects.filter(is_active=True).exclude(short__in=[b for b in by if b]),
        "same_setting": _same(lines, here, position, ("method", "seat_torque", "back_off", "gauge")), "same_torque": _same(lines, here, position, ("nut", "torque")),
    }  # fmt: skip


def _same(
    lines: Lines, here: tuple[str, ...], position: str, fields: tuple[str, ...]
) -> dict[str, Any] | None:
    """What the wheel before says of these, one value each; taken over by a tap, never by itself.

    Not who tightened it, nor who read it after him: neither was at this wheel.
    """
    at = here.index(position)
    before = [*reversed(here[:at]), *here[at + 1 :]]
    for other in before:
        known = [x.of_anybody() for x in lines.of(other, *fields) if len(x.values) == 1]
        if {x.field for x in known} & {fields[0], fields[-1]}:
            rows = json.dumps({x.field: x.values[0] for x in known})
            return {"wheel": other, "rows": rows, "said": [x.shown for x in known]}
    return None


def _done_ids(now: Live) -> dict[tuple[str, str], tuple[str, ...]]:
    """Entries that say nothing but that one piece of work was done, by place and part."""
    out: dict[tuple[str, str], tuple[str, ...]] = {}
    for entry in now.folded.standing:
        rows = list(entry.body.get("done", ())) if entry.kind == "piece" else []
        if len(rows) == 1 and set(entry.body) == {"done"}:
            place = rows[0]["position"], rows[0]["part"]
            out[place] = (*out.get(place, ()), entry.id)
    return out


def _bench(now: Live, ex: Examination) -> Iterator[Bench]:
    """Bench work that the gate asks for, and what was done of it."""
    ids = _done_ids(now)
    for call in ex.calls:
        rules = tuple(r for r in (*call.rules, *call.milder) if r in ex.tables.dress_rules)
        done = [d for d in ex.visit.done if (d.position, d.part) == call.place]
        owed = any(b.startswith(f"{call.position} {call.part}: bench work") for b in ex.release.because)
        if rules and (owed or (done and not is_replaced(call.place, ex.visit))):
            why = tuple(wording.rule_why(r, ex.tables) for r in rules)
            after = next((d.after for d in done if d.after), "")
            shown = tuple(
                (f.sha256, f.called) for e, f in now.folded.files
                if e.kind == "photo" and (f.position, f.check) == (call.position, f"{AFTER}{call.part}")
            )  # fmt: skip
            yield Bench(call.position, call.part, why, ids.get(call.place, ()), after or "", shown)


def wrenches(visit: Visit) -> Iterator[tuple[Gauge, bool]]:
    """The wrenches to pick from; True where this visit has it already. The newest word on each counts."""
    seen = set()
    for gauge in visit.gauge:
        if gauge.kind == WRENCH and gauge.id not in seen:
            seen.add(gauge.id)
            yield gauge, True
    recent = KeptVisit.objects.exclude(summary={}).values_list("summary", flat=True)[:RECENT]
    for raw in (g for s in recent for g in s.get("gauges", ())):
        if raw.get("kind") == WRENCH and raw["id"] not in seen:
            seen.add(raw["id"])
            yield Gauge.model_validate(raw), False


@needs("corner")
@require_http_methods(["GET", "POST"])
def wrench(request: Asked, number: str) -> HttpResponse:
    """A torque wrench that is not on the list, or one that came back from calibration."""
    now, ex = _known(number)
    asked = request.GET.get("wheel", "")
    to = asked if asked in positions(ex.visit.unit.axles) else positions(ex.visit.unit.axles)[0]
    slips: tuple[Problem, ...] = ()
    if request.method == "POST":
        slips = _wrench_kept(request, now, ex.visit)
        if not slips:
            return redirect("back-wheel", number, to)
    context = {
        "kept": now.kept,
        "visit": ex.visit,
        "problems": slips,
        "typed": request.POST,
        "doubts": DOUBTS,
        "to": to,
    }
    return render(request, "back/wrench.html", context, status=422 if slips else 200)


def _wrench_kept(request: Asked, now: Live, visit: Visit) -> tuple[Problem, ...]:
    """Keep it; an earlier word on the same wrench in this visit counts no more."""
    post: Mapping[str, str] = request.POST
    name, doubt, day = (" ".join(post.get(k, "").split()) for k in ("id", "doubt", "calibrated"))
    row = {"id": name, "kind": WRENCH, "u": [doubt]} | ({"calibrated": day} if day else {})
    if not name or len(name) > 40 or not name.isprintable():
        return (
            Problem(
                "wrench", "it has no name, or one too long", "write what is on it, W7, 40 letters at most."
            ),
        )
    if doubt not in DOUBTS:
        return (Problem("how far off it may be", "nothing was picked", "pick what its certificate says."),)
    try:
        known = Gauge.model_validate(row)
    except ValidationError:
        return (
            Problem(
                "calibration day", f"'{day[:40]}' is not a day", "write it as year-month-day, 2026-03-02."
            ),
        )
    if known.calibrated and known.calibrated > visit.date:
        return (
            Problem(
                "calibration day", f"{known.calibrated} is after this visit", "read the certificate again."
            ),
        )
    if any(g.id == name and g.kind != WRENCH for g in visit.gauge):
        return (Problem("wrench", f"'{name}' is another gauge of this visit", "write another name on it."),)
    older = tuple(
        e.id for e in now.folded.standing
        if e.kind == "piece" and set(e.body) == {"gauge"} and [g["id"] for g in e.body["gauge"]] == [known.id]
    )  # fmt: skip
    entry = Entry(
        id=secrets.token_hex(16), at=keep.now(), by=request.user.short, kind="piece", instead_of=older, body={"gauge": [row]}
    )  # fmt: skip
    keep.add(now.kept, [entry], device_key(request))
    return ()


PATHS = [
    path("visit/<str:number>/back", back, name="back"),
    path("visit/<str:number>/back/wrench", wrench, name="back-wrench"),
    path("visit/<str:number>/back/<str:position>", wheel, name="back-wheel"),
]
