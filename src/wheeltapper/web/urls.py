"""Which address is which screen."""

from __future__ import annotations

from wheeltapper.web import who

urlpatterns = [*who.PATHS]
