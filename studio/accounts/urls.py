"""Addresses of people, the studio and its history."""

from django.urls import path

from studio.accounts import views

urlpatterns = [
    path("", views.home, name="home"),
    # /studio/
    path("studio/", views.studio, name="studio"),
    path("studio/journeys/", views.journey_settings, name="journey_settings"),
    # /account/, /people/
    path("account/", views.account, name="account"),
    path("people/", views.people, name="people"),
    path("people/<int:pk>/remove/", views.membership_remove, name="membership_remove"),
    path("invitation/<str:secret>/", views.invitation, name="invitation"),
    # /history/
    path("history/", views.history_list, name="history"),
    path("history/<uuid:batch>/", views.history_batch, name="history_batch"),
    path("bin/", views.bin, name="bin"),
    path("history/<uuid:batch>/undo/", views.undo, name="undo"),
]
