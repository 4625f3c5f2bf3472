"""What the sheet says in short: one breath, what falls due, gaps, and wheels where nothing was settled."""

from __future__ import annotations

from wheeltapper.disposition.decide import SOLD_AS, Place
from wheeltapper.flow import Examination
from wheeltapper.plan.foresight import RHYTHM
from wheeltapper.report import wording
from wheeltapper.words import CallWord, positions

SECTIONS: tuple[tuple[CallWord, str, str], ...] = (
    ("replace", "Cannot go back", "Nobody gets to choose these: only when, and who does the work."),
    ("dress", "Bench work first", "Fit to go back once the named work is done."),
    (
        "owner decides",
        "Your choice",
        "Fit to run to a stated limit. Replacing now is reasonable, waiting is too.",
    ),
    ("keep", "Fine", "Checked and fit to go back."),
    (
        "recheck",
        "Not settled",
        "No call is possible yet. What is missing comes before the wheel goes back on.",
    ),
)

ALONG = {"P1.lining", "P1.magnet"}  # a lining or magnet that only goes with its assembly
GO_ALONG = {"P1", "P2", "P5"}  # pairings that replace a part for the sake of another
MANY = 20  # so many open checks of one wheel are not listed one by one


def within_assembly(ex: Examination) -> frozenset[Place]:
    """Linings and magnets whose call is the brake assembly's own: shown with it, not beside it."""
    calls = {c.place: c for c in ex.calls}
    hidden = set()
    for call in ex.calls:
        whole = calls.get((call.position, SOLD_AS.get(call.part, "")))
        if whole is None or whole.call != call.call or call.call == "keep":
            continue
        if set(call.rules) <= {*whole.rules, *ALONG} and set(call.missing) <= set(whole.missing):
            hidden.add(call.place)
    return frozenset(hidden)


def blind_wheels(ex: Examination) -> tuple[str, ...]:
    """Wheels where no part has a call of its own: everything is still to be looked at."""
    out = []
    for position in positions(ex.visit.unit.axles):
        calls = [c for c in ex.calls if c.position == position]
        if calls and all(c.call == "recheck" and not c.rules and not c.milder for c in calls):
            out.append(position)
    return tuple(out)


def gaps(ex: Examination) -> tuple[str, ...]:
    """Gaps as printed: one line for each wheel and reason."""
    rows: dict[tuple[str, str], list[str]] = {}
    blind = set(blind_wheels(ex))
    for gap in ex.findings.gaps:
        rows.setdefault((gap.position, gap.why), []).append(gap.check)
    return tuple(
        f"{position}: {'every check' if position in blind and len(checks) > MANY else ', '.join(checks)} ({why})"
        for (position, why), checks in rows.items()
    )


def one_breath(ex: Examination) -> str:
    """The thirty-second summary for the telephone: what was found, and what only goes with it."""
    hidden = within_assembly(ex)
    shown = [c for c in ex.calls if c.place not in hidden]
    along = sum(1 for c in shown if c.call == "replace" and set(c.because) <= GO_ALONG)
    found = {call: sum(1 for c in shown if c.call == call) for call, _, _ in SECTIONS}
    said = [(found["replace"] - along, "cannot go back"), (along, "are replaced along with it"), (found["dress"], "need bench work first"),
            (len(ex.quote.choices), "are your choice"), (found["keep"], "are fine"), (found["recheck"], "are not settled yet")]  # fmt: skip
    parts = [f"{n} {_one(words) if n == 1 else words}" for n, words in said if n]
    return (", ".join(parts) + ".").capitalize() if parts else "Nothing has been looked at yet."


def falls_due(ex: Examination) -> tuple[tuple[str, str, str], ...]:
    """What falls due; the distances of one kind of check with one date stand in one line."""
    rows: dict[tuple[str, str, str], list[str]] = {}
    for n in ex.next:
        what = n.what + (f" {n.position}" if n.position else "")
        head, _, date = wording.due(n).partition(" or by ")
        basis = n.basis if n.prediction == RHYTHM else f"{n.prediction}: {n.basis}"
        rows.setdefault((what, date, basis), []).append(head)
    return tuple(
        (what, ", ".join(heads) + (f" or by {date}" if date else ""), basis)
        for (what, date, basis), heads in rows.items()
    )


def _one(words: str) -> str:
    return words.replace("need ", "needs ").replace("are ", "is ")
