"""Whose answer it is: roles, the device, the session, and what stands before every screen.

A full sign-in (login and password) is good on one device for FULL_HOURS; within them four digits are enough there. A session
is a `SignedIn` row: take the row away and it has ended, at once. The screens are in sign_in.py and people.py.
"""

from __future__ import annotations

import os
import secrets
from base64 import urlsafe_b64encode
from collections.abc import Callable
from datetime import datetime, timedelta
from functools import wraps
from hashlib import sha256
from typing import Any, Literal, get_args
from urllib.parse import urlencode

from django.conf import settings
from django.contrib.auth import login, logout
from django.contrib.auth.backends import BaseBackend
from django.contrib.auth.hashers import Argon2PasswordHasher, check_password
from django.db.models import F
from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme

from wheeltapper.problems import Problem
from wheeltapper.store.models import BayPin, Device, Person, SignedIn

FULL_HOURS = 12  # a shift: after it, login and password again
WRONG_PINS = 5  # so many wrong ones take the PIN away on that device
COOKIE = "device"
COOKIE_DAYS = 400  # browsers keep none longer
SEEN_EVERY = timedelta(minutes=10)  # writing it down at every request would make every page wait for the disk

Action = Literal[
    "yard", "gate", "corner", "bench", "photos", "why", "calls", "table", "answers", "second_look", "people_list", "people",
    "all_devices", "estimate", "books",
]  # fmt: skip
ACTIONS: tuple[Action, ...] = get_args(Action)
_BAY: frozenset[Action] = frozenset({"yard", "gate", "corner", "bench", "photos", "why", "calls"})
MAY: dict[str, frozenset[Action]] = {
    "apprentice": _BAY,
    "technician": _BAY,
    "lead": _BAY | {"table", "answers", "second_look", "people_list", "all_devices", "estimate", "books"},
    "counter": frozenset({"yard", "gate", "calls", "table", "answers", "estimate"}),
    "owner": frozenset(ACTIONS),
}
View = Callable[..., HttpResponseBase]


class Asked(HttpRequest):
    """A request as the screens get it: behind the sign-in `user` is a Person."""

    user: Person
    device: Device | None
    signed_in: SignedIn | None


def device_key(request: Asked) -> str:
    """What entries name this device by; behind the sign-in there is one."""
    assert request.device is not None
    return request.device.key


class Argon2(Argon2PasswordHasher):
    """Argon2id with 19 MiB and two passes: a guess costs, and eight people signing in at once do not fill an old PC."""

    time_cost = 2
    memory_cost = int(os.environ.get("WHEELTAPPER_ARGON2_KIB", "19456"))  # tests ask for less
    parallelism = 1


class PinBackend(BaseBackend):
    """Four digits, on a device where this person signed in fully a short while ago."""

    def authenticate(self, request: HttpRequest | None, *, known: BayPin, pin: str) -> Person | None:  # type: ignore[override]
        """The person, or None; the try is counted before it is looked at, so that many at once win nothing."""
        if not pin_is_good(known):
            return None
        counted = (
            BayPin.objects.filter(pk=known.pk, wrong__lt=WRONG_PINS)
            .exclude(pin="")
            .update(wrong=F("wrong") + 1)
        )
        if not counted:
            return None
        if check_password(pin, known.pin):
            BayPin.objects.filter(pk=known.pk).update(wrong=0)
            return known.person
        BayPin.objects.filter(pk=known.pk, wrong__gte=WRONG_PINS).update(pin="", full_at=None, wrong=0)
        return None

    def get_user(self, user_id: int) -> Person | None:
        """For the sessions this backend began."""
        return Person.objects.filter(pk=user_id, is_active=True).first()


def pin_is_good(known: BayPin) -> bool:
    """Whether four digits are enough for this person on this device now."""
    return (
        bool(known.pin)
        and not known.device.revoked
        and known.person.is_active
        and good_until(known) > timezone.now()
    )


def good_until(known: BayPin) -> datetime:
    """When the last full sign-in of this person on this device is used up."""
    return (known.full_at + timedelta(hours=FULL_HOURS)) if known.full_at else timezone.now()


def may(person: Any, action: Action) -> bool:
    """Whether somebody's role has this in it; nobody's has not."""
    return isinstance(person, Person) and action in MAY[person.role]


def needs(action: Action) -> Callable[[View], View]:
    """A screen or action for those whose role has it; the others are told whom to ask."""
    if action not in ACTIONS:
        raise ValueError(f"there is no action '{action}' in who.py")

    def decorate(view: View) -> View:
        @wraps(view)
        def guarded(request: Asked, *args: Any, **kwargs: Any) -> HttpResponseBase:
            return view(request, *args, **kwargs) if may(request.user, action) else refused(request, action)

        return guarded

    return decorate


def open_to_all(view: View) -> View:
    """A screen that stands before the sign-in."""
    view.open_to_all = True  # type: ignore[attr-defined]
    return view


def before_own_password(view: View) -> View:
    """A screen for somebody who still has the first password."""
    view.before_own_password = True  # type: ignore[attr-defined]
    return view


def refused(request: Asked, action: Action) -> HttpResponseBase:
    """Says for whom it is and who they are."""
    roles = [role for role, has in MAY.items() if action in has]
    what = f"this is for {' and '.join(roles)}"
    them = Person.objects.filter(role__in=roles, is_active=True).order_by("name")
    if wants_json(request):
        return JsonResponse(
            {"problems": [{"where": "role", "what": what, "do": "ask one of them."}]}, status=403
        )
    return render(request, "who/refused.html", {"what": what, "them": them}, status=403)


