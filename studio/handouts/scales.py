"""A student's scales on paper, engraved, with room for fingerings and for each week's tempo."""

from django.http import Http404
from django.views.decorators.http import require_safe

from studio.accounts.access import read_or_404
from studio.entries.bridge import Season
from studio.entries.drill.rows import drilled
from studio.entries.engraving.sheet import WEEKS, ScaleSheet
from studio.handouts import pdf
from studio.handouts.views import as_pdf, frame


@require_safe
def drill_sheet(request, pk):
    """All scales that the auditions ahead ask, or those of one demand, or one key."""
    season = Season(read_or_404(request.who, drilled(request.who), pk=pk))
    sheet = ScaleSheet(season, request.GET.get("of", ""), request.GET.get("key", ""))
    if sheet.is_part and not sheet.parts:
        raise Http404("No audition ahead asks for these scales. Print all of them instead.")
    context = {
        "title": f"{sheet.title}, {season.student}",
        "sheet": sheet,
        "weeks": WEEKS,
        **frame(request),
    }
    return as_pdf(pdf.document("handouts/scales_sheet.html", context), "scales.pdf")
