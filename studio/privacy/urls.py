"""Addresses of what is stored about people."""

from django.urls import path

from studio.privacy import views

urlpatterns = [
    # /privacy/
    path("privacy/", views.privacy, name="privacy"),
    # /students/<pk>/privacy/
    path("students/<int:pk>/privacy/", views.student_privacy, name="student_privacy"),
    path("students/<int:pk>/privacy/stored.zip", views.student_export, name="student_export"),
    path("students/<int:pk>/privacy/erase/", views.student_erase, name="student_erase"),
    path("students/<int:pk>/privacy/keep/", views.student_keep, name="student_keep"),
]
