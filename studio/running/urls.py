"""Addresses for whoever runs the site."""

from django.urls import path

from studio.running.views import health

urlpatterns = [
    path("health/", health, name="health"),
]
