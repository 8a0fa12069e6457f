"""Addresses of what is printed."""

from django.urls import path

from studio.accounts import converters as converters  # <date:on>
from studio.handouts import readiness, scales, trips, views

urlpatterns = [
    path("entries/<int:pk>/day-sheet.pdf", views.day_sheet, name="day_sheet"),
    path("part.pdf", views.part_sheet, name="part_sheet"),
    path("students/<int:pk>/part.pdf", views.student_part_sheet, name="student_part_sheet"),
    path("students/<int:pk>/deadlines.pdf", views.deadlines_sheet, name="deadlines_sheet"),
    path("students/<int:pk>/music.pdf", views.compare_sheet, name="compare_sheet"),
    path("students/<int:pk>/trips.pdf", trips.trips_sheet, name="trips_sheet"),
    path("students/<int:pk>/readiness.pdf", readiness.readiness_sheet, name="readiness_sheet"),
    path("students/<int:pk>/drill/sheet.pdf", scales.drill_sheet, name="drill_sheet"),
    path("days/<date:on>/sheets.pdf", views.day_sheets, name="day_sheets"),
    path("week/<date:on>.pdf", views.week_sheet, name="week_sheet"),
]
