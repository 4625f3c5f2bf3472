"""`wheeltapper ring` and `good-drums`, on invented recordings: what is printed, kept and drawn, and what is refused."""

from __future__ import annotations

import json
import wave
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from ring.drum_sound import Clip, Setting, drum, recording
from wheeltapper.cli import main

pytestmark = pytest.mark.reasoned
HOW = Setting(taps=4, apart_s=1.0, quiet_s=0.6, hum=0.0)


def saved(path: Path, clip: Clip) -> Path:
    """A recording as a wav file."""
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(clip.rate_hz)
        file.writeframes((clip.samples * 32767).astype("<i2").tobytes())
    return path


@pytest.fixture(scope="module")
def clips(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three good drums in a folder, and some candidates beside it."""
    place = tmp_path_factory.mktemp("clips")
    (place / "good").mkdir()
    for i in range(3):
        saved(place / "good" / f"g{i}.wav", recording(drum(200_100 + i), 200_100 + i, HOW))
    saved(place / "fine.wav", recording(drum(200_200), 200_200, HOW))
    saved(place / "cracked.wav", recording(drum(200_203, "crack 50"), 200_203, HOW))
    saved(place / "one.wav", recording(drum(200_200), 200_200, Setting(taps=1, hum=0.0)))
    (place / "text.wav").write_text("no sound at all")
    return place


def run(*args: object) -> Result:
    """The command line."""
    return CliRunner().invoke(main, [str(a) for a in args])


def ring(*args: object) -> Any:
    """`ring --json`."""
    return json.loads(run("ring", "--json", *args).stdout)


def test_the_shape_of_the_answer(clips: Path) -> None:
    """One object for one clip, a list for several; every field of the promise is there, and the caution."""
    one = ring(clips / "fine.wav", "--against", clips / "good")
    many = ring(clips / "fine.wav", clips / "one.wav", "--against", clips / "good")

    assert {"clip", "verdict", "do", "reasons", "p", "modes", "problems"} <= set(one)
    assert {"hz", "hz_sd", "decay_per_s", "decay_sd", "split_share"} <= set(one["modes"][0])
    assert [row["clip"] for row in many] == ["fine.wav", "one.wav"]
    assert "simulated" in one["note"]


def test_a_good_drum_is_not_cleared(clips: Path) -> None:
    """It rings like its references, and the word clear is not said of it."""
    one = ring(clips / "fine.wav", "--against", clips / "good")

    assert one["verdict"] == "rings like its references"
    assert "not a clearance" in one["do"]
    assert one["p"] > 0.05


def test_a_cracked_drum_does_not_ring_like_the_good(clips: Path) -> None:
    """A crack through half of the band's depth: dull, split, or hardly ringing, but never like its references."""
    found = ring(clips / "cracked.wav", "--against", clips / "good")

    assert found["verdict"] in {"dull", "looks split", "inspect", "retake"}


def test_dull_twice_and_endless_retakes(clips: Path) -> None:
    """Takes of one drum: dull again leads to F2, a third bad recording to a close look instead of a fourth."""
    cracked, one = clips / "cracked.wav", clips / "one.wav"
    takes = ring(cracked, cracked, "--same-drum", "--against", clips / "good")
    bad = ring(one, one, one, "--same-drum", "--against", clips / "good")

    assert [row["dull_twice"] for row in takes] == [False, takes[0]["verdict"] == "dull"]
    assert [row["verdict"] for row in bad] == ["retake", "retake", "inspect"]
    assert "too few taps" in bad[0]["reasons"]
    assert "four to six single taps" in bad[0]["do"]


def test_without_references_there_is_no_call(clips: Path) -> None:
    """Modes are told all the same."""
    one = ring(clips / "fine.wav")

    assert one["verdict"] == "no call"
    assert one["p"] is None
    assert len(one["modes"]) >= 3


@pytest.mark.parametrize(
    ("name", "against", "words"),
    [
        ("text.wav", "good", "no sound or video file"),
        ("missing.wav", "good", "cannot be opened"),
        ("fine.wav", "nowhere", "cannot be opened"),
    ],
)
def test_a_file_that_is_none(clips: Path, name: str, against: str, words: str) -> None:
    """A sentence, the exit code of bad input, and no traceback."""
    out = run("ring", clips / name, "--against", clips / against)

    assert out.exit_code == 1
    assert words in out.stderr
    assert "Traceback" not in out.output


def test_the_picture(clips: Path, tmp_path: Path) -> None:
    """Two tails and the tones, with words for readers aloud; none without a reference."""
    picture = tmp_path / "ring.svg"
    run("ring", clips / "fine.wav", "--against", clips / "good", "--picture", picture)
    drawn = picture.read_text("utf-8")

    assert "This drum: rings for" in drawn
    assert "A good ring never clears a drum" in drawn
    assert "No picture" in run("ring", clips / "fine.wav", "--picture", tmp_path / "none.svg").stderr


def test_lines_for_the_visit(clips: Path) -> None:
    """What is printed is a table of the visit file, and the visit takes it."""
    import tomllib

    from wheeltapper.records import RingHeard

    text = run("ring", clips / "fine.wav", "--against", clips / "good", "--for-visit", "--hung").stdout
    row = RingHeard(**tomllib.loads(text)["corner"]["ring"][0])

    assert (row.clip, row.verdict, row.hung) == ("fine.wav", "rings like its references", True)
    assert row.drawn is not None
    assert row.good is not None
    assert row.drawn.level_db[0] == 0
    assert any(both for _, _, both in row.drawn.tones)


def test_the_picture_on_the_sheet(clips: Path) -> None:
    """What the visit keeps draws the same picture as the recording does; a bare verdict draws none."""
    import tomllib

    from wheeltapper.records import RingHeard
    from wheeltapper.report.figure import drawn
    from wheeltapper.report.ring_figure import figure

    text = run("ring", clips / "fine.wav", "--against", clips / "good", "--for-visit", "--hung").stdout
    row = RingHeard(**tomllib.loads(text)["corner"]["ring"][0])
    kept = figure(row)
    picture = clips / "kept.svg"
    run("ring", clips / "fine.wav", "--against", clips / "good", "--picture", picture)

    assert kept is not None
    assert drawn(kept) == picture.read_text("utf-8")
    assert figure(row.model_copy(update={"good": None})) is None


def test_a_diameter_without_its_unit_is_asked_about(clips: Path) -> None:
    """12.045 may be inches or nothing."""
    out = run("ring", clips / "fine.wav", "--diameter", "12.045")

    assert out.exit_code == 2
    assert "'12.045 in'" in out.stderr


def test_good_drums_are_kept_listed_and_retired(clips: Path, tmp_path: Path) -> None:
    """Who vouches and by what check is kept; a retired ring stays in the list and is no reference any more."""
    shelf = tmp_path / "shelf"
    words = (
        "--model",
        "12 in A",
        "--by",
        "T1",
        "--check",
        "dye, no line",
        "--diameter",
        "12.010 in",
        "--drum",
        "D7",
    )
    for i in range(2):
        assert run("good-drums", "add", shelf, clips / "good" / f"g{i}.wav", *words).exit_code == 0
    again = run("good-drums", "add", shelf, clips / "good" / "g0.wav", *words)
    name = run("good-drums", "list", shelf).stdout.split()[0]

    assert again.exit_code == 1
    assert "in the list already" in again.stderr
    assert ring(clips / "fine.wav", "--against", shelf)["references"] == 2
    assert run("good-drums", "retire", shelf, name, "--by", "T1", "--why", "line found").exit_code == 0
    assert "RETIRED: line found (T1" in run("good-drums", "list", shelf).stdout
    assert ring(clips / "fine.wav", "--against", shelf, "--diameter", "12.050 in")["references"] == 1
    assert ring(clips / "fine.wav", "--against", shelf, "--model", "10 in")["references"] == 0


def test_what_cannot_be_kept(clips: Path, tmp_path: Path) -> None:
    """Nobody who vouches, a recording too poor to measure, a name that fits none, a damaged list."""
    shelf = tmp_path / "shelf"
    nobody = run(
        "good-drums", "add", shelf, clips / "good" / "g0.wav", "--model", "A", "--by", " ", "--check", "dye"
    )
    poor = run("good-drums", "add", shelf, clips / "one.wav", "--model", "A", "--by", "T1", "--check", "dye")
    none = run("good-drums", "retire", shelf, "abc", "--by", "T1", "--why", "x")
    shelf.mkdir(exist_ok=True)
    (shelf / "good-drums.jsonl").write_text("{broken\n")

    assert "who vouches for it is missing" in nobody.stderr
    assert "not good enough to be a reference" in poor.stderr
    assert "0 rings in use" in none.stderr
    assert "line 1 of good-drums.jsonl is damaged" in run("good-drums", "list", shelf).stderr
    assert run("ring", clips / "fine.wav", "--against", shelf).exit_code == 1
