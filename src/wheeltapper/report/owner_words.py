"""Every word of the owner's page, of what is read out to an owner, of messages and of papers: short, and nothing that was not seen.

For a reader of twelve years. No law is claimed, no shop is blamed, and what may happen is never said to be certain.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date as Date
from types import MappingProxyType

from wheeltapper.plan.schedule import Next
from wheeltapper.report import wording
from wheeltapper.words import CallWord, axle_of, side_of

NAMES = MappingProxyType({
    "hub-drum": "hub and brake drum", "brake-assembly": "brake", "lining": "brake lining", "magnet": "brake magnet",
    "bearing-set": "wheel bearings", "seal": "grease seal", "cap": "dust cap", "studs": "wheel bolts", "nuts": "wheel nuts", "wheel": "wheel",
    "hub-face": "face that holds the wheel", "spindle": "axle end", "axle": "axle", "rotor": "brake disc and hub", "pads": "brake pads",
    "supply": "wiring to the brake", "whole wheel end": "whole wheel end",
})  # fmt: skip
AXLES = {1: ("axle",), 2: ("front axle", "rear axle"), 3: ("front axle", "middle axle", "rear axle")}
SECTIONS: tuple[tuple[CallWord, str, str], ...] = (
    ("replace", "Can’t go back on the road", "These parts are not yours to choose. You choose who does the work, and when. Until then we can’t clear the trailer to roll."),
    ("dress", "Small jobs first", "These parts can go back once the job named here is done."),
    ("owner decides", "Your choice", "These parts are fit to run for a while. To change them now is fine. To wait is fine too."),
    ("keep", "Fine", "We checked these. They can go back as they are."),
)  # fmt: skip
CARRIES = "It helps to carry the wheel. On the road it may get worse or let go. Nobody can say when."
BRAKES = "This wheel may brake badly, or not at all. Nobody can say when."
IF_LEFT = MappingProxyType({  # what may happen with a part that cannot go back
    "hub-drum": "It carries the wheel, and the brake works on it. On the road it may get worse or break. Nobody can say when.",
    "rotor": "It carries the wheel, and the brake works on it. On the road it may get worse or break. Nobody can say when.",
    "brake-assembly": BRAKES, "lining": BRAKES, "magnet": BRAKES, "pads": BRAKES, "supply": BRAKES,
    "cap": "Dirt and water may reach the bearings.", "seal": "Grease may reach the brake.",
})  # fmt: skip
GOES_ALONG = "It goes with the part that is changed. If it stays, it may wear the new part or make the trailer pull to one side."
IF_NOT_DRESSED = "If this small job is not done, the part does not go back."
GRADES = MappingProxyType({
    "on the part": "The limit stands on your part.", "maker sheet": "The limit is from the maker’s sheet for this part.",
    "house": "The limit is the one this shop works by.", "assumed": "The maker’s limit was not found. This is a usual one.",
})  # fmt: skip
STANDS = MappingProxyType({"under": "It is inside the limit.", "at the limit": "It is right at the limit.", "over": "It is past the limit."})  # fmt: skip
DUE = MappingProxyType({
    "retorque": "Have the wheel nuts tightened again", "adjust": "Have the brakes set", "hubs off": "Have the hubs taken off and looked at",
    "interim check": "Have it measured again", "look for a weep": "Have the grease seal looked at",
})  # fmt: skip
WORK_QUESTION = "Shall we do this work?"
BOOKED, MUST = "What you booked", "Work that has to be done"
LABELS = MappingProxyType({  # what stands on the page besides its findings
    "found": "What we found", "yours": "Your part", "drawn": "Drawn by a computer. This is not your part.", "good": "A good one",
    "good_drawn": "A good one, drawn by a computer.", "good_photo": "A good one, a photo of this shop.", "new": "New", "now": "Yours now", "limit": "Limit", "wait": "If you wait",
    "price_now": "Now", "price_wait": "If you wait", "price_later": "Later, at today’s prices", "do_now": "Do it now", "not_now": "Not now",
    "said": "You said", "change": "You can change your answer. Both answers are kept.", "sides": "Road side is the side next to the traffic. Curb side is the other side.",
    "see": "See the picture", "costs": "What it costs", "all_of_it": "All of this work", "line_by_line": "Line by line",
    "ask_head": "Ask us", "ask": "Your question", "ask_button": "Send the question", "asked": "You asked", "replied": "We say", "no_reply": "We have not replied yet.",
    "do_it": "Yes, do this work", "it_stays": "Leave the trailer at the shop", "not_here": "No, do not do it here", "next_head": "When to come back",
    "last_head": "What you put off last time", "then": "Price then", "money_now": "Price now", "own_words": "Your words (you may leave this empty)",
    "keep": "Keep your answer", "from_to": "This sheet was made for", "note": "A signed paper does not make a part safe.", "none": "Nothing here.",
    "version": "Sheet", "not_needed": "Not needed", "not_needed_lead": "We could have sold you these. You do not need them now.",
        "not_checked": "Could not be checked", "not_checked_lead": "We can’t say yes or no to these yet. We will not guess. Until they are checked, we can’t clear the trailer to roll.",
        "work_question": WORK_QUESTION, "must": MUST, "link_until": "This link works until", "answering": "You answer as",
        "after_head": "After the work", "after_lead": "Some things are due now that the trailer is back on the road. Tap what you have done.", "after_link": "What is due",
})  # fmt: skip
ANSWERS = MappingProxyType({"now": "do it now", "not now": "not now", "do it": "yes, do this work", "it stays here": "leave the trailer at the shop",
                            "not here": "do not do it here"})  # fmt: skip
PUT_OFF = MappingProxyType({  # by the call that the part has now
    "replace": "It can’t wait any more.", "dress": "It needs a small job now.", "owner decides": "It is your choice again.",
    "keep": "It is fine this time.", "recheck": "It has not been checked again yet.",
})  # fmt: skip
WAYS = (  # what may become of a trailer that cannot go back, and what each of them means
    ("do it", "It is repaired here.", "We do the work. Then the trailer is checked, and it can roll."),
    ("it stays here", "It stays here.", "Nothing is done for now. The trailer stands in our yard, and you decide later."),
    ("on a hauler", "It leaves on a hauler.", "It is loaded. It does not roll on its own wheels."),
    ("against advice", "You take it against our advice.", "We say it is not fit to roll. We write down what we said. No paper makes it safe."),
)  # fmt: skip
UNDONE = (": replace not done", ": bench work not done")  # how the release says that a part is still open
READ_OUT, READ_OUT_CHOICES = 3, 2  # so many are named on the telephone
NUMBERS = (
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
)


def where(position: str, axles: int) -> str:
    """'front axle, road side'; 'axle 3, curb side' where there are many."""
    number = int(axle_of(position))
    names = AXLES.get(axles)
    return f"{names[number - 1] if names else f'axle {number}'}, {side_of(position)} side"


def name(part: str) -> str:
    """A part as an owner calls it."""
    return NAMES.get(part, part)


def count(number: int) -> str:
    """A small number as a word."""
    return NUMBERS[number] if number < len(NUMBERS) else str(number)


def one_breath(cannot: int, along: int, small: int, choices: int, fine: int, open_: int) -> str:
    """'Two things can't go back, one is your choice, five are fine.'"""
    rows = (
        (cannot, "can’t go back", "can’t go back"), (along, "goes with them", "go with them"), (small, "needs a small job", "need a small job"),
        (choices, "is your choice", "are your choice"), (fine, "is fine", "are fine"), (open_, "could not be checked", "could not be checked"),
    )  # fmt: skip
    said = [f"{count(n)} {one if n == 1 else many}" for n, one, many in rows if n]
    if not said:
        return "Nothing has been looked at yet."
    first, _, rest = said[0].partition(" ")
    thing = "thing" if first == "one" else "things"
    return f"{first.capitalize()} {thing} {', '.join([rest, *said[1:]])}."


