"""The people who work here, their devices and sessions. Nobody is deleted: the name stands in records."""

from __future__ import annotations

import secrets
from collections.abc import Iterable

from django.contrib.auth.hashers import make_password
from django.db import IntegrityError, transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from wheeltapper.problems import Problem
from wheeltapper.store.models import ROLES, BayPin, Device, Person, SignedIn
from wheeltapper.web.names import SHORT, answers_carry, short_from, short_is_taken, slips_of_names
from wheeltapper.web.who import Asked, may, needs, refused

LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"  # no l, i, o, 0, 1: it is read off a screen and typed


@needs("people_list")
@never_cache
@require_http_methods(["GET"])
def people(request: Asked) -> HttpResponse:
    """Everybody, those who left last."""
    return render(request, "who/people.html", {"them": Person.objects.order_by("-is_active", "name")})


@needs("people")
@never_cache
@require_http_methods(["GET", "POST"])
def new_person(request: Asked) -> HttpResponse:
    """Add somebody; the first password is shown once."""
    typed = {k: request.POST.get(k, "").strip() for k in ("name", "login", "role", "short")}
    typed = {**typed, "login": typed["login"].lower(), "short": typed["short"].upper()}
    if request.method == "GET":
        return render(request, "who/new_person.html", {"typed": typed, "roles": ROLES})
    slips = [*slips_of_names(typed), *_slips_of_role(typed["role"])]
    slips += _slips_of_short(typed["short"]) if typed["short"] else []
    first = first_password()
    made = None if slips else _made(typed, first)
    if made is None:
        slips = slips or [Problem("name", "somebody took that login or short just now", "take another.")]
        context = {"typed": typed, "roles": ROLES, "problems": slips}
        return render(request, "who/new_person.html", context, status=422)
    return render(request, "who/first_password.html", {"person": made, "first": first})


def first_password() -> str:
    """Good for one sign-in: 12 letters and digits (59 bits), in threes."""
    return "-".join("".join(secrets.choice(LETTERS) for _ in range(3)) for _ in range(4))


def _made(typed: dict[str, str], first: str) -> Person | None:
    hashed = make_password(first)  # slow, so before the transaction
    try:
        with transaction.atomic():
            short = typed["short"] or short_from(typed["name"])
            return Person.objects.create(
                login=typed["login"],
                name=typed["name"],
                short=short,
                role=typed["role"],
                password=hashed,
                first_password=True,
            )
    except IntegrityError:
        return None


def _slips_of_role(role: str) -> list[Problem]:
    return [] if role in ROLES else [Problem("role", "none was chosen", f"take one of: {', '.join(ROLES)}.")]


def _slips_of_short(short: str, person: Person | None = None) -> list[Problem]:
    if person is not None and short == person.short:
        return []
    if not SHORT.fullmatch(short):
        return [Problem("short", "it is not 1 to 8 letters and digits", "write initials, like JT.")]
    if person is not None and answers_carry(person.short):
        do = "leave it; who answered must stay readable."
        return [Problem("short", f"answers carry '{person.short}' already", do)]
    if short_is_taken(short, person.pk if person else 0):
        return [Problem("short", f"'{short}' is somebody's, or was", "take another.")]
    return []


@needs("people_list")
@never_cache
@require_http_methods(["GET", "POST"])
def one_person(request: Asked, person: int) -> HttpResponse:
    """Somebody's role, short and devices."""
    them = get_object_or_404(Person, pk=person)
    if request.method == "POST" and not may(request.user, "people"):
        return refused(request, "people")  # type: ignore[return-value]
    typed = {"role": request.POST.get("role", them.role), "short": request.POST.get("short", them.short)}
    typed["short"] = typed["short"].strip().upper()
    slips: list[Problem] = []
    if request.method == "POST":
        slips = [*_slips_of_role(typed["role"]), *_slips_of_short(typed["short"], them)]
        slips = slips or _changed(them, typed)
        if not slips:
            return redirect("one-person", them.pk)
        them.refresh_from_db()
    context = {"them": them, "typed": typed, "roles": ROLES, "problems": slips, **_devices_of(them)}
    return render(request, "who/one_person.html", context, status=422 if slips else 200)


def _changed(them: Person, typed: dict[str, str]) -> list[Problem]:
    with transaction.atomic():
        if typed["role"] != "owner" and _last_owner(them):
            return [_owner_needed("role")]
        Person.objects.filter(pk=them.pk).update(role=typed["role"], short=typed["short"])
    return []


def _last_owner(them: Person) -> bool:
    others = Person.objects.filter(role="owner", is_active=True).exclude(pk=them.pk)
    now = Person.objects.get(pk=them.pk)
    return now.role == "owner" and now.is_active and not others.exists()


def _owner_needed(where: str) -> Problem:
    return Problem(where, "nobody else is owner here", "make somebody else owner first.")


