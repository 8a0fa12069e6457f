"""Addresses of the repertoire and of what institutions ask for."""

from django.urls import path

from studio.requirements.views import checking, copying, pieces, recordings, sets, slots, writing


def of_set(*routes):
    """Return the addresses below that of one set: (ending, view, name) each."""
    return [path(f"requirements/<int:pk>/{end}", view, name=name) for end, view, name in routes]


urlpatterns = [
    # /repertoire/
    path("repertoire/", pieces.pieces, name="pieces"),
    path("repertoire/add/", pieces.piece_add, name="piece_add"),
    path("repertoire/<int:pk>/", pieces.piece, name="piece"),
    path("repertoire/<int:pk>/edit/", pieces.piece_edit, name="piece_edit"),
    path("repertoire/<int:pk>/remove/", pieces.piece_remove, name="piece_remove"),
    # /requirements/, and one set
    path("requirements/", sets.requirement_sets, name="requirement_sets"),
    path("requirements/roll/", copying.requirement_sets_roll, name="requirement_sets_roll"),
    path("requirements/notation/", writing.notation, name="notation"),
    path(
        "institutions/<int:pk>/requirements/add/",
        sets.requirement_set_add,
        name="requirement_set_add",
    ),
    *of_set(
        ("", sets.requirement_set, "requirement_set"),
        ("write/", writing.requirement_set_write, "requirement_set_write"),
        ("verify/", checking.requirement_set_verify, "requirement_set_verify"),
        ("copy/", copying.requirement_set_copy, "requirement_set_copy"),
        ("fill/", copying.requirement_set_fill, "requirement_set_fill"),
        ("edit/", sets.requirement_set_edit, "requirement_set_edit"),
        ("remove/", sets.requirement_set_remove, "requirement_set_remove"),
        ("add/", slots.requirement_add, "requirement_add"),
        ("errata/add/", checking.erratum_add, "erratum_add"),
        ("recordings/add/", recordings.recording_rules_add, "recording_rules_add"),
    ),
    # /requirement/<pk>/, one line of a set; /erratum/, /judgement/, /recording-rules/
    path("requirement/<int:pk>/", slots.requirement, name="requirement"),
    path("requirement/<int:pk>/edit/", slots.requirement_edit, name="requirement_edit"),
    path("requirement/<int:pk>/remove/", slots.requirement_remove, name="requirement_remove"),
    path("requirement/<int:pk>/judge/", slots.requirement_judge, name="requirement_judge"),
    path("judgement/<int:pk>/remove/", slots.judgement_remove, name="judgement_remove"),
    path(
        "recording-rules/<int:pk>/edit/",
        recordings.recording_rules_edit,
        name="recording_rules_edit",
    ),
    path(
        "recording-rules/<int:pk>/remove/",
        recordings.recording_rules_remove,
        name="recording_rules_remove",
    ),
    path("erratum/<int:pk>/edit/", checking.erratum_edit, name="erratum_edit"),
    path("erratum/<int:pk>/remove/", checking.erratum_remove, name="erratum_remove"),
]