def wait_until(rows: Iterable[Next]) -> str:
    """How long a part may stay, of the checks that fall due for it."""
    first = next(iter(rows), None)
    if first is None:
        return "You can keep it until the next check."
    return f"You can keep it. The next check is due {due(first)}."


def due(row: Next) -> str:
    """'after 2,000 miles or by 19 Jan 2027, whichever comes first'."""
    far, by = distance(row), f"by {wording.day(row.date)}" if row.date else ""
    return " or ".join(t for t in (far, by) if t) + (", whichever comes first" if far and by else "")


def distance(row: Next) -> str:
    """'after 2,000 miles', or '' where only the date counts."""
    return f"{'every' if row.every else 'after'} {row.miles:,} miles" if row.miles else ""


def later(price: str) -> str:
    """What waiting costs."""
    return f"Done at a later visit it costs {price} at today’s prices, as the hub comes off once more."


def measured(now: str, limit: str) -> str:
    """Beside a part that is fine."""
    return f" ({now}, limit {limit})"


def reading(of: str, now: str, limit: str) -> str:
    """A size as it is read out."""
    return f"{of} {now}, limit {limit}"


def unsettled(part: str, place: str, why: str) -> str:
    """A part that could not be called, and the reason where somebody gave one."""
    return f"{name(part).capitalize()}, {place}{f': {why}' if why else ''}"


