"""The app of entries: what follows from a changed deadline or a new entry is connected here."""

from django.apps import AppConfig


class EntriesConfig(AppConfig):
    name = "studio.entries"

    def ready(self):
        from studio.entries import receivers  # noqa: F401  (connects the receivers)
