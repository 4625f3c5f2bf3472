"""The line, circle or plane whose largest miss is the smallest: the heart of every minimum zone.

Exchange method of Stiefel, which is the simplex method on the dual problem: k + 1 readings carry the
answer for k unknowns, and the worst reading is exchanged in until none is worse. Linear problems only; circles and tilted
planes are brought here step by step by `zone` and `flatness`.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np

from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError

ROUNDING = 1e-13  # of the largest number met
MOST_EXCHANGES = 2000
WAYS: Floats = np.array([np.cos(np.arange(720) * pi / 360), np.sin(np.arange(720) * pi / 360)])
FEW_CORNERS = 64  # differences of points up to which every edge of their hull is tried
PATIENCE = 20  # exchanges without gain before the steepest choice gives way to the one that cannot circle


@dataclass(frozen=True)
class Minimax:
    """Unknowns, largest miss, and the contacts: which readings carry it, from which side, with what weight."""

    unknowns: Floats
    miss: float
    contacts: tuple[int, ...]
    sides: tuple[int, ...]
    weights: Floats  # more than zero or zero, sum one; their balance is the proof of the optimum


def minimax(terms: Floats, values: Floats, start: tuple[int, ...] = ()) -> Minimax:
    """The unknowns for which the largest |value - terms . unknowns| is the smallest.

    Args:
        terms: one row for each reading, one column for each unknown [any].
        values: the readings [any].
        start: readings to try as contacts first, one more than unknowns.

    Returns:
        The optimum with its contacts.

    Raises:
        NoAnswerError: fewer readings than unknowns and one, or their places settle no unknowns.

    References:
        E. Stiefel's exchange method, Numerische Mathematik 1 (1959) 1-28 (from memory).
    """
    chosen, (sides, basis, weights) = _begun(terms, values, start)
    contacts, best, stale = np.array(chosen), -np.inf, 0
    small = ROUNDING * float(np.abs(values).max())
    for _ in range(MOST_EXCHANGES):
        solved = np.linalg.solve(basis.T, sides * values[contacts])
        unknowns, miss = solved[:-1], float(solved[-1])
        left = values - terms @ unknowns
        best, stale = (miss, 0) if miss > best + small else (best, stale + 1)
        enter = _entering(left, miss + small, stale > PATIENCE)
        if enter is None:
            weights = np.clip(np.linalg.solve(basis, _last(len(basis))), 0.0, None)
            return Minimax(unknowns, miss, tuple(map(int, contacts)), tuple(map(int, sides)), weights)
        side = 1.0 if left[enter] > 0 else -1.0
        column = np.append(side * terms[enter], 1.0)
        leave, share, fall = _leaving(basis, column, weights, contacts)
        contacts[leave], sides[leave] = enter, side
        basis[:, leave] = column
        weights = np.maximum(weights - share * fall, 0.0)
        weights[leave] = share
    raise NoAnswerError(
        "the zone of these points cannot be settled", "look for points typed twice or far off."
    )


def _begun(
    terms: Floats, values: Floats, start: tuple[int, ...]
) -> tuple[tuple[int, ...], tuple[Floats, Floats, Floats]]:
    """The contacts to begin with, those wanted where they settle every unknown, with their balance."""
    found = _reference(terms, start) if len(start) == terms.shape[1] + 1 else None
    if found is not None:
        return start, found
    chosen = _first(terms, values)
    found = _reference(terms, chosen, sure=True)
    assert found is not None  # what _first chose settles every unknown
    return chosen, found


def least_spread(out: Floats, into: Floats) -> float:
    """How far one set of points stands past another, seen from the direction where it does so least.

    For a set against itself this is its least width. For outer against inner contacts it tells how fast a
    zone widens whichever way it is moved: more than zero, and the contacts hold it fast.

    Args:
        out: points in the plane, one to a row [any].
        into: points in the plane [any].

    Returns:
        The least for few points; for many, a value sure not to be above it: looked for in fixed directions,
        less what may lie between them.
    """
    ways, between = WAYS, pi / len(WAYS[0])
    corners = (out[:, None] - into[None]).reshape(-1, 2)
    if len(corners) <= FEW_CORNERS:
        ways, between = _square_to_edges(corners), 0.0
    middle = (out.mean(axis=0) + into.mean(axis=0)) / 2
    out, into = out - middle, into - middle
    reach = float(np.linalg.norm(out, axis=1).max() + np.linalg.norm(into, axis=1).max())
    spread: Floats = (out @ ways).max(axis=0) - (into @ ways).min(axis=0)
    return float(spread.min(initial=np.inf)) - reach * between if spread.size else 0.0


def _square_to_edges(corners: Floats) -> Floats:
    """Unit directions square to every line through two corners: the least of a hull's reach is at one of them."""
    first, second = np.triu_indices(len(corners), 1)
    along = corners[second] - corners[first]
    length = np.hypot(along[:, 0], along[:, 1])
    along = along[length > 0] / length[length > 0, None]
    across = np.array([-along[:, 1], along[:, 0]])
    return np.concatenate([across, -across], axis=1)


