"""Which address is which screen."""

from __future__ import annotations

from django.urls import path

from wheeltapper.web import people, phones, sign_in

urlpatterns = [*sign_in.PATHS, *people.PATHS, *phones.PATHS, path("", people.me, name="start")]
