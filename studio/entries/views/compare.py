"""One student's music against their auditions, and a set against the students of an instrument."""

from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from studio.accounts.access import staff_or_404
from studio.entries.bridge import Season
from studio.entries.choices import pieces
from studio.entries.compare import Comparison, empty
from studio.entries.compare_queries import compared


@require_safe
def compare(request, pk):
    """What one student plays, and where; what the auditions ask, and what is not covered."""
    who = staff_or_404(request.who)
    student = get_object_or_404(compared(who), pk=pk)
    comparison = Comparison(Season(student), list(pieces(who)))
    context = {
        "student": student,
        "comparison": comparison,
        "empty": empty(who, student, comparison),
    }
    return render(request, "entries/compare.html", context)