def _last(size: int) -> Floats:
    unit = np.zeros(size)
    unit[-1] = 1.0
    return unit


def _entering(left: Floats, bound: float, first: bool) -> int | None:
    """The worst reading past the bound; the first such where the worst has led nowhere (Bland's rule)."""
    size = np.abs(left)
    worst = int(size.argmax())
    if size[worst] <= bound:
        return None
    return int(np.flatnonzero(size > bound)[0]) if first else worst


def _leaving(basis: Floats, column: Floats, weights: Floats, contacts: Floats) -> tuple[int, float, Floats]:
    """The contact whose weight falls to zero first, of equals the one with the lowest number; the weight of the one
    that enters, and how fast the others fall for it.
    """
    fall: Floats = np.asarray(np.linalg.solve(basis, column), float)
    can = fall > 1e-11
    ratio = np.where(can, weights / np.where(can, fall, 1.0), np.inf)
    share = float(ratio.min())
    equal = np.flatnonzero(ratio <= share + 1e-14)
    return int(equal[np.argmin(contacts[equal])]), share, fall


def _first(terms: Floats, values: Floats) -> tuple[int, ...]:
    """Readings far apart to begin with, one for each unknown, and the one furthest from their answer."""
    count, unknowns = terms.shape
    if count <= unknowns:
        raise NoAnswerError(
            "there are too few points", f"take at least {unknowns + 1}, better twice as many."
        )
    left, chosen = terms.copy(), []
    scale = float(np.linalg.norm(terms, axis=1).max())
    for _ in range(unknowns):
        sizes = np.linalg.norm(left, axis=1)
        pick = int(sizes.argmax())
        if sizes[pick] <= 1e-9 * scale:
            raise NoAnswerError(
                "the points do not stand apart enough", "spread them over the whole face or circle."
            )
        along = left[pick] / sizes[pick]
        left -= np.outer(left @ along, along)
        chosen.append(pick)
    miss = np.abs(values - terms @ np.linalg.solve(terms[chosen], values[chosen]))
    miss[chosen] = -1.0
    return (*chosen, int(miss.argmax()))


def _reference(
    terms: Floats, chosen: tuple[int, ...], sure: bool = False
) -> tuple[Floats, Floats, Floats] | None:
    """Sides and weights in balance for these contacts, with their matrix; None where they settle no unknowns."""
    rows = terms[list(chosen)]
    _, size, turned = np.linalg.svd(rows.T)
    if not sure and size[-1] <= 1e-9 * size[0]:
        return None
    balance = turned[-1]
    sides = np.where(balance >= 0, 1.0, -1.0)
    basis = np.vstack([(sides[:, None] * rows).T, np.ones(len(chosen))])
    return sides, basis, np.abs(balance) / np.abs(balance).sum()
