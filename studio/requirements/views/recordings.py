"""How the recordings of a set have to be made: one set of rules for each recorded round."""

from django.shortcuts import redirect
from django.urls import reverse

from studio.accounts.access import change_or_404, remove_or_404
from studio.accounts.pages import form_page, remove_page
from studio.requirements import queries
from studio.requirements.forms import RecordingRulesForm
from studio.requirements.models import RecordingRules, Requirement

INTRO = (
    "As the institution puts it; what it does not say stays “not stated”. "
    "Verify with the institution itself."
)
RECORDED = (Requirement.Round.SCREENING, Requirement.Round.FINAL)


def recording_rules_add(request, pk):
    """Write down how the recording of one round has to be made."""
    row = change_or_404(request.who, queries.named_sets(), pk=pk)
    there = {rules.round: rules for rules in row.recordings.all()}
    free = [each for each in RECORDED if each not in there]
    if not free:
        return redirect("recording_rules_edit", there[RECORDED[0]].pk)
    return form_page(
        request,
        RecordingRulesForm,
        RecordingRules(requirement_set=row, round=free[0]),
        title="How the recording is made",
        over=str(row),
        intro=INTRO,
        back=row.get_absolute_url() + "#recordings",
    )


def recording_rules_edit(request, pk):
    """Change how the recording of a round has to be made."""
    row = change_or_404(request.who, queries.named_recordings(), pk=pk)
    return form_page(
        request,
        RecordingRulesForm,
        row,
        title=str(row),
        over=str(row.requirement_set),
        intro=INTRO,
        back=row.requirement_set.get_absolute_url() + "#recordings",
        remove_url=reverse("recording_rules_remove", args=[pk]),
    )


def recording_rules_remove(request, pk):
    """Remove the rules of a round, with the takes that were made by them."""
    row = remove_or_404(request.who, queries.named_recordings(), pk=pk)
    return remove_page(request, row, back=row.requirement_set.get_absolute_url() + "#recordings")