def message(shop: str, unit: str, to: str, url: str, until: Date) -> str:
    """What is sent to an owner, by e-mail or by hand."""
    return (
        f"Hello {to},\n\nwe looked at your trailer {unit}. Here is what we found, with pictures and prices:\n\n{url}\n\n"
        f"You can answer there, or ask us something. The link is yours alone and works until {wording.day(until)}.\n\n{shop}\n"
    )


def subject(unit: str) -> str:
    """Of the e-mail."""
    return f"Your trailer {unit}: what we found"


def script(
    shop: str, unit: str, breath: str, gone: Iterable[str], work: str, choices: Iterable[tuple[str, str]]
) -> tuple[str, ...]:
    """What the counter reads out, in about half a minute: parts by name as far as that allows, the rest counted.

    Args:
        shop: its name.
        unit: the trailer.
        breath: the whole in one sentence.
        gone: names of what cannot go back, each once.
        work: price of the work that has to be done; '' where there is none.
        choices: what may be chosen, with its price now.

    Returns:
        Sentences in the order in which they are read.
    """
    named, offered = list(gone), list(choices)
    lines = [f"Hello, {shop} here, about trailer {unit}.", breath]
    if named:
        lines.append(
            f"What can’t go back: {wording.listed([*named[:READ_OUT], *_more(len(named) - READ_OUT)])}."
        )
    if work:
        lines.append(f"That work is {work}. Shall we do it?")
    lines += [f"Your choice: {what}. {price} now, or not now?" for what, price in offered[:READ_OUT_CHOICES]]
    return (*lines, *(f"And {m} to choose." for m in _more(len(offered) - READ_OUT_CHOICES)))


def _more(number: int) -> list[str]:
    return [f"{count(number)} more"] if number > 0 else []


def told_at_leaving(
    shop: str,
    unit: str,
    day: str,
    open_: Iterable[tuple[str, str]],
    unseen: Iterable[str],
    owner: str,
    how: str,
    hauler: str,
) -> tuple[str, ...]:
    """What is read out before a trailer leaves that is not clear to roll: what was found and what was not looked at, no more.

    Args:
        shop: its name.
        unit: the trailer.
        day: of the visit, as written.
        open_: each part that was not put right, with what was found there.
        unseen: what nobody could check.
        owner: who takes it away; '' where that is not known yet.
        how: 'on a hauler' or 'against advice'.
        hauler: who hauls it, '' where nobody said.

    Returns:
        Sentences.
    """
    who = owner or "the owner"
    lines = [
        f"On {day} {shop} looked at trailer {unit}.",
        *(f"{part.capitalize()}: {found}." for part, found in open_),
    ]
    lines += [f"Not checked: {u}." for u in unseen]
    lines.append(f"We told {who} that in our view the trailer is not fit to roll as it stands.")
    if how == "on a hauler":
        lines.append(f"It leaves our yard loaded on a hauler{f' ({hauler})' if hauler else ''}, for {who}.")
    else:
        lines.append(f"It leaves with {who}, against our advice.")
    return (
        *lines,
        "We did not repair what is named here. What happens to the trailer after it leaves, we do not see.",
        LABELS["note"],
    )
