"""Tables of cards: ours are whole, and a bad one is refused with every fault at once, in words."""

from __future__ import annotations

from pathlib import Path

import pytest

from wheeltapper.problems import TablesError
from wheeltapper.reference.cards import FAMILIES, OURS, card_from, ours, theirs

pytestmark = pytest.mark.reasoned
HEAD = {
    "name": '"mine"',
    "family": '"36h11"',
    "width_mm": "100",
    "height_mm": "60",
    "opening_mm": "[20, 20, 80, 60]",
    "bendable": "true",
    "thickness_mm": "0.1",
    "bar_mm": "150",
}
PLACES = [(10, 10), (30, 10), (50, 10), (70, 10), (90, 10), (10, 30), (90, 30)]
TAGS = [f"id = {i}\nmiddle_mm = [{x}, {y}]\nside_mm = 14" for i, (x, y) in enumerate(PLACES)]


def table(tags: list[str] | None = None, **head: str) -> str:
    """A good table, but for what is given; '' leaves a field out."""
    fields = {k: v for k, v in (HEAD | head).items() if v}
    rows = TAGS if tags is None else tags
    return "\n".join(f"{k} = {v}" for k, v in fields.items()) + "".join(f"\n[[tag]]\n{t}" for t in rows)


def with_tag(text: str) -> str:
    """A good table whose last tag is another."""
    return table([*TAGS[:-1], text])


@pytest.mark.parametrize("name", OURS)
def test_ours_are_whole(name: str) -> None:
    """Read from the package, with the bar that the page prints and tags that one printed page can tell apart."""
    row = ours(name)

    assert row.name == name
    assert row.bar_m == pytest.approx(0.150)
    assert row.bendable
    others = [set(ours(n).tags) for n in OURS if n != name]
    assert not set(row.tags).intersection(*others)


def test_no_such_card_of_ours() -> None:
    """The nearest name is said."""
    with pytest.raises(TablesError, match="did you mean 'wall'"):
        ours("wal")


def test_corners_may_stand_for_middle_and_side() -> None:
    """The same tag in both ways is the same."""
    corners = "id = 6\ncorners_mm = [[83, 37], [97, 37], [97, 23], [83, 23]]"

    given, reckoned = card_from(with_tag(corners), ""), card_from(table(), "")
    assert sum(given.tags[6], ()) == pytest.approx(sum(reckoned.tags[6], ()))


BAD = [
    ("name = ", "is not TOML"),
    (table(name=""), "'name' must be"),
    (table(name="7"), "'name' must be"),
    (table(family='"25h9"'), "family '25h9' is not known"),
    (table(family="3"), "family '3' is not known"),
    (table(width_mm="0"), "'width_mm' must be a number above 0"),
    (table(width_mm="true"), "'width_mm' must be a number above 0"),
    (table(height_mm="-5"), "'height_mm' must be"),
    (table(height_mm="nan"), "'height_mm' must be"),
    (table(thickness_mm="inf"), "'thickness_mm' must be"),
    (table(thickness_mm="1e300"), "'thickness_mm' must be"),
    (table(bar_mm='"150"'), "'bar_mm' must be"),
    (table(bendable="1"), "'bendable' must be true or false"),
    (table(opening_mm="[20, 20, 80]"), "'opening_mm' must be four numbers"),
    (table(opening_mm="[80, 20, 20, 60]"), "left before right"),
    (table(opening_mm="[20, 20, 80, 70]"), "the opening lies outside the card"),
    (table(opening_mm="[15, 20, 80, 60]"), "tag 5: lies in the opening"),
    (table(colour='"red"'), "'colour' is not a field of a card"),
    (table([]), "a card needs rows of"),
    ("tag = 3\n" + table([]), "a card needs rows of"),
    (table(TAGS[:3]), "3 tags are too few"),
    (with_tag(TAGS[0]), "tag 0: stands 2 times"),
    (with_tag("id = 6\nmiddle_mm = [75, 10]\nside_mm = 14"), "tags 3 and 6 overlap"),
    (with_tag("id = 6\nmiddle_mm = [96, 30]\nside_mm = 14"), "tag 6: lies outside the card"),
    (with_tag("id = 587\nmiddle_mm = [90, 30]\nside_mm = 14"), "'id' must be a whole number from 0 to 586"),
    (with_tag("id = true\nmiddle_mm = [90, 30]\nside_mm = 14"), "'id' must be"),
    (with_tag("middle_mm = [90, 30]\nside_mm = 14"), "tag in row 7: 'id' must be"),
    (with_tag("id = 6\nmiddle_mm = [90, 30]\nside_mm = 0"), "'side_mm' a number above 0"),
    (with_tag("id = 6\nmiddle_mm = 90\nside_mm = 14"), "'middle_mm' must be two numbers"),
    (with_tag("id = 6\nmidle_mm = [90, 30]\nside_mm = 14"), "did you mean 'middle_mm'"),
    (with_tag("id = 6\nside_mm = 14\ncorners_mm = [[83, 37], [97, 37], [97, 23], [83, 23]]"), "not both"),
    (with_tag("id = 6\ncorners_mm = [[83, 37], [97, 37], [97, 23]]"), "four pairs of numbers"),
    (with_tag("id = 6\ncorners_mm = [[83, 23], [97, 23], [97, 37], [83, 37]]"), "no upright square"),
    (with_tag("id = 6\ncorners_mm = [[83, 37], [97, 37], [97, 30], [83, 30]]"), "no upright square"),
]


@pytest.mark.parametrize(("text", "said"), BAD, ids=[said for _, said in BAD])
def test_a_bad_table_is_refused_in_words(text: str, said: str) -> None:
    """Each way to be wrong, with the file's name before it."""
    with pytest.raises(TablesError) as broken:
        card_from(text, "mine.toml")

    assert any(said in fault for fault in broken.value.faults), broken.value.faults
    assert all(fault.startswith("mine.toml: ") for fault in broken.value.faults)


def test_every_fault_is_named_at_once() -> None:
    """Fields and tags together; then places, where the fields can be read."""
    with pytest.raises(TablesError) as fields:
        card_from(table([*TAGS, "id = -1"], name="", family='"x"', bar_mm="0", colour="1"), "mine.toml")
    with pytest.raises(TablesError) as places:
        card_from(with_tag("id = 6\nmiddle_mm = [75, 10]\nside_mm = 90"), "mine.toml")

    assert len(fields.value.faults) == 5
    assert len(places.value.faults) == 6  # outside, on four tags, in the opening


def test_a_file_that_is_no_table(tmp_path: Path) -> None:
    """Missing, not text, far too long: told, never a traceback; and a good one is read."""
    path = tmp_path / "mine.toml"
    with pytest.raises(TablesError, match="cannot be read"):
        theirs(path)
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(TablesError, match="not text in UTF-8"):
        theirs(path)
    path.write_bytes(b"#" * 200_000)
    with pytest.raises(TablesError, match="no table of a card"):
        theirs(path)
    path.write_text(table(), "utf-8")
    assert theirs(path).family in FAMILIES
