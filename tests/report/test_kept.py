"""What a kept visit's sheet says of its owner: every answer with who, how, when and which version, and nothing lost of a change of mind."""

from __future__ import annotations

from datetime import date

import pytest

from wheeltapper.owner_said import Answer, Declined, GoAhead, Question, Reply, Seen
from wheeltapper.records import Exit, Unit, Visit
from wheeltapper.report.kept import answers

pytestmark = pytest.mark.reasoned
DAY = date(2026, 11, 20)
SEEN = Seen(version="ab" * 32, entries=4, tables="57b3f6750ac9", day=DAY)
VISIT = Visit(
    date=DAY, technician="T1", unit=Unit(id="TF-1", axles=1, brake="electric drum"),
    answer=(
        Answer(position="1-road", part="hub-drum", answer="now", by="Dana Reed", how="on the page", date=DAY, seen=SEEN),
        Answer(position="1-road", part="hub-drum", answer="not now", by="Dana Reed", how="phone read-back", said="after the season", date=DAY),
    ),
    go_ahead=(GoAhead(answer="do it", by="Dana Reed", how="in person", date=DAY),),
    question=(Question(text="How long?", about="1-road hub-drum", by="Dana Reed"),),
    reply=(Reply(to="How long?", text="Till noon.", by="CW"), Reply(to="Another?", text="No.", by="CW")),
    declined=(Declined(position="1-curb", part="seal", by="Dana Reed", said="next year", date=date(2025, 11, 20)),),
    exit=Exit(how="on a hauler", by="CW", said="hauler 12"),
)  # fmt: skip


def test_everything_that_was_said_stands_in_its_order() -> None:
    assert answers(VISIT) == (
        "Put off before, 1-curb seal (Dana Reed, 20 Nov 2025): “next year”",
        "1-road hub-drum: now (Dana Reed, on the page, 20 Nov 2026, saw version abababababab); answered anew below",
        "1-road hub-drum: not now (Dana Reed, phone read-back, 20 Nov 2026): “after the season”",
        "The work that is nobody's choice: do it (Dana Reed, in person, 20 Nov 2026)",
        "Asked about 1-road hub-drum: “How long?” (Dana Reed)",
        "Replied: “Till noon.” (CW)",
        "The trailer left on a hauler (CW): “hauler 12”",
    )


def test_nothing_said_is_nothing_written() -> None:
    silent = VISIT.model_copy(
        update={name: () for name in ("answer", "go_ahead", "question", "reply", "declined")}
    )

    assert answers(silent.model_copy(update={"exit": None})) == ()
