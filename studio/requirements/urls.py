"""Addresses of the repertoire and of what institutions ask for."""

from django.urls import path

from studio.requirements.views import pieces, sets, slots, writing

urlpatterns = [
    # /repertoire/
    path("repertoire/", pieces.pieces, name="pieces"),
    path("repertoire/add/", pieces.piece_add, name="piece_add"),
    path("repertoire/<int:pk>/", pieces.piece, name="piece"),
    path("repertoire/<int:pk>/edit/", pieces.piece_edit, name="piece_edit"),
    path("repertoire/<int:pk>/remove/", pieces.piece_remove, name="piece_remove"),
    # /requirements/, of one institution
    path("requirements/", sets.requirement_sets, name="requirement_sets"),
    path(
        "institutions/<int:pk>/requirements/add/",
        sets.requirement_set_add,
        name="requirement_set_add",
    ),
    path("requirements/<int:pk>/", sets.requirement_set, name="requirement_set"),
    path(
        "requirements/<int:pk>/verify/", sets.requirement_set_verify, name="requirement_set_verify"
    ),
    path("requirements/<int:pk>/edit/", sets.requirement_set_edit, name="requirement_set_edit"),
    path(
        "requirements/<int:pk>/remove/", sets.requirement_set_remove, name="requirement_set_remove"
    ),
    path(
        "requirements/<int:pk>/write/", writing.requirement_set_write, name="requirement_set_write"
    ),
    path("requirements/notation/", writing.notation, name="notation"),
    # /requirements/<pk>/add/, one line of a set
    path("requirements/<int:pk>/add/", slots.requirement_add, name="requirement_add"),
    path("requirement/<int:pk>/edit/", slots.requirement_edit, name="requirement_edit"),
    path("requirement/<int:pk>/remove/", slots.requirement_remove, name="requirement_remove"),
]
