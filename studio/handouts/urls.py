"""Addresses of what is printed."""

from datetime import date

from django.urls import path, register_converter

from studio.handouts import trips, views


class DateConverter:
    """A date in an address: 2027-02-06."""

    regex = r"\d{4}-\d{2}-\d{2}"
    to_python = staticmethod(date.fromisoformat)
    to_url = staticmethod(str)


register_converter(DateConverter, "date")

urlpatterns = [
    path("entries/<int:pk>/day-sheet.pdf", views.day_sheet, name="day_sheet"),
    path("part.pdf", views.part_sheet, name="part_sheet"),
    path("students/<int:pk>/part.pdf", views.student_part_sheet, name="student_part_sheet"),
    path("students/<int:pk>/music.pdf", views.compare_sheet, name="compare_sheet"),
    path("students/<int:pk>/trips.pdf", trips.trips_sheet, name="trips_sheet"),
    path("days/<date:on>/sheets.pdf", views.day_sheets, name="day_sheets"),
]
