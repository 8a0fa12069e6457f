"""Addresses of calendars."""

from django.urls import path

from studio.feeds import views

urlpatterns = [
    # the calendars themselves, for whoever knows the address
    path("feeds/<str:token>/part.ics", views.student_feed, name="student_feed"),
    path("feeds/<str:token>/score.ics", views.studio_feed_calendar, name="studio_feed_calendar"),
    # /feed/, /part/feed/, /students/<pk>/feed/
    path("feed/", views.studio_feed, name="studio_feed"),
    path("feed/renew/", views.studio_feed_renew, name="studio_feed_renew"),
    path("part/feed/", views.part_feed, name="part_feed"),
    path("students/<int:pk>/feed/", views.student_feed_address, name="student_feed_address"),
    path("students/<int:pk>/feed/renew/", views.student_feed_renew, name="student_feed_renew"),
]
