"""Addresses of this app."""

from django.urls import path

from studio.accounts import converters as converters  # <date:on>
from studio.week import views

urlpatterns = [
    path("week/", views.week, name="week"),
    path("week/<date:on>/", views.week, name="week"),
    path("letters/", views.letters, name="letters"),
    path("dates/", views.together, name="together"),
    path("dates/accept/", views.together_accept, name="together_accept"),
]
