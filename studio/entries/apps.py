"""The app of entries: what follows from a changed deadline or a new entry is connected here."""

from django.apps import AppConfig


class EntriesConfig(AppConfig):
    """The app; it listens to what is saved, so that tasks follow from entries and deadlines."""

    name = "studio.entries"

    def ready(self):
        """Connect the receivers."""
        from studio.entries import receivers  # noqa: F401  (connects the receivers)
