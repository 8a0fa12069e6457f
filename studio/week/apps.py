"""The app of the studio's days."""

from django.apps import AppConfig


class WeekConfig(AppConfig):
    """The app; it has no models of its own."""

    name = "studio.week"
