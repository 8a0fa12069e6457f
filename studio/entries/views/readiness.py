"""How ready one student is, piece by piece, for staff and for the student."""

from django.shortcuts import render
from django.views.decorators.http import require_safe

from studio.accounts.access import STAFF, read_or_404
from studio.accounts.models import Role
from studio.entries.bridge import Season
from studio.entries.queries import whole_season
from studio.entries.readiness_page import Readiness


@require_safe
def readiness(request, pk):
    """Today, for each audition and for each piece: how ready, when, and how sure that is."""
    season = Season(read_or_404(request.who, whole_season(request.who), pk=pk))
    role = request.who.role
    page = Readiness(season, staff=role in STAFF, own=role == Role.STUDENT)
    return render(request, "entries/readiness.html", {"page": page})
