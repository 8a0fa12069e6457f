"""Rows in, planner.repertoire out: pieces, slots, and the hearings of a requirement set.

Keys are str(pk); a hearing's key is its round. Nothing here queries, if the rows come from
`queries.planned_sets`. What stands in a notation that cannot be read is passed over, as the text
that it is: the set's page says so in red.

What is left out of a hearing, because no music has to be prepared for it:

- slots that no piece is assigned to (sight-reading, tests, interviews, papers);
- slots with scales written down: `planner.scales` unites these, piece by piece tells nothing;
- optional slots (none at the least), and groups that ask for nothing once the rest is left out.

In a group "some of these" each child that is left out can be chosen without preparing anything,
so it lowers by one how many of the others are asked for.
"""

import re
from collections import defaultdict
from dataclasses import replace

from planner.repertoire import model, notation
from planner.repertoire.rules import About
from studio.requirements.models import Again, Kind, Requirement, Said
from studio.requirements.tree import most, tree

SECONDS = 60
BETWEEN_WORDS = re.compile(r"[,;/]|\band\b")


def piece(row, prep):
    """Return a Piece as the planner knows it. prep: whole minutes still to prepare."""
    return model.Piece(
        key=str(row.pk),
        name=str(row),
        prep=prep,
        kind=row.kind,
        instrument=row.instrument.name if row.instrument else "",
        composer=row.composer,
        work=row.work,
        section=row.section,
        book=row.book,
        genre=row.genre,
        period=row.period,
        year=row.year,
        character=tuple(_words(row.character)),
        seconds=_seconds(row.minutes),
        piano=row.piano,
        language=row.language,
        edition=row.edition,
        bars=row.bars,
        level=row.level,
    )


def _words(text):
    return filter(None, (word.strip() for word in BETWEEN_WORDS.split(text)))


def _seconds(minutes):
    return None if minutes is None else round(minutes * SECONDS)


def slot(requirement, instrument, judged):
    """Return a requirement that asks for pieces as a Slot, by itself.

    instrument: the name of the player's. judged: the teacher's word by piece key.
    """
    return model.Slot(
        key=str(requirement.pk),
        name=requirement.name,
        kind=requirement.kind,
        least=requirement.at_least,
        most=requirement.at_most,
        inside=requirement.parent_id and str(requirement.parent_id),
        instrument=instrument,
        piano=requirement.piano,
        rules=_read(notation.read_rules, requirement.fits),
        judged=judged,
    )


def judged(requirement):
    """Return the teacher's word on pieces, by their key, of the requirement's judgements."""
    return {str(row.piece_id): row.fits for row in requirement.judgements.all()}


def names_instrument(made):
    """Whether a Slot says for which instrument its pieces are, rather than for the player's."""
    return any(rule.about is About.INSTRUMENT and not rule.barred for rule in made.rules)


def is_planned(requirement):
    """Whether pieces are to be found for it: music, not optional, and not scales written down."""
    written = requirement.kind == Kind.SCALES and requirement.scales
    return requirement.is_music and requirement.at_least > 0 and not written


def hearings(requirement_set, instrument):
    """Return the Hearings of a set of `queries.planned_sets`, in order; those with slots only."""
    rounds = defaultdict(list)
    for row in requirement_set.requirements.all():
        rounds[row.round].append(row)
    made = (
        _hearing(requirement_set, instrument, name, rounds[name])
        for name in Requirement.Round.values
    )
    return tuple(hearing for hearing in made if hearing.slots)


def again(requirement_set):
    """Return whether the pieces of the screening are played again; may, if that is not stated."""
    said = requirement_set.again
    return model.Again.MAY if said == Again.UNSTATED else model.Again(said)


def _hearing(requirement_set, instrument, name, rows):
    kept = _Kept(tree(rows))
    bound = _together(requirement_set.together, None)
    return model.Hearing(
        key=name,
        name=Requirement.Round(name).label,
        slots=tuple(
            replace(slot(node.requirement, instrument, judged(node.requirement)), inside=inside)
            for node, inside in kept.nodes
            if not node.is_group
        ),
        groups=tuple(kept.group(node, inside) for node, inside in kept.nodes if node.is_group),
        together=(*bound, *(each for node, _ in kept.nodes for each in _bound(node.requirement))),
        reuse=requirement_set.reuse == Said.YES,
    )


def _bound(row):
    """What binds the pieces of one slot or group together, its minutes in all among it."""
    bound = _together(row.together, str(row.pk))
    if row.minutes is None:
        return bound
    whole = model.Together(
        name=f"{row.name}: at most {row.minutes.normalize():f} minutes",
        binding=model.Binding.LENGTH,
        scope=str(row.pk),
        most=_seconds(row.minutes),
    )
    return (*bound, whole)


def _together(text, scope):
    return tuple(replace(each, scope=scope) for each in _read(notation.read_together, text))


def _read(read, text):
    try:
        return read(text) if text else ()
    except ValueError:
        return ()


class _Kept:
    """The nodes of one round that music has to be prepared for, each with the key of its group."""

    def __init__(self, nodes):
        self.nodes = tuple(pair for node in nodes for pair in self._kept(node, None))

    def _kept(self, node, inside):
        """Return the node and what is kept of it below, or nothing."""
        if not node.is_group:
            return [(node, inside)] if is_planned(node.requirement) else []
        key = str(node.requirement.pk)
        below = [pair for child in node.children for pair in self._kept(child, key)]
        optional = node.is_choice and _least(node, _music(below, key)) <= 0
        return [(node, inside), *below] if below and not optional else []

    def group(self, node, inside):
        """Return a kept group as a Group."""
        row = node.requirement
        key, least, upper = str(row.pk), None, None
        if node.is_choice:
            music = _music(self.nodes, key)
            least = _least(node, music)
            upper = max(least, min(most(row), music))
        return model.Group(key, row.name, least, upper, inside)


def _music(pairs, key):
    return sum(inside == key for _, inside in pairs)


def _least(node, music):
    free = len(node.children) - music
    return min(node.requirement.at_least - free, music)
