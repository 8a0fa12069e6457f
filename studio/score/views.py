"""The score: the teacher's overview of everybody's season, and all that is to be done."""

from django.shortcuts import render
from django.views.decorators.http import require_safe

from studio.accounts.access import staff_or_404
from studio.score.contexts import CuesPage, ScorePage


@require_safe
def score(request):
    """One staff a student, the cues beside it, and the same as a table."""
    who = staff_or_404(request.who)
    return render(request, "score/score.html", {"page": ScorePage(who, request.GET)})


@require_safe
def cues(request):
    """Everything that is to be done, by whom and when."""
    who = staff_or_404(request.who)
    return render(request, "score/cues.html", {"page": CuesPage(who, request.GET)})