@needs("people")
@require_http_methods(["POST"])
def working_here(request: Asked, person: int) -> HttpResponse:
    """Somebody left, or is back; who left is signed out at once."""
    them = get_object_or_404(Person, pk=person)
    back = request.POST.get("here") == "yes"
    with transaction.atomic():
        if not back and _last_owner(them):
            context = {
                "them": Person.objects.order_by("-is_active", "name"),
                "problems": [_owner_needed("people")],
            }
            return render(request, "who/people.html", context, status=422)
        Person.objects.filter(pk=them.pk).update(is_active=back)
        if not back:
            sign_out(SignedIn.objects.filter(person=them))
            BayPin.objects.filter(person=them).delete()
    return redirect("people")


@needs("people")
@never_cache
@require_http_methods(["POST"])
def new_first_password(request: Asked, person: int) -> HttpResponse:
    """For somebody who forgot theirs; signed out everywhere, no PIN is good until the next full sign-in."""
    them = get_object_or_404(Person, pk=person, is_active=True)
    return render(request, "who/first_password.html", {"person": them, "first": let_in(them)})


def let_in(them: Person) -> str:
    """A new first password instead of the one they had; every session and PIN of theirs ends."""
    first = first_password()
    hashed = make_password(first)
    with transaction.atomic():
        Person.objects.filter(pk=them.pk).update(password=hashed, first_password=True)
        sign_out(SignedIn.objects.filter(person=them))
        BayPin.objects.filter(person=them).delete()
    return first


@never_cache
@require_http_methods(["GET"])
def me(request: Asked) -> HttpResponse:
    """One's own devices."""
    assert isinstance(request.user, Person)
    return render(request, "who/me.html", _devices_of(request.user))


def _devices_of(person: Person) -> dict[str, object]:
    """Where somebody is signed in now, and where four digits are known."""
    sessions = SignedIn.objects.select_related("device").filter(person=person, until__gt=timezone.now())
    known = BayPin.objects.select_related("device").filter(person=person, device__revoked=False)
    return {
        "sessions": sessions.order_by("-last_seen"),
        "known": known.order_by("-device__last_seen"),
        "of": person,
    }


@require_http_methods(["POST"])
def end_session(request: Asked, session: int) -> HttpResponse:
    """End one session: one's own, or anybody's for who may see all devices. The PIN of that person goes from that device too."""
    row = get_object_or_404(SignedIn, pk=session)
    return _ended(
        request,
        row.person,
        SignedIn.objects.filter(pk=row.pk),
        BayPin.objects.filter(person=row.person, device=row.device),
    )


@require_http_methods(["POST"])
def end_all(request: Asked, person: int) -> HttpResponse:
    """End every session of a person, on every device, and forget the PINs."""
    them = get_object_or_404(Person, pk=person)
    return _ended(request, them, SignedIn.objects.filter(person=them), BayPin.objects.filter(person=them))


@require_http_methods(["POST"])
def forget(request: Asked, known: int) -> HttpResponse:
    """Take somebody's name and PIN off a device."""
    row = get_object_or_404(BayPin, pk=known)
    sessions = SignedIn.objects.filter(person=row.person, device=row.device)
    return _ended(request, row.person, sessions, BayPin.objects.filter(pk=row.pk))


def _ended(request: Asked, of: Person, sessions: Iterable[SignedIn], known: Iterable[BayPin]) -> HttpResponse:
    if of != request.user and not may(request.user, "all_devices"):
        return refused(request, "all_devices")  # type: ignore[return-value]
    sign_out(sessions)
    for pin in known:
        pin.delete()
    return redirect("me") if of == request.user else redirect("one-person", of.pk)


def sign_out(sessions: Iterable[SignedIn]) -> None:
    """These end now: the next request of each finds nobody signed in."""
    from django.contrib.sessions.models import Session

    rows = list(sessions)
    Session.objects.filter(session_key__in=[r.session_key for r in rows]).delete()
    SignedIn.objects.filter(pk__in=[r.pk for r in rows]).delete()


@needs("all_devices")
@never_cache
@require_http_methods(["GET"])
def devices(request: Asked) -> HttpResponse:
    """Every device, who is known on it and who is signed in."""
    them = Device.objects.prefetch_related("baypin_set__person", "signedin_set__person").order_by(
        "revoked", "-last_seen"
    )
    return render(request, "who/devices.html", {"them": them})


@needs("all_devices")
@require_http_methods(["POST"])
def revoke_device(request: Asked, device: int) -> HttpResponse:
    """A phone that is lost: everybody on it is signed out, no PIN is good on it. It may sign in fully as a new one."""
    row = get_object_or_404(Device, pk=device)
    with transaction.atomic():
        Device.objects.filter(pk=row.pk).update(revoked=True)
        sign_out(SignedIn.objects.filter(device=row))
        BayPin.objects.filter(device=row).delete()
    return redirect("devices")


PATHS = [
    path("people", people, name="people"),
    path("people/new", new_person, name="new-person"),
    path("people/<int:person>", one_person, name="one-person"),
    path("people/<int:person>/here", working_here, name="working-here"),
    path("people/<int:person>/first-password", new_first_password, name="new-first-password"),
    path("people/<int:person>/sign-out", end_all, name="end-all"),
    path("me", me, name="me"),
    path("sessions/<int:session>/end", end_session, name="end-session"),
    path("known/<int:known>/forget", forget, name="forget"),
    path("devices", devices, name="devices"),
    path("devices/<int:device>/revoke", revoke_device, name="revoke-device"),
]
