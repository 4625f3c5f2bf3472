"""First start, sign-in, the bay PIN, and one's own devices."""

from __future__ import annotations

import re
from urllib.parse import urlencode

from django.contrib.auth import authenticate
from django.contrib.auth.hashers import make_password
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from wheeltapper.problems import Problem
from wheeltapper.store.models import BayPin, Person
from wheeltapper.web.names import short_from, slips_of_names
from wheeltapper.web.who import (
    FULL_HOURS,
    WRONG_PINS,
    Asked,
    PinBackend,
    before_own_password,
    begin,
    known_device,
    leave,
    open_to_all,
    pin_is_good,
    safe_next,
)  # fmt: skip

PIN = re.compile(r"[0-9]{4}")
LINES = ("0123456789", "9876543210", "2580", "0852")  # rows of digits, and the middle of the pad


@open_to_all
@never_cache
@require_http_methods(["GET", "POST"])
def first_start(request: Asked) -> HttpResponse:
    """The owner's account, made in the browser while there is no person at all."""
    if Person.objects.exists():
        return redirect("sign-in")
    if request.method == "GET":
        return render(request, "who/first_start.html", {"typed": {}})
    typed = {k: request.POST.get(k, "").strip() for k in ("name", "login")}
    typed["login"] = typed["login"].lower()
    slips = [*slips_of_names(typed), *slips_of_password(request)]
    if slips:
        return render(request, "who/first_start.html", {"typed": typed, "problems": slips}, status=422)
    owner = _made_owner(typed, request.POST["password"])
    if owner is None:
        return redirect("sign-in")
    return _signed_in(request, owner, safe_next(request))


def _made_owner(typed: dict[str, str], password: str) -> Person | None:
    """The owner, or None if somebody else was first: SQLite lets one writer look and write at a time."""
    hashed = make_password(password)  # slow, so before the transaction
    with transaction.atomic():
        if Person.objects.exists():
            return None
        return Person.objects.create(
            login=typed["login"],
            name=typed["name"],
            short=short_from(typed["name"]),
            role="owner",
            password=hashed,
        )


def slips_of_password(request: Asked) -> list[Problem]:
    """What is wrong with a new password, and with its repeat."""
    password = request.POST.get("password", "")
    if password != request.POST.get("again", ""):
        return [Problem("password again", "it is not the same as the first", "type both once more.")]
    try:
        validate_password(password)
    except ValidationError as slip:
        said = " ".join(slip.messages).rstrip(".")
        return [
            Problem(
                "password",
                said[:1].lower() + said[1:],
                "take three or four words that only you would put together.",
            )
        ]
    return []


@open_to_all
@never_cache
@require_http_methods(["GET", "POST"])
def sign_in(request: Asked) -> HttpResponse:
    """Names known on this device, or login and password."""
    if not Person.objects.exists():
        return redirect("first-start")
    if request.method == "GET":
        return _sign_in_page(request, login=request.GET.get("login", ""), full="login" in request.GET)
    login = request.POST.get("login", "").strip().lower()
    person = authenticate(request, username=login, password=request.POST.get("password", ""))
    if person is None:
        slip = Problem(
            "sign-in",
            "login and password do not go together",
            "type both again; capitals count in the password.",
        )
        return _sign_in_page(request, login, full=True, problems=[slip], status=422)
    return _signed_in(request, person, safe_next(request))


def _sign_in_page(
    request: Asked, login: str, full: bool, problems: list[Problem] | None = None, status: int = 200
) -> HttpResponse:
    here = known_here(request)
    context = {
        "known": here, "login": login, "full": full or not here, "problems": problems or [], "next": safe_next(request),
        "hours": FULL_HOURS,
    }  # fmt: skip
    return render(request, "who/sign_in.html", context, status=status)


def known_here(request: Asked) -> list[BayPin]:
    """Who has signed in fully on this device before, by name."""
    rows = BayPin.objects.select_related("person", "device").filter(
        device=request.device, person__is_active=True
    )
    return list(rows.order_by("person__name")) if request.device else []


def _signed_in(request: Asked, person: Person, on: str) -> HttpResponse:
    """After a full sign-in: own password, then a PIN, then where one was going."""
    response = HttpResponse(status=302)
    device = known_device(request, response)
    known, _ = BayPin.objects.update_or_create(
        person=person, device=device, defaults={"full_at": timezone.now(), "wrong": 0}
    )
    begin(request, known, by_pin=False)
    response["Location"] = (
        on if known.pin and not person.first_password else f"/new-pin?{urlencode({'next': on})}"
    )
    return response


