"""Addresses of institutions, their auditions, deadlines and offered dates."""

from django.urls import path

from studio.institutions import views

urlpatterns = [
    # /institutions/
    path("institutions/", views.institutions, name="institutions"),
    path("institutions/add/", views.institution_add, name="institution_add"),
    path("institutions/<int:pk>/", views.institution, name="institution"),
    path("institutions/<int:pk>/edit/", views.institution_edit, name="institution_edit"),
    path("institutions/<int:pk>/remove/", views.institution_remove, name="institution_remove"),
    path("institutions/<int:pk>/auditions/add/", views.audition_add, name="audition_add"),
    # /auditions/
    path("auditions/<int:pk>/", views.audition, name="audition"),
    path("auditions/<int:pk>/edit/", views.audition_edit, name="audition_edit"),
    path("auditions/<int:pk>/remove/", views.audition_remove, name="audition_remove"),
    path("auditions/<int:pk>/deadlines/add/", views.deadline_add, name="deadline_add"),
    path("auditions/<int:pk>/dates/add/", views.date_add, name="date_add"),
    # /deadlines/
    path("deadlines/<int:pk>/edit/", views.deadline_edit, name="deadline_edit"),
    path("deadlines/<int:pk>/remove/", views.deadline_remove, name="deadline_remove"),
    # /dates/
    path("dates/<int:pk>/edit/", views.date_edit, name="date_edit"),
    path("dates/<int:pk>/remove/", views.date_remove, name="date_remove"),
]
