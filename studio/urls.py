"""Every address of the site, app by app."""

from django.urls import include, path

urlpatterns = [
    path("", include("studio.accounts.urls")),
    path("account/", include("allauth.account.urls")),
    path("account/two-factors/", include("allauth.mfa.urls")),
    path("", include("studio.students.urls")),
    path("", include("studio.institutions.urls")),
    path("", include("studio.requirements.urls")),
    path("", include("studio.entries.urls")),
    path("", include("studio.days.urls")),
    path("", include("studio.week.urls")),
    path("", include("studio.score.urls")),
    path("", include("studio.handouts.urls")),
    path("", include("studio.feeds.urls")),
    path("", include("studio.workbook.urls")),
    path("", include("studio.reminders.urls")),
    path("", include("studio.privacy.urls")),
    path("", include("studio.running.urls")),
]
