"""Ring tests and marks beside the pages: as the commands do them, once, by who asked, and given up in words."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
import tomllib
import wave
from pathlib import Path
from threading import Event
from typing import Any

import pytest
from click.testing import CliRunner
from django.conf import LazySettings

from ring.drum_sound import Setting, drum, recording
from store.sample import gate
from store.shop import env, rows, shop
from wheeltapper.cli import main
from wheeltapper.store import files, held, keep, tasks
from wheeltapper.store.find import entries, figures
from wheeltapper.store.fold import fold
from wheeltapper.store.models import KeptVisit, Original, Task
from wheeltapper.store.tasks import Wanted
from wheeltapper.store.work import Found

pytestmark = [pytest.mark.django_db, pytest.mark.reasoned]
PICTURES = Path(__file__).parent.parent / "marks" / "pictures"
HOW = Setting(taps=4, apart_s=1.0, quiet_s=0.6, hum=0.0)


@pytest.fixture(autouse=True)
def folder(settings: LazySettings, tmp_path: Path) -> Path:
    """A shop folder of its own."""
    settings.SHOP_FOLDER = tmp_path
    return tmp_path


def sound(path: Path, seed: int, *kind: str) -> Path:
    """An invented recording of a drum."""
    clip = recording(drum(seed, *kind), seed, HOW)
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(clip.rate_hz)
        file.writeframes((clip.samples * 32767).astype("<i2").tobytes())
    return path


def visit() -> KeptVisit:
    """One that has rolled in."""
    made = keep.open_visit()
    keep.add(made, [gate()], "d")
    return made


def kept(path: Path) -> Original:
    """A file as an original."""
    made = files.kept([path.read_bytes()])
    assert isinstance(made, Original)
    return made


def command(*words: object) -> dict[str, Any]:
    """What the command prints for a visit."""
    out = CliRunner().invoke(main, [str(w) for w in words])
    corner: dict[str, Any] = tomllib.loads(out.stdout)["corner"]
    return corner


def corner(of: KeptVisit) -> dict[str, Any]:
    """The last entry's wheel."""
    last = entries(of)[-1]
    assert last.by == "T2"
    found: dict[str, Any] = last.body["corner"][0]
    return found


def test_a_ring_as_the_command_hears_it(folder: Path, tmp_path: Path) -> None:
    for i in range(2):
        said = ["--model", "12 in", "--by", "T1", "--check", "dye, no line", "--drum", f"D{i}"]
        good = sound(tmp_path / f"g{i}.wav", 200_100 + i)
        assert (
            CliRunner()
            .invoke(main, ["good-drums", "add", str(folder / "good-drums"), str(good), *said])
            .exit_code
            == 0
        )
    clips = [sound(tmp_path / f"c{i}.wav", 200_203 + i, "crack 50") for i in range(2)]
    first, second = (kept(c) for c in clips)
    here = visit()
    tasks.ask(
        here,
        "ring",
        Wanted(position="1-road", by="T2", sha256=(second.sha256,), earlier=(first.sha256,), hung=True),
    )
    assert tasks.work_one()
    wanted = command(
        "ring", *clips, "--same-drum", "--against", folder / "good-drums", "--for-visit", "--hung"
    )["ring"][1]
    (got,) = corner(here)["ring"]
    assert got == json.loads(json.dumps(wanted | {"clip": f"{second.sha256[:16]}.wav"}))
    (told,) = tasks.progress(here)
    assert (told.state, told.share, told.position) == ("done", 1.0, "1-road")
    assert told.said.startswith(wanted["verdict"])
    folded = fold(entries(here)).visit
    assert folded is not None
    assert folded.corner[0].ring[0].hung is True
    assert KeptVisit.objects.get(pk=here.pk).entries == 2


def test_a_mark_as_the_command_measures_it(tmp_path: Path) -> None:
    photo = PICTURES / "crack-at-edge.jpg"
    ends = json.loads(photo.with_suffix(".json").read_text("utf-8"))["marks"][0]["ends_px"]
    here, original = visit(), kept(photo)
    asked = Wanted(position="1-road", by="T2", sha256=(original.sha256,), diameter="12 in", ends=ends)
    tasks.ask(here, "mark", asked)
    assert tasks.work_one()
    figure = tmp_path / "f.svg"
    words = [
        "mark",
        photo,
        "--drum",
        "12in",
        "--ends",
        *(f"{x},{y}" for x, y in ends),
        "--figure",
        figure,
        "--said",
        "1-road",
        "--for-visit",
    ]
    wanted = command(*words)["mark"][0]
    (got,) = corner(here)["mark"]
    drawn = Original.objects.get(kind="figure")
    assert files.path_of(drawn).read_text("utf-8") == figure.read_text("utf-8")
    assert got == wanted | {
        "photo": f"{original.sha256[:16]}.jpg",
        "on": "friction band",
        "figure": f"{drawn.sha256}.svg",
    }
    folded = fold(entries(here)).visit
    assert folded is not None
    assert figures(folded) == {f"{drawn.sha256}.svg": figure.read_text("utf-8")}
    assert "fingernail" in tasks.progress(here)[0].said


def test_what_is_no_sound_is_told_in_words() -> None:
    here = visit()
    silent = files.kept([b"RIFF\0\0\0\0WAVE" + bytes(5000)])
    assert isinstance(silent, Original)
    tasks.ask(here, "ring", Wanted(position="1-road", by="T2", sha256=(silent.sha256,)))
    assert tasks.work_one()
    assert corner(here)["ring"][0]["verdict"] == "retake"
    assert "To do:" in tasks.progress(here)[0].said


