"""One student's music against their auditions, and a set against the students of an instrument."""

from django.db.models import prefetch_related_objects
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from studio.accounts.access import read_or_404, staff_or_404
from studio.entries.bridge import Season
from studio.entries.choices import pieces
from studio.entries.compare import Comparison, empty
from studio.entries.compare_instrument import InstrumentComparison, chosen_set
from studio.entries.compare_queries import compared, entered, sets_of
from studio.students.models import Instrument


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


@require_safe
def compare_instrument(request, pk):
    """One requirement set (`?set=`; usually the one with most entries) across an instrument."""
    who = staff_or_404(request.who)
    instrument = read_or_404(who, Instrument, pk=pk)
    sets = list(sets_of(who, instrument))
    context = {"instrument": instrument, "sets": sets, "season": who.studio.season}
    if chosen := chosen_set(sets, request.GET.get("set")):
        prefetch_related_objects([chosen], "requirements")
        context["comparison"] = InstrumentComparison(chosen, list(entered(who, chosen)))
    return render(request, "entries/compare_instrument.html", context)
