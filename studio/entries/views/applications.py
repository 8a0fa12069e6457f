"""One student's applications: what is sent, open, late or forgotten, institution by institution."""

from django.shortcuts import get_object_or_404, render

from studio.accounts.access import staff_or_404
from studio.entries.applications import TITLES, Applications, with_applications
from studio.entries.bridge import Season


def applications(request, pk):
    """Everything the student's auditions want sent, paid and answered this season."""
    who = staff_or_404(request.who)
    season = Season(get_object_or_404(with_applications(who, pk)))
    context = {"student": season.student, "page": Applications(season), "titles": TITLES}
    return render(request, "entries/applications.html", context)
