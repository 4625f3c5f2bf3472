"""A dark line in a photo with our card: both ends are tapped, the server measures, the result lands on the wheel."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.views.decorators.http import require_safe

from wheeltapper.web import live
from wheeltapper.web.who import Asked, needs

ON = {  # what the line is on, by the check that the photo was taken for
    "rim and chamfer": "friction band", "band line": "friction band", "band under the fingernail": "friction band",
    "band surface": "friction band", "magnet face": "magnet face", "hub face": "hub face", "rotor surface": "rotor",
}  # fmt: skip


@needs("photos")
@require_safe
def mark(request: Asked, number: str, sha: str) -> HttpResponse:
    """The photo, to be tapped."""
    now = live.live(live.named(number))
    found = [f for e, f in now.folded.files if e.kind == "photo" and f.sha256 == sha and f.check in ON]
    if not found:
        raise Http404(
            "There is no photo of a line by this name on the visit. Take it at a check of a face that can crack."
        )
    photo = found[0]
    return render(request, "mark/mark.html", {"kept": now.kept, "photo": photo, "on": ON[photo.check or ""]})


PATHS = [path("visit/<str:number>/mark/<str:sha>", mark, name="mark")]
