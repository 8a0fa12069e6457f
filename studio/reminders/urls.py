"""Addresses of the weekly e-mail."""

from django.urls import path

from studio.reminders import views

urlpatterns = [
    path("mail/", views.mail, name="mail"),
    path("mail/<str:token>/stop/", views.mail_stop, name="mail_stop"),
]