def wants_json(request: Asked) -> bool:
    """A script asks, not a page."""
    return "application/json" in request.headers.get("Accept", "")


def safe_next(request: Asked, otherwise: str = "/") -> str:
    """Where to go on, from the form or the address; never off this server."""
    asked = request.POST.get("next") or request.GET.get("next") or ""
    here = url_has_allowed_host_and_scheme(asked, {request.get_host()}, require_https=request.is_secure())
    return asked if here and asked.startswith("/") else otherwise


def key_of(token: str) -> str:
    """What is kept of a device's cookie: nobody who reads the database, or an entry, can make the cookie from it."""
    return urlsafe_b64encode(sha256(token.encode()).digest()).decode().rstrip("=")


def known_device(request: Asked, response: HttpResponse) -> Device:
    """This device; a new one gets its cookie with the response."""
    if request.device is not None:
        return request.device
    token = secrets.token_urlsafe(32)
    device = Device.objects.create(key=key_of(token), said=request.headers.get("User-Agent", "")[:120])
    response.set_cookie(
        COOKIE, token, max_age=COOKIE_DAYS * 24 * 3600, httponly=True, samesite="Lax", secure=settings.SECURE
    )
    request.device = device
    return device


def begin(request: Asked, known: BayPin, by_pin: bool) -> None:
    """A session for a person on a device; what the session before it held is gone."""
    leave(request)
    backend = "wheeltapper.web.who.PinBackend" if by_pin else "django.contrib.auth.backends.ModelBackend"
    login(request, known.person, backend=backend)
    request.session.save()
    assert request.session.session_key
    SignedIn.objects.create(
        session_key=request.session.session_key, person=known.person, device=known.device, by_pin=by_pin,
        until=good_until(known),
    )  # fmt: skip


def leave(request: Asked) -> None:
    """End this browser's session."""
    if request.session.session_key:
        SignedIn.objects.filter(session_key=request.session.session_key).delete()
    logout(request)


class WhoMiddleware:
    """Puts `device` and a person whose session stands on every request; nobody gets past without, unless a view is open to all."""

    def __init__(self, get_response: Callable[[Asked], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: Asked) -> HttpResponse:
        """See who it is, then go on."""
        token = request.COOKIES.get(COOKIE)
        device = Device.objects.filter(key=key_of(token), revoked=False).first() if token else None
        request.device = device
        request.signed_in = None
        if settings.SESSION_COOKIE_NAME in request.COOKIES and request.user.is_authenticated:
            request.signed_in = _standing(request, device)
            if request.signed_in is None:
                leave(request)
        return self.get_response(request)

    def process_view(
        self, request: Asked, view: View, args: tuple[Any, ...], kwargs: dict[str, Any]
    ) -> HttpResponseBase | None:
        """Before a screen: sign in, or the first start, or one's own password."""
        if getattr(view, "open_to_all", False):
            return None
        if not request.user.is_authenticated:
            return _to_sign_in(request)
        if request.user.first_password and not getattr(view, "before_own_password", False):
            return redirect("own-password")
        return None


def _standing(request: Asked, device: Device | None) -> SignedIn | None:
    """The session's row, if it still holds on this device; a cookie carried to another device is none."""
    if device is None:
        return None
    now = timezone.now()
    row = SignedIn.objects.filter(
        session_key=request.session.session_key, device=device, until__gt=now
    ).first()
    if row is not None and now - row.last_seen > SEEN_EVERY:
        SignedIn.objects.filter(pk=row.pk).update(last_seen=now)
        Device.objects.filter(pk=device.pk).update(last_seen=now)
    return row


def _to_sign_in(request: Asked) -> HttpResponseBase:
    if wants_json(request):
        slip = Problem(
            "sign-in", "nobody is signed in here", "sign in; what waits on this device is sent then."
        )
        return JsonResponse(
            {"problems": [{"where": slip.where, "what": slip.what, "do": slip.do}]}, status=401
        )
    if not Person.objects.exists():
        return redirect("first-start")
    back = {"next": request.get_full_path()} if request.method == "GET" and request.path != "/" else {}
    return redirect(settings.LOGIN_URL + (f"?{urlencode(back)}" if back else ""))


def on_every_page(request: HttpRequest) -> dict[str, Any]:
    """For every template: `who` answers carry the name of, and what that role may use (`may.gate`)."""
    person = getattr(request, "user", None)
    who = person if isinstance(person, Person) or getattr(person, "is_authenticated", False) else None
    return {"who": who, "may": {action: True for action in ACTIONS if may(who, action)}}


def locked_out(
    request: HttpRequest, response: HttpResponse | None = None, credentials: dict[str, Any] | None = None
) -> HttpResponse:
    """Too many wrong passwords: says how long it lasts."""
    minutes = round(settings.AXES_COOLOFF_TIME * 60)
    slip = Problem(
        "sign-in",
        f"{settings.AXES_FAILURE_LIMIT} wrong passwords for this login from this device",
        f"wait {minutes} minutes, then try again, or ask the owner for a new first password.",
    )
    return render(request, "who/locked.html", {"problems": [slip]}, status=429)
