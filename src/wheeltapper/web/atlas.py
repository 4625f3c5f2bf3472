"""The atlas's pictures for the pages; a shop's own good part stands in where its house folder has one."""

from __future__ import annotations

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import path
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_safe

from wheeltapper.atlas import GOOD, data_of, own_photo, pictures
from wheeltapper.web.who import needs


@needs("yard")
@require_safe
@cache_control(max_age=86400, private=True)
def picture(request: HttpRequest, file: str) -> HttpResponse:
    """One picture by the name that the manifest has."""
    data, kind = found_by_name(file)
    return HttpResponse(data, content_type=kind)


def found_by_name(file: str) -> tuple[bytes, str]:
    """A picture's bytes and kind; a shop's own photo of a good part before ours.

    Raises:
        Http404: there is none.
    """
    found = next((p for p in pictures() if p.file == file), None)
    if found is None:
        raise Http404("The atlas has no such picture.")
    if found.condition == GOOD and settings.HOUSE_FOLDER.is_dir():
        own, _ = own_photo(settings.HOUSE_FOLDER, found.part, found.view)
        if own is not None:
            return own, "image/jpeg"
    return data_of(file), "image/webp"


PATHS = [path("atlas/<str:file>", picture, name="atlas")]
