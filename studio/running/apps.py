"""Registers the checks; on a real site, has errors end commands without their text."""

import sys

from django.apps import AppConfig
from django.conf import settings


class Running(AppConfig):
    """Running the site."""

    name = "studio.running"

    def ready(self):
        """Register the checks."""
        from studio.running import checks, logs  # noqa: F401 - checks register themselves

        if settings.LOGS == "json" and not sys.stderr.isatty():
            sys.excepthook = logs.last_words
