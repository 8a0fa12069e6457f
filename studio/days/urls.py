"""Addresses of audition days."""

from django.urls import path

from studio.days import views
from studio.days.accompanying import accompanying

urlpatterns = [
    # /days/
    path("days/", views.days, name="days"),
    path("days/minutes/", views.day_settings, name="day_settings"),
    path("accompanying/", accompanying, name="accompanying"),
    # /entries/<pk>/day/
    path("entries/<int:pk>/day/", views.day, name="day"),
    path("entries/<int:pk>/day/edit/", views.day_edit, name="day_edit"),
    path("entries/<int:pk>/day/remove/", views.day_remove, name="day_remove"),
]
