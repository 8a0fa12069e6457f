"""Addresses of this app."""

from django.urls import path

from studio.entries.views import part

urlpatterns = [
    # /part/
    path("part/", part.part, name="part"),
    path("students/<int:pk>/", part.student, name="student"),
    path("pieces/<int:pk>/log/", part.check_log, name="check_log"),
    # /tasks/
    path("tasks/<int:pk>/tick/", part.task_tick, name="task_tick"),
]
