"""Sets copied for another institution, instrument or season: never checked, until somebody looks.

The tree, the rules, those of recordings and, if wanted, the teacher's judgements go along. Errata
stay behind: they correct the list that they were published for. A copy says what it came from.
"""

import re
from dataclasses import dataclass

from django.db import transaction

from studio.accounts import history
from studio.requirements.models import (
    Again,
    Judgement,
    RecordingRules,
    Requirement,
    RequirementSet,
    Said,
)

KEY = ("institution_id", "season", "instrument_id", "level", "degree")
OF_THE_SET = ("reuse", "again", "together", "rubric", "notes")
OF_A_ROW = (
    "position",
    "name",
    "kind",
    "round",
    "at_least",
    "at_most",
    "minutes",
    "memory",
    "piano",
    "fits",
    "together",
    "scales",
    "keys_at",
    "study_seconds",
    "weight",
    "details",
)


@dataclass(frozen=True)
class Rolled:
    """What came of rolling sets to a season. skipped: sets that stand there already."""

    made: list
    skipped: list


def next_season(season):
    """Return the season after: "2027–28" after "2026–27", "2027" after "2026"."""

    def later(found):
        return str(int(found[0]) + 1).zfill(len(found[0]))[-len(found[0]) :]

    return re.sub(r"\d+", later, season)


def copy(source, target, *, judgements=False):
    """Save `target`, an unsaved set, as an unverified copy of `source`; return it.

    source: of `queries.copied_sets`. The source link goes along within one institution.
    """
    return _copies([(source, _begun(source, target))], judgements)[0]


def fill(target, source, *, judgements=False):
    """Copy the slots of `source` into `target`, a set without any; what it says itself stays."""
    for name, silence in (("reuse", Said.UNSTATED), ("again", Again.UNSTATED)):
        if getattr(target, name) == silence:
            setattr(target, name, getattr(source, name))
    target.together = target.together or source.together
    target.rubric = target.rubric or source.rubric
    target.copied_from, target.checked_by, target.checked_on = source, "", None
    with transaction.atomic():
        target.save()
        _copy_rows([(source, target)], judgements)
        _copy_recordings([(source, target)])


def roll(sources, season, *, judgements=False):
    """Copy each of the sets to `season`, as Rolled; those that stand there already are skipped.

    sources: of `queries.copied_sets`.
    """
    there = set(
        RequirementSet.objects.filter(
            institution__in={source.institution_id for source in sources}, season=season
        ).values_list(*KEY)
    )
    pairs, skipped = [], []
    for source in sources:
        target = RequirementSet(
            institution=source.institution,
            season=season,
            instrument=source.instrument,
            level=source.level,
            degree=source.degree,
        )
        if tuple(getattr(target, name) for name in KEY) in there:
            skipped.append(source)
        else:
            pairs.append((source, _begun(source, target)))
    return Rolled(_copies(pairs, judgements), skipped)


def _begun(source, target):
    for name in OF_THE_SET:
        setattr(target, name, getattr(source, name))
    if target.institution_id == source.institution_id:
        target.source = source.source
    target.copied_from = source
    return target


@transaction.atomic
def _copies(pairs, judgements):
    made = history.bulk_create([target for _, target in pairs])
    _copy_rows(pairs, judgements)
    _copy_recordings(pairs)
    return made


def _copy_rows(pairs, judgements):
    """Copy the tree level by level, so that each row finds the group it belongs to."""
    now = [(row, target) for source, target in pairs for row in source.requirements.all()]
    copied = {}
    while now:
        level = [(row, target) for row, target in now if row.parent_id in {None, *copied}]
        if not level:
            raise ValueError("A group of the set stands inside itself.")
        made = history.bulk_create([_row(row, target, copied) for row, target in level])
        copied |= {row.pk: new for (row, _), new in zip(level, made, strict=True)}
        now = [pair for pair in now if pair[0].pk not in copied]
    if judgements:
        _copy_judgements(pairs, copied)


def _row(row, target, copied):
    values = {name: getattr(row, name) for name in OF_A_ROW}
    return Requirement(requirement_set=target, parent=copied.get(row.parent_id), **values)


def _copy_recordings(pairs):
    """Copy how recordings are made; a round of which the target says so itself is left alone."""
    there = set(
        RecordingRules.objects.filter(
            requirement_set__in=[target.pk for _, target in pairs]
        ).values_list("requirement_set", "round")
    )
    history.bulk_create(
        [
            RecordingRules(
                requirement_set=target, **{name: getattr(row, name) for name in RecordingRules.SAID}
            )
            for source, target in pairs
            for row in source.recordings.all()
            if (target.pk, row.round) not in there
        ]
    )


def _copy_judgements(pairs, copied):
    history.bulk_create(
        [
            Judgement(
                requirement=copied[row.pk],
                piece_id=said.piece_id,
                fits=said.fits,
                reason=said.reason,
            )
            for source, _ in pairs
            for row in source.requirements.all()
            for said in row.judgements.all()
        ]
    )
