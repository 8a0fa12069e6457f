"""Addresses of the repertoire and of what institutions ask for."""

from django.urls import path

from studio.requirements import views

urlpatterns = [
    # /repertoire/
    path("repertoire/", views.pieces, name="pieces"),
    path("repertoire/add/", views.piece_add, name="piece_add"),
    path("repertoire/<int:pk>/", views.piece, name="piece"),
    path("repertoire/<int:pk>/edit/", views.piece_edit, name="piece_edit"),
    path("repertoire/<int:pk>/remove/", views.piece_remove, name="piece_remove"),
    # /requirements/, of one institution
    path("requirements/", views.requirement_sets, name="requirement_sets"),
    path(
        "institutions/<int:pk>/requirements/add/",
        views.requirement_set_add,
        name="requirement_set_add",
    ),
    path("requirements/<int:pk>/", views.requirement_set, name="requirement_set"),
    path(
        "requirements/<int:pk>/verify/", views.requirement_set_verify, name="requirement_set_verify"
    ),
    path("requirements/<int:pk>/edit/", views.requirement_set_edit, name="requirement_set_edit"),
    path(
        "requirements/<int:pk>/remove/", views.requirement_set_remove, name="requirement_set_remove"
    ),
    # /requirements/<pk>/add/, one line of a set
    path("requirements/<int:pk>/add/", views.requirement_add, name="requirement_add"),
    path("requirement/<int:pk>/edit/", views.requirement_edit, name="requirement_edit"),
    path("requirement/<int:pk>/remove/", views.requirement_remove, name="requirement_remove"),
]
