"""People, studios and signing in."""

from django.apps import AppConfig


class AccountsConfig(AppConfig):
    """Hears from the start what ends a session."""

    name = "studio.accounts"

    def ready(self):
        """Connect the receivers."""
        from studio.accounts import sessions  # noqa: F401
