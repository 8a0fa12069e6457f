"""Addresses of students, their company and instruments. Their own page is the part, in entries."""

from django.urls import path

from studio.students import company, seats, views

urlpatterns = [
    # /students/
    path("students/", views.students, name="students"),
    path("students/add/", views.student_add, name="student_add"),
    path("students/<int:pk>/edit/", views.student_edit, name="student_edit"),
    path("students/<int:pk>/remove/", views.student_remove, name="student_remove"),
    path("students/<int:pk>/invite/", seats.student_invite, name="student_invite"),
    # /students/<pk>/away/, /away/
    path("students/<int:pk>/away/add/", views.away_add, name="away_add"),
    path("away/<int:pk>/edit/", views.away_edit, name="away_edit"),
    path("away/<int:pk>/remove/", views.away_remove, name="away_remove"),
    # /students/<pk>/recommenders/, /recommenders/
    path("students/<int:pk>/recommenders/add/", company.recommender_add, name="recommender_add"),
    path("recommenders/<int:pk>/edit/", company.recommender_edit, name="recommender_edit"),
    path("recommenders/<int:pk>/remove/", company.recommender_remove, name="recommender_remove"),
    # /students/<pk>/guardians/, /guardians/
    path("students/<int:pk>/guardians/add/", company.guardian_add, name="guardian_add"),
    path("guardians/<int:pk>/edit/", company.guardian_edit, name="guardian_edit"),
    path("guardians/<int:pk>/remove/", company.guardian_remove, name="guardian_remove"),
    path("guardians/<int:pk>/invite/", seats.guardian_invite, name="guardian_invite"),
    # /accompanists/
    path("accompanists/", company.accompanists, name="accompanists"),
    path("accompanists/add/", company.accompanist_add, name="accompanist_add"),
    path("accompanists/<int:pk>/edit/", company.accompanist_edit, name="accompanist_edit"),
    path("accompanists/<int:pk>/remove/", company.accompanist_remove, name="accompanist_remove"),
    path("accompanists/<int:pk>/invite/", seats.accompanist_invite, name="accompanist_invite"),
    # /own-days/
    path("own-days/", company.own_days, name="own_days"),
    path("own-days/add/", company.own_day_add, name="own_day_add"),
    path("own-days/<int:pk>/edit/", company.own_day_edit, name="own_day_edit"),
    path("own-days/<int:pk>/remove/", company.own_day_remove, name="own_day_remove"),
    # /instruments/
    path("instruments/", views.instruments, name="instruments"),
    path("instruments/usual/", views.instruments_usual, name="instruments_usual"),
    path("instruments/add/", views.instrument_add, name="instrument_add"),
    path("instruments/<int:pk>/edit/", views.instrument_edit, name="instrument_edit"),
    path("instruments/<int:pk>/remove/", views.instrument_remove, name="instrument_remove"),
]
