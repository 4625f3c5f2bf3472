"""Tells Django that the store is one of its applications."""

from django.apps import AppConfig


class StoreConfig(AppConfig):
    """The store's tables."""

    name = "wheeltapper.store"
    label = "store"
    default_auto_field = "django.db.models.BigAutoField"
