"""The work that a clip or a photo makes: the ring test and the measuring of marks, done beside the pages.

A task waits, runs in a process of its own, and ends as an entry of its visit, by the person who asked. A worker holds a task by
a lock that falls when its process does, so that another one knows what was left lying; after TRIES it is given up, in words.
"""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any, Protocol

from django.conf import settings
from django.db import transaction
from django.db.models import F
from django.utils import timezone

from wheeltapper.store import held, keep
from wheeltapper.store.entries import Entry
from wheeltapper.store.models import KeptVisit, Task
from wheeltapper.store.work import Found, Step, Wanted, mark, ring

TRIES = 3
REST_S = 0.5  # between looks for work
GIVEN_UP = "it was tried three times and the program stopped each time: judge this wheel by eye and fingernail, and take it anew."
WORKS = {"ring": ring, "mark": mark}


class Stop(Protocol):
    """What tells a worker to end: an Event of threads or of processes."""

    def is_set(self) -> bool:
        """Whether to end."""
        ...

    def wait(self, timeout: float) -> bool:
        """Wait so long for it."""
        ...


@dataclass(frozen=True)
class Progress:
    """A task as a page shows it."""

    id: int
    kind: str
    position: str
    state: str
    share: float
    said: str


def ask(visit: KeptVisit, kind: str, asked: Wanted) -> Task:
    """Put work on the list; the same work that still waits is not put there twice."""
    plain = asked.model_dump(mode="json")
    with transaction.atomic():
        for task in Task.objects.filter(visit=visit, kind=kind, state="waiting"):
            if task.asked == plain:
                return task
        return Task.objects.create(visit=visit, kind=kind, asked=plain)


def progress(visit: KeptVisit) -> tuple[Progress, ...]:
    """All of a visit's tasks, the latest first."""
    rows = Task.objects.filter(visit=visit).order_by("-pk")
    return tuple(Progress(t.pk, t.kind, t.asked.get("position", ""), t.state, t.share, t.said) for t in rows)


def work_off(stop: Stop) -> None:
    """Work until told to stop: the oldest task first; what a killed worker left is taken up again."""
    while not stop.is_set():
        _take_up_what_was_left()
        if not work_one():
            stop.wait(REST_S)


def work_one() -> bool:
    """Do the oldest waiting task that nobody else holds; whether there was one."""
    for pk in Task.objects.filter(state="waiting").order_by("pk").values_list("pk", flat=True):
        with held.by_us(_locks(), pk) as ours:
            if ours and _taken(pk):
                _done(Task.objects.select_related("visit").get(pk=pk))
                return True
    return False


def _locks() -> Path:
    return Path(settings.SHOP_FOLDER) / "tasks.lock"


def _taken(pk: int) -> bool:
    waiting = Task.objects.filter(pk=pk, state="waiting")
    return bool(waiting.update(state="running", tries=F("tries") + 1, share=0.05, said=""))


def _take_up_what_was_left() -> None:
    """A running task whose lock is free has lost its worker."""
    for task in Task.objects.filter(state="running"):
        with held.by_us(_locks(), task.pk) as ours:
            if ours:
                _again(task.pk)


def _again(pk: int) -> None:
    """Back on the list, or given up."""
    left = Task.objects.filter(pk=pk, state="running")
    left.filter(tries__gte=TRIES).update(state="failed", said=GIVEN_UP, ended=timezone.now())
    left.filter(tries__lt=TRIES).update(state="waiting", share=0.0)


def _done(task: Task) -> None:
    """Do it. Where that fails in a way nobody thought of, the task goes back on the list and the worker falls: it is started again."""
    ended = False
    try:
        found = WORKS[task.kind](Wanted.model_validate(task.asked), _teller(task.pk))
        if isinstance(found, Found):
            _kept(task, found)
        state = "done" if isinstance(found, Found) else "failed"
        Task.objects.filter(pk=task.pk).update(
            state=state, share=1.0, said=found.said[:400], ended=timezone.now()
        )
        ended = True
    finally:
        if not ended:
            _again(task.pk)


def _teller(pk: int) -> Step:
    def step(share: float) -> None:
        Task.objects.filter(pk=pk).update(share=share)

    return step


def _kept(task: Task, found: Found) -> None:
    """Its entry; the same task gives the same id, so that one done twice by mishap is kept once."""
    id_ = sha256(f"task {task.visit.number} {task.pk} {task.made.isoformat()}".encode()).hexdigest()[:32]
    at = task.made.strftime("%Y-%m-%dT%H:%M:%S.%f")[:-3] + "Z"
    body: dict[str, Any] = {"corner": [{"position": task.asked["position"], task.kind: list(found.rows)}]}
    said = {
        "id": id_,
        "at": at,
        "by": task.asked["by"],
        "kind": "piece",
        "instead_of": task.asked.get("instead_of", ()),
    }
    got = keep.add(task.visit, [Entry.model_validate(said | {"body": body})], "worker")
    if not (got.ids or got.otherwise):
        raise RuntimeError(f"task {task.pk}: its entry was not kept: {got}")