@open_to_all
@never_cache
@require_http_methods(["GET", "POST"])
def pin(request: Asked, person: int) -> HttpResponse:
    """Four taps, for somebody known on this device."""
    known = next((k for k in known_here(request) if k.person_id == person), None)
    if known is None:
        raise Http404("nobody of that number is known on this device")
    again = "/sign-in?" + urlencode({"login": known.person.login, "next": safe_next(request)})
    if not pin_is_good(known):
        return redirect(again)
    if request.method == "POST":
        if PinBackend().authenticate(request, known=known, pin=request.POST.get("pin", "")):
            begin(request, known, by_pin=True)
            return redirect(safe_next(request))
        known.refresh_from_db()
        if not pin_is_good(known):
            return redirect(again)
    slips = [_wrong_pin(known)] if request.method == "POST" else []
    context = {"known": known, "problems": slips, "next": safe_next(request), "again": again}
    return render(request, "who/pin.html", context, status=422 if slips else 200)


def _wrong_pin(known: BayPin) -> Problem:
    left = WRONG_PINS - known.wrong
    return Problem(
        "PIN",
        f"it is not {known.person.name}'s",
        f"tap it again; after {left} more wrong {'one' if left == 1 else 'ones'} login and password are asked for.",
    )


@never_cache
@require_http_methods(["GET", "POST"])
def new_pin(request: Asked) -> HttpResponse:
    """Choose four digits for this device."""
    slips: list[Problem] = []
    if request.method == "POST":
        chosen = request.POST.get("pin", "")
        slips = slips_of_pin(chosen)
        if not slips:
            BayPin.objects.filter(person=request.user, device=request.device).update(
                pin=make_password(chosen), wrong=0
            )
            return redirect(safe_next(request))
    context = {"problems": slips, "next": safe_next(request), "hours": FULL_HOURS}
    return render(request, "who/new_pin.html", context, status=422 if slips else 200)


def slips_of_pin(chosen: str) -> list[Problem]:
    """Why four digits are no PIN: not four, or the first that anybody would try."""
    if not PIN.fullmatch(chosen):
        return [Problem("PIN", "it is not four digits", "tap four digits.")]
    row = any(chosen in line for line in LINES)
    if row or chosen[:2] == chosen[2:] or len(set(chosen)) == 1:
        return [
            Problem(
                "PIN",
                f"{chosen} is among the first that anybody would try",
                "take digits that are no row and no repeat.",
            )
        ]
    return []


@before_own_password
@never_cache
@require_http_methods(["GET", "POST"])
def own_password(request: Asked) -> HttpResponse:
    """Put one's own password in the place of the one that was given; every other session of this person ends."""
    slips: list[Problem] = []
    if request.method == "POST":
        slips = slips_of_password(request)
        if not slips and request.user.check_password(request.POST["password"]):
            slips = [Problem("password", "it is the one you have", "take another.")]
        if not slips:
            return _changed_password(request, request.POST["password"])
    return render(request, "who/own_password.html", {"problems": slips}, status=422 if slips else 200)


def _changed_password(request: Asked, password: str) -> HttpResponse:
    person, known = request.user, BayPin.objects.get(person=request.user, device=request.device)
    assert isinstance(person, Person)
    person.set_password(password)
    person.first_password = False
    person.save(update_fields=["password", "first_password"])
    person.signedin_set.all().delete()
    BayPin.objects.filter(person=person).exclude(pk=known.pk).update(full_at=None)
    known.person = person
    begin(request, known, by_pin=False)
    return redirect("me" if known.pin else "new-pin")


@open_to_all
@require_http_methods(["POST"])
def change_person(request: Asked) -> HttpResponse:
    """One tap: this session ends, and the names known on this device stand there."""
    on = safe_next(request)
    leave(request)
    return redirect(f"/sign-in?{urlencode({'next': on})}")


PATHS = [
    path("first-start", first_start, name="first-start"),
    path("sign-in", sign_in, name="sign-in"),
    path("sign-in/<int:person>", pin, name="pin"),
    path("new-pin", new_pin, name="new-pin"),
    path("own-password", own_password, name="own-password"),
    path("change-person", change_person, name="change-person"),
]
