"""A share that was counted, and how far off it may be: so many of so many, and what that says of the next ones."""

from __future__ import annotations

from math import exp, fsum, lgamma, log, log1p

from wheeltapper.problems import NoAnswerError


def at_least_share(hits: int, tries: int, share: float) -> float:
    """Probability of so many hits or more.

    Args:
        hits: how many at least.
        tries: of how many.
        share: probability of each.

    Returns:
        Probability, the upper tail of the binomial distribution.
    """
    if hits <= 0 or share >= 1:
        return 1.0
    if share <= 0:
        return 0.0
    if hits > tries * share:
        return _tail_share(hits, tries, share)
    return 1.0 - _tail_share(tries - hits + 1, tries, 1 - share)


def _tail_share(hits: int, tries: int, share: float) -> float:
    """The same where so many are more than the mean: terms fall, and the far ones are nothing."""
    if hits > tries:
        return 0.0
    front = lgamma(tries + 1) - lgamma(hits + 1) - lgamma(tries - hits + 1)
    term = exp(front + hits * log(share) + (tries - hits) * log1p(-share))
    total, odds = term, share / (1 - share)
    for k in range(hits, tries):
        term *= (tries - k) / (k + 1) * odds
        total += term
        if term < 1e-17 * total:
            break
    return min(1.0, total)


def limits_share(hits: int, tries: int, confidence_share: float) -> tuple[float, float]:
    """Limits of a share from a count, which hold it with at least a stated confidence whatever it is.

    Args:
        hits: how many were counted.
        tries: of how many.
        confidence_share: share inside, 0.95 for 95 %.

    Returns:
        Lower and upper limit.

    Raises:
        NoAnswerError: nothing was tried, or more hits than tries.

    References:
        Clopper & Pearson, Biometrika 26 (1934), 404: each limit leaves half of the rest beyond.
    """
    if tries < 1 or not 0 <= hits <= tries:
        raise NoAnswerError("a count is not so many of so many", "give the hits, and of how many tries.")
    beyond = (1 - confidence_share) / 2
    low = _share_where(hits, tries, beyond) if hits else 0.0
    high = 1 - _share_where(tries - hits, tries, beyond) if hits < tries else 1.0
    return low, high


def _share_where(hits: int, tries: int, tail: float) -> float:
    """The share that gives so many hits or more with a stated probability."""
    low, high = 0.0, 1.0
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (low, middle) if at_least_share(hits, tries, middle) > tail else (middle, high)
    return (low + high) / 2


def alike_factor(counts: list[tuple[int, int]]) -> float:
    """By how much fewer independent tries count, where tries of one cluster come out alike.

    Args:
        counts: hits and tries of each cluster.

    Returns:
        One or more: tries divided by it are as good as independent ones.

    References:
        Kish, Survey Sampling (1965), design effect 1 + (m - 1) rho; rho by analysis of variance. From memory.
    """
    counts = [c for c in counts if c[1]]
    tries, clusters = sum(n for _, n in counts), len(counts)
    if clusters < 2 or tries <= clusters:
        return 1.0
    mean = sum(h for h, _ in counts) / tries
    between = fsum(n * (h / n - mean) ** 2 for h, n in counts) / (clusters - 1)
    within = fsum(h * (1 - h / n) for h, n in counts) / (tries - clusters)
    size = (tries - sum(n * n for _, n in counts) / tries) / (clusters - 1)
    spread = between + (size - 1) * within
    rho = max(0.0, (between - within) / spread) if spread > 0 else 0.0
    return 1 + (tries / clusters - 1) * rho
