"""Opening a studio: its owner's seat, and the usual lists to start from."""

from django.db import transaction

from planner.deadlines import DAY_TIMES, LEAD_TIMES
from studio.accounts import history
from studio.accounts.models import Membership, Role, Studio
from studio.entries.models import LeadTime
from studio.students.usual import add_usual_instruments


@transaction.atomic
def open_studio(*, bare=False, **fields):
    """Open a studio and return the owner's empty seat.

    fields: those of Studio. bare: leave the lists of instruments and lead times empty, for a
    workbook that brings its own.
    """
    studio = Studio(**fields)
    studio.full_clean()
    studio.save()
    if not bare:
        add_usual_instruments(studio)
        add_usual_lead_times(studio)
    return Membership.objects.create(studio=studio, role=Role.OWNER)


def add_usual_lead_times(studio):
    """Add the usual lead times (common practice, no source) that the studio's list lacks.

    Rules of usual names that say nothing of what they wait for get that too; returns both.
    """
    rules = list(studio.lead_times.all())
    untied = untied_lead_times(rules)
    for rule, usual in untied:
        rule.after, rule.needs, rule.shared = usual.after, usual.needs, usual.shared
    history.bulk_update([rule for rule, _ in untied], ["after", "needs", "shared"])
    return [rule for rule, _ in untied] + history.bulk_create(
        [
            LeadTime(
                studio=studio,
                kind=str(usual.kind),
                of=place,
                name=usual.name,
                doer=usual.doer,
                lead=usual.lead.count,
                lead_unit=usual.lead.unit.value,
                takes=usual.takes.count,
                after=usual.after,
                needs=usual.needs,
                shared=usual.shared,
            )
            for usual, place in missing_lead_times(rules)
        ]
    )


def untied_lead_times(rules):
    """Return the rules that say nothing of what they wait for where the usual of their name does.

    Each with the usual one: lists from before there was anything to say.
    """
    usual = {(str(each.kind), each.name): each for each in (*LEAD_TIMES, *DAY_TIMES)}
    found = ((rule, usual.get((rule.kind, rule.name))) for rule in rules)
    return [
        (rule, each)
        for rule, each in found
        if each
        and not (rule.after or rule.needs or rule.shared)
        and (each.after or each.needs or each.shared)
    ]


def missing_lead_times(rules):
    """Return the usual lead times that `rules` lack, each with its kind of institution or "".

    A rule of the studio's own for all kinds stands for the usual ones of its name.
    """
    there = {(rule.kind, rule.of, rule.name) for rule in rules}
    return [
        (usual, place)
        for usual in (*LEAD_TIMES, *DAY_TIMES)
        for place in usual.of or ("",)
        if there.isdisjoint({(usual.kind, of, usual.name) for of in ("", place)})
    ]
