"""Addresses of people, the studio and its history."""

from django.urls import path

from studio.accounts import views, yours

urlpatterns = [
    path("", views.home, name="home"),
    # /studio/
    path("studio/", views.studio, name="studio"),
    path("studio/journeys/", views.journey_settings, name="journey_settings"),
    # /account/, /people/
    path("account/", yours.account, name="account"),
    path("account/seats/<int:pk>/", yours.seat_choose, name="seat_choose"),
    path("account/sessions/", yours.sessions, name="sessions"),
    path("account/sessions/<int:pk>/end/", yours.session_end, name="session_end"),
    path(
        "account/two-factors/webauthn/keys/<int:pk>/remove/",  # before that of allauth
        yours.passkey_remove,
        name="mfa_remove_webauthn",
    ),
    path("people/", views.people, name="people"),
    path("people/<int:pk>/remove/", views.membership_remove, name="membership_remove"),
    path("invitation/<str:secret>/", views.invitation, name="invitation"),
    # /history/
    path("history/", views.history_list, name="history"),
    path("history/<uuid:batch>/", views.history_batch, name="history_batch"),
    path("bin/", views.bin, name="bin"),
    path("history/<uuid:batch>/undo/", views.undo, name="undo"),
]
