"""The rings of good drums that a shop keeps: who vouched for each and by what check. Nothing is ever taken out of the list.

A folder holds the recordings under the hash of their bytes, and `good-drums.jsonl`: one line for each entry, and one
for each that was retired.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from datetime import date as Date
from pathlib import Path

from wheeltapper.problems import NoAnswerError

LIST = "good-drums.jsonl"
FIELDS = ("clip", "model", "by", "check", "date")


@dataclass(frozen=True)
class GoodDrum:
    """One ring of a drum that somebody vouched for."""

    clip: str  # the recording's name in the folder: the start of its hash, and how it ended
    model: str  # casting number or size, as the shop calls it
    by: str
    check: str  # how it was found good: 'dye, no line', 'new'
    date: str
    drum: str = ""  # the drum's own mark, to hold it against itself later
    diameter: str = ""  # with its unit, as measured then
    retired: str = ""  # why, by whom and when


def add(folder: Path, recording: Path, drum: GoodDrum) -> GoodDrum:
    """Keep a recording and its line.

    Args:
        folder: the shop's folder; made where it is not there.
        recording: the sound file.
        drum: its line; the name of the clip is filled in.

    Returns:
        The line as kept.

    Raises:
        NoAnswerError: nobody vouches, no check is named, the ring is in the list already, or a file cannot be used.
    """
    for field, what in (
        ("model", "the drum's model"),
        ("by", "who vouches for it"),
        ("check", "the check it passed"),
    ):
        if not getattr(drum, field).strip():
            raise NoAnswerError(f"{what} is missing", "only a drum that somebody has checked is a reference.")
    try:
        data = recording.read_bytes()
        name = hashlib.sha256(data).hexdigest()[:16] + recording.suffix.lower()
        if any(d.clip == name and not d.retired for d in kept(folder)):
            raise NoAnswerError(
                "this recording is in the list already", "record the drum anew, or retire the old ring."
            )
        folder.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)
        line = GoodDrum(**{**asdict(drum), "clip": name, "date": drum.date or Date.today().isoformat()})
        _append(folder, {"add": {k: v for k, v in asdict(line).items() if v}})
    except OSError as slip:
        raise NoAnswerError(
            f"{slip.filename}: {(slip.strerror or 'unknown').lower()}", "check the name and the folder."
        ) from None
    return line


def retire(folder: Path, clip: str, by: str, why: str) -> None:
    """Take a ring out of use; its line stays.

    Args:
        folder: the shop's folder.
        clip: its name, or the start of it.
        by: who says so.
        why: the reason.

    Raises:
        NoAnswerError: no ring or several begin like that, or nobody says why.
    """
    if not (by.strip() and why.strip()):
        raise NoAnswerError("who retires it and why is missing", "name both: the list is a record.")
    found = [d for d in kept(folder) if d.clip.startswith(clip) and not d.retired]
    if not clip or len(found) != 1:
        raise NoAnswerError(
            f"{len(found)} rings in use begin with '{clip}'", "write the name as `good-drums list` shows it."
        )
    _append(
        folder, {"retire": {"clip": found[0].clip, "by": by, "why": why, "date": Date.today().isoformat()}}
    )


def kept(folder: Path) -> tuple[GoodDrum, ...]:
    """Every ring of the list, in the order kept, the retired with their reason.

    Args:
        folder: the shop's folder.

    Returns:
        The lines; none where the folder has no list.

    Raises:
        NoAnswerError: a line that cannot be read.
    """
    drums: dict[str, GoodDrum] = {}
    for number, row in _lines(folder / LIST):
        try:
            if "add" in row:
                drum = GoodDrum(**row["add"])
                drums[drum.clip] = drum
            else:
                gone = row["retire"]
                old = drums[gone["clip"]]
                said = f"{gone['why']} ({gone['by']}, {gone['date']})"
                drums[old.clip] = GoodDrum(**{**asdict(old), "retired": said})
        except (KeyError, TypeError):
            raise NoAnswerError(
                f"line {number} of {LIST} is damaged", "restore it from the last backup."
            ) from None
    return tuple(drums.values())


def _lines(path: Path) -> Iterator[tuple[int, dict[str, dict[str, str]]]]:
    if not path.is_file():
        return
    for number, line in enumerate(path.read_text("utf-8", errors="replace").splitlines(), 1):
        try:
            row = json.loads(line)
        except ValueError:
            raise NoAnswerError(
                f"line {number} of {LIST} is damaged", "restore it from the last backup."
            ) from None
        yield number, row if isinstance(row, dict) else {}


def _append(folder: Path, row: dict[str, dict[str, str]]) -> None:
    with (folder / LIST).open("a", encoding="utf-8") as file:
        file.write(json.dumps(row, ensure_ascii=False) + "\n")
