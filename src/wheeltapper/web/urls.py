"""Which address is which screen."""

from __future__ import annotations

from wheeltapper.web import sign_in

urlpatterns = [*sign_in.PATHS]
