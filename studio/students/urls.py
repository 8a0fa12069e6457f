"""Addresses of students and instruments. A student's own page is the part, in entries."""

from django.urls import path

from studio.students import views

urlpatterns = [
    # /students/
    path("students/", views.students, name="students"),
    path("students/add/", views.student_add, name="student_add"),
    path("students/<int:pk>/edit/", views.student_edit, name="student_edit"),
    path("students/<int:pk>/remove/", views.student_remove, name="student_remove"),
    path("students/<int:pk>/invite/", views.student_invite, name="student_invite"),
    # /students/<pk>/away/, /away/
    path("students/<int:pk>/away/add/", views.away_add, name="away_add"),
    path("away/<int:pk>/edit/", views.away_edit, name="away_edit"),
    path("away/<int:pk>/remove/", views.away_remove, name="away_remove"),
    # /instruments/
    path("instruments/", views.instruments, name="instruments"),
    path("instruments/usual/", views.instruments_usual, name="instruments_usual"),
    path("instruments/add/", views.instrument_add, name="instrument_add"),
    path("instruments/<int:pk>/edit/", views.instrument_edit, name="instrument_edit"),
    path("instruments/<int:pk>/remove/", views.instrument_remove, name="instrument_remove"),
]
