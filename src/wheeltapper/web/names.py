"""Names and shorts of people: what stands beside an answer."""

from __future__ import annotations

import re
from unicodedata import normalize

from wheeltapper.problems import Problem
from wheeltapper.store.models import KeptEntry, Person

LOGIN = re.compile(r"[a-z0-9][a-z0-9._-]{1,39}")
SHORT = re.compile(r"[A-Z0-9]{1,8}")


def short_from(name: str) -> str:
    """First letters of first and last name, with a number where somebody has or had them already."""
    plain = normalize("NFKD", name).encode("ascii", "ignore").decode()
    words = re.findall(r"[A-Za-z0-9]+", plain) or ["P"]
    letters: str = (words[0][0] + (words[-1][0] if len(words) > 1 else "")).upper()
    number, short = 1, letters
    while short_is_taken(short):
        number += 1
        short = f"{letters}{number}"
    return short


def short_is_taken(short: str, besides: int = 0) -> bool:
    """Somebody has it, or answers carry it: nobody's answers may become another's."""
    return Person.objects.filter(short=short).exclude(pk=besides).exists() or answers_carry(short)


def answers_carry(short: str) -> bool:
    """Whether any kept answer has this name beside it."""
    return KeptEntry.objects.filter(by=short).exists()


def slips_of_names(typed: dict[str, str]) -> list[Problem]:
    """What is wrong with a new person's name and login."""
    slips = []
    if not 1 <= len(typed["name"]) <= 80 or not typed["name"].isprintable():
        slips.append(
            Problem("name", "it is empty or too long", "write first and last name, 80 letters at most.")
        )
    if not LOGIN.fullmatch(typed["login"]):
        slips.append(
            Problem(
                "login", "it is not 2 to 40 letters and digits", "write a short word, like jo or j.tanner."
            )
        )
    elif Person.objects.filter(login=typed["login"]).exists():
        slips.append(Problem("login", f"somebody has '{typed['login']}' already", "take another."))
    return slips
