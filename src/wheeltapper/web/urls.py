"""Which address is which screen."""

from __future__ import annotations

from wheeltapper.web import people, sign_in

urlpatterns = [*sign_in.PATHS, *people.PATHS]
