"""The repertoire: what the studio plays."""

from django.shortcuts import render
from django.urls import reverse

from studio.accounts.access import (
    add_or_404,
    change_or_404,
    may_add,
    read_or_404,
    readable,
    remove_or_404,
    staff_or_404,
)
from studio.accounts.pages import form_page, grouped, orders, quick_row, remove_page
from studio.requirements import contexts, queries
from studio.requirements.forms import PieceForm
from studio.requirements.models import MUSIC, Piece
from studio.students.models import Instrument


def pieces(request):
    """The studio's repertoire, by composer or by kind, with a row for adding to it."""
    who = staff_or_404(request.who)
    q = request.GET.get("q", "").strip()
    links, order = orders(request, {"composer": "By composer", "kind": "By kind"})
    found = queries.find(queries.pieces(who, order), q)
    context = {
        "title": "Repertoire",
        "columns": contexts.PIECE_COLUMNS,
        "filtered": True,
        "q": q,
        "orders": links,
        "empty": contexts.no_pieces(who),
        "quick": may_add(who, Piece) and _quick_piece(request),
        "add_url": may_add(who, Piece) and reverse("piece_add"),
        "add_label": "Add with all details",
        "other_url": reverse("requirement_sets"),
        "other_label": "What institutions ask for",
    }
    if order == "kind":
        context["groups"] = grouped(found, Piece.get_kind_display, contexts.piece_row)
    else:
        context["rows"] = [contexts.piece_row(row) for row in found]
    return render(request, "requirements/pieces.html", context)


def _quick_piece(request):
    return quick_row(
        request,
        PieceForm,
        Piece(studio=request.who.studio),
        what="a piece",
        name="piece",
        action=reverse("piece_add"),
    )


def piece(request, pk):
    """One piece: what it is, and who plays it for which audition."""
    who = staff_or_404(request.who)
    row = read_or_404(who, queries.played_pieces(), pk=pk)
    context = {
        "piece": row,
        "assignments": row.assignments.all(),
        "may_edit": may_add(who, Piece),
    }
    return render(request, "requirements/piece.html", context)


def piece_add(request):
    """Add a piece to the repertoire."""
    add_or_404(request.who, Piece)
    return form_page(
        request,
        PieceForm,
        _begun(request),
        title="Add a piece",
        back=reverse("pieces"),
        again=True,
    )


def _begun(request):
    """Return a new piece of the kind and for the instrument that the address names."""
    kind, named = request.GET.get("kind", ""), request.GET.get("instrument", "")
    instruments = readable(request.who, Instrument)
    return Piece(
        studio=request.who.studio,
        kind=kind if kind in MUSIC else Piece._meta.get_field("kind").default,
        instrument=next((each for each in instruments if str(each.pk) == named), None),
    )


def piece_edit(request, pk):
    """Change what is known of a piece."""
    row = change_or_404(request.who, Piece, pk=pk)
    return form_page(
        request,
        PieceForm,
        row,
        title=row.title,
        over=row.composer,
        back=row.get_absolute_url(),
        remove_url=reverse("piece_remove", args=[pk]),
    )


def piece_remove(request, pk):
    """Remove a piece that nobody plays."""
    return remove_page(request, remove_or_404(request.who, Piece, pk=pk), back=reverse("pieces"))
