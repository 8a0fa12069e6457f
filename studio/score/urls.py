"""Addresses of the score."""

from django.urls import path

from studio.score import views

urlpatterns = [
    # /score/
    path("score/", views.score, name="score"),
    # /cues/
    path("cues/", views.cues, name="cues"),
]
