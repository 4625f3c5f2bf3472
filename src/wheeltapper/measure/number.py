"""One number or an array of them: the maths takes either, so one call serves one corner or a fleet."""

from __future__ import annotations

from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from wheeltapper.problems import NoAnswerError

Floats = NDArray[np.float64]
Num = TypeVar("Num", float, Floats)


def above_zero(said: str, value: Any) -> None:
    """Refuse what is not a finite number above zero.

    Args:
        said: what the value is, for the sentence.
        value: one number or an array.

    Returns:
        Nothing.

    Raises:
        NoAnswerError: any of it is zero, negative, or not a finite number.
    """
    if not bool(np.all(np.isfinite(value) & (np.asarray(value) > 0))):
        raise NoAnswerError(f"{said} is zero, negative or not a number", "give it as a number above zero.")


def not_negative(said: str, value: Any) -> None:
    """Refuse what is not a finite number of zero or more.

    Args:
        said: what the value is, for the sentence.
        value: one number or an array.

    Returns:
        Nothing.

    Raises:
        NoAnswerError: any of it is negative, or not a finite number.
    """
    if not bool(np.all(np.isfinite(value) & (np.asarray(value) >= 0))):
        raise NoAnswerError(f"{said} is negative or not a number", "give it as zero or more.")


def part_of_one(said: str, value: Any) -> None:
    """Refuse a share outside 0 to 100 %.

    Args:
        said: what the value is, for the sentence.
        value: one number or an array.

    Returns:
        Nothing.

    Raises:
        NoAnswerError: any of it is below zero or above one.
    """
    if not bool(np.all((np.asarray(value) >= 0) & (np.asarray(value) <= 1))):
        raise NoAnswerError(f"{said} is not between 0 and 100 %", "give it as a part of the whole.")