def test_a_file_that_is_gone_and_a_drum_of_no_size_fail_in_words() -> None:
    here = visit()
    tasks.ask(here, "ring", Wanted(position="1-road", by="T2", sha256=("ab" * 32,)))
    tasks.ask(here, "mark", Wanted(position="1-road", by="T2", sha256=(kept(PICTURES / "glare.jpg").sha256,)))
    assert tasks.work_one()
    assert tasks.work_one()
    assert not tasks.work_one()
    told = tasks.progress(here)
    assert [t.state for t in told] == ["failed", "failed"]
    assert all("To do:" in t.said for t in told)
    assert len(entries(here)) == 1


def test_the_same_work_waits_once() -> None:
    here, asked = visit(), Wanted(position="1-road", by="T2", sha256=("ab" * 32,))
    assert tasks.ask(here, "ring", asked) == tasks.ask(here, "ring", asked)
    assert tasks.ask(here, "ring", asked.model_copy(update={"by": "T3"})) != tasks.ask(here, "ring", asked)


def test_three_tries_and_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    here = visit()
    tasks.ask(here, "ring", Wanted(position="1-road", by="T2", sha256=("ab" * 32,)))

    def falls(asked: Wanted, step: object) -> Found:
        raise MemoryError

    monkeypatch.setitem(tasks.WORKS, "ring", falls)
    for state in ("waiting", "waiting", "failed"):
        with pytest.raises(MemoryError):
            tasks.work_one()
        assert tasks.progress(here)[0].state == state
    assert "by eye and fingernail" in tasks.progress(here)[0].said


def test_done_twice_by_mishap_is_kept_once(monkeypatch: pytest.MonkeyPatch) -> None:
    here = visit()
    task = tasks.ask(here, "ring", Wanted(position="1-road", by="T2", sha256=("ab" * 32,)))
    found = Found([{"clip": "a.wav", "verdict": "dull"}], "dull")
    monkeypatch.setitem(tasks.WORKS, "ring", lambda asked, step: found)
    assert tasks.work_one()
    Task.objects.filter(pk=task.pk).update(state="waiting")
    assert tasks.work_one()
    assert len(entries(here)) == 2


HOLD = """
import sys, time
from pathlib import Path
from wheeltapper.store import held
with held.by_us(Path(sys.argv[1]), int(sys.argv[2])) as ours:
    print(ours, flush=True)
    time.sleep(60)
"""


def test_what_a_killed_worker_left_is_taken_up_and_what_a_live_one_holds_is_not(folder: Path) -> None:
    here = visit()
    task = tasks.ask(here, "ring", Wanted(position="1-road", by="T2", sha256=("ab" * 32,)))
    Task.objects.filter(pk=task.pk).update(state="running", tries=1)
    other = subprocess.Popen(
        [sys.executable, "-c", HOLD, str(folder / "tasks.lock"), str(task.pk)],
        stdout=subprocess.PIPE,
        text=True,
    )
    assert other.stdout is not None
    assert other.stdout.readline().strip() == "True"
    stop = Event()
    stop.wait = lambda timeout=None: stop.set() or True  # type: ignore[assignment,method-assign,func-returns-value]
    tasks.work_off(stop)
    assert tasks.progress(here)[0].state == "running"
    with held.by_us(folder / "tasks.lock", task.pk + 1) as ours:
        assert ours
    other.kill()
    other.communicate()
    stop.clear()
    tasks.work_off(stop)
    assert (tasks.progress(here)[0].state, Task.objects.get(pk=task.pk).tries) == (
        "failed",
        2,
    )  # its file never was


def test_two_workers_share_the_list(tmp_path: Path) -> None:
    """As the server runs them: each task once, whoever takes it; both end with their starter."""
    place = shop(tmp_path / "shop")
    code = (
        "import django; django.setup()\n"
        "from wheeltapper.store import keep, tasks\n"
        "from wheeltapper.store.work import Wanted\n"
        "v = keep.open_visit()\n"
        "for i in range(8): tasks.ask(v, 'ring', Wanted(position='1-road', by='T2', sha256=(f'{i:064x}',)))\n"
    )
    subprocess.run([sys.executable, "-c", code], env=env(place), check=True, timeout=60)
    pair = [
        subprocess.Popen(
            [sys.executable, "-m", "wheeltapper.store.worker"], env=env(place), stdin=subprocess.PIPE
        )
        for _ in range(2)
    ]
    until = time.monotonic() + 60
    while (states := _states(place)) != [("failed", 1)] * 8 and time.monotonic() < until:
        Event().wait(0.1)
    for process in pair:
        assert process.stdin is not None
        process.stdin.close()
    assert [p.wait(20) for p in pair] == [0, 0]
    assert states == [("failed", 1)] * 8
    assert rows(place / "shop.sqlite3") == []


def _states(place: Path) -> list[tuple[str, int]]:
    import sqlite3

    link = sqlite3.connect(place / "shop.sqlite3")
    try:
        found: list[tuple[str, int]] = link.execute("SELECT state, tries FROM store_task").fetchall()
    finally:
        link.close()
    return found


def test_the_worker_is_started_again_and_ends_with_the_server(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from wheeltapper.store import worker

    place = shop(tmp_path / "shop")
    for name, value in env(place).items():
        monkeypatch.setitem(os.environ, name, value)
    monkeypatch.setattr(worker, "PAUSE_S", 0.05)
    begun: list[subprocess.Popen[bytes]] = []
    really = worker._started

    def started() -> subprocess.Popen[bytes]:
        begun.append(really())
        return begun[-1]

    monkeypatch.setattr(worker, "_started", started)
    with worker.at_work():
        begun[0].kill()
        until = time.monotonic() + 20
        while len(begun) < 2 and time.monotonic() < until:
            Event().wait(0.05)
    assert len(begun) == 2
    assert all(p.poll() is not None for p in begun)
