"""Who and what students are surrounded by: accompanists, own days, recommenders, guardians."""

from django.shortcuts import render
from django.urls import reverse

from studio.accounts.access import (
    add_or_404,
    change_or_404,
    may_add,
    remove_or_404,
    staff_or_404,
)
from studio.accounts.pages import form_page, remove_page
from studio.students import company_contexts as contexts
from studio.students import queries
from studio.students.company_forms import (
    AccompanistForm,
    GuardianForm,
    RecommenderForm,
    StudioDayForm,
)
from studio.students.models import Accompanist, Guardian, Recommender, Student, StudioDay


def accompanists(request):
    """Who plays the piano with the studio's students, and how often this season."""
    who = staff_or_404(request.who)
    editable = may_add(who, Accompanist)
    rows = [contexts.accompanist_row(row, editable) for row in queries.accompanists(who)]
    context = {
        "title": "Accompanists",
        "intro": "Who plays the piano with several of your students: nobody can be in two places.",
        "columns": contexts.ACCOMPANIST_COLUMNS,
        "rows": rows,
        "empty": contexts.no_accompanists(who),
        "add_url": editable and reverse("accompanist_add"),
        "add_label": "Add an accompanist",
        "others": [
            ("Days they are away", reverse("own_days")),
            ("Who is wanted where", reverse("together")),
        ],
    }
    return render(request, "partials/list_page.html", context)


def accompanist_add(request):
    """Write down an accompanist."""
    add_or_404(request.who, Accompanist)
    return form_page(
        request,
        AccompanistForm,
        Accompanist(studio=request.who.studio),
        title="Add an accompanist",
        intro="Then say in each entry who comes along to play.",
        back=reverse("accompanists"),
        again=True,
    )


def accompanist_edit(request, pk):
    """Change what is known of an accompanist."""
    row = change_or_404(request.who, Accompanist.objects.select_related("membership"), pk=pk)
    return form_page(
        request,
        AccompanistForm,
        row,
        title=row.name,
        back=reverse("accompanists"),
        invite=_invitation(row, "accompanist_invite"),
        remove_url=reverse("accompanist_remove", args=[pk]),
    )


def accompanist_remove(request, pk):
    """Remove an accompanist; the entries stay, with nobody at the piano."""
    row = remove_or_404(request.who, Accompanist, pk=pk)
    return remove_page(request, row, back=reverse("accompanists"))


def own_days(request):
    """The studio's own days: those ahead, then those that have been."""
    who = staff_or_404(request.who)
    editable = may_add(who, StudioDay)
    context = {
        "title": "Own days",
        "intro": "Concerts, days off, and days on which you or an accompanist are away: dates of "
        "auditions are held against them.",
        "columns": contexts.OWN_DAY_COLUMNS,
        "groups": contexts.own_day_groups(queries.own_days(who), who.studio.today, editable),
        "empty": contexts.no_own_days(who),
        "add_url": editable and reverse("own_day_add"),
        "add_label": "Add a day",
        "other_url": reverse("accompanists"),
        "other_label": "Accompanists",
    }
    return render(request, "partials/list_page.html", context)


def own_day_add(request):
    """Write down a day, or some days in a row, of the studio's own."""
    add_or_404(request.who, StudioDay)
    return form_page(
        request,
        StudioDayForm,
        StudioDay(studio=request.who.studio),
        title="Add a day of your own",
        back=reverse("own_days"),
        again=True,
    )


def own_day_edit(request, pk):
    """Change a day of the studio's own."""
    row = change_or_404(request.who, StudioDay, pk=pk)
    return form_page(
        request,
        StudioDayForm,
        row,
        title=row.name,
        back=reverse("own_days"),
        remove_url=reverse("own_day_remove", args=[pk]),
    )


def own_day_remove(request, pk):
    """Remove a day of the studio's own."""
    row = remove_or_404(request.who, StudioDay, pk=pk)
    return remove_page(request, row, back=reverse("own_days"))


def recommender_add(request, pk):
    """Write down who writes letters for a student."""
    student = change_or_404(request.who, Student, pk=pk)
    return form_page(
        request,
        RecommenderForm,
        Recommender(student=student),
        title="Add a recommender",
        over=student.name,
        intro="Then choose them in the task of each letter: they are asked once, however many "
        "letters it is.",
        back=student.get_absolute_url(),
        again=True,
    )


def recommender_edit(request, pk):
    """Change what is known of a recommender."""
    row = change_or_404(request.who, Recommender.objects.select_related("student"), pk=pk)
    return form_page(
        request,
        RecommenderForm,
        row,
        title=row.name,
        over=row.student.name,
        back=row.student.get_absolute_url(),
        remove_url=reverse("recommender_remove", args=[pk]),
    )


def recommender_remove(request, pk):
    """Remove a recommender; the tasks of their letters stay."""
    row = remove_or_404(request.who, Recommender.objects.select_related("student"), pk=pk)
    return remove_page(request, row, back=row.student.get_absolute_url())


def guardian_add(request, pk):
    """Write down a parent or guardian of a student."""
    student = change_or_404(request.who, Student, pk=pk)
    return form_page(
        request,
        GuardianForm,
        Guardian(studio=request.who.studio),
        title="Add a parent or guardian",
        over=student.name,
        intro="They read the parts of the students ticked here, and nothing else, once they are "
        "invited. With a second child here they are not written down again: tick both.",
        back=student.get_absolute_url(),
        then=lambda row: reverse("guardian_edit", args=[row.pk]),
        initial={"students": [student.pk]},
    )


def guardian_edit(request, pk):
    """Change what is known of a guardian, and whose part they read."""
    rows = Guardian.objects.select_related("membership").prefetch_related("students")
    row = change_or_404(request.who, rows, pk=pk)
    first = row.students.first()
    return form_page(
        request,
        GuardianForm,
        row,
        title=row.name,
        over="Parent or guardian",
        back=first.get_absolute_url() if first else reverse("students"),
        invite=_invitation(row, "guardian_invite"),
        remove_url=reverse("guardian_remove", args=[pk]),
    )


def guardian_remove(request, pk):
    """Remove a guardian with their sign-in; their children stay."""
    row = remove_or_404(request.who, Guardian, pk=pk)
    return remove_page(request, row, back=reverse("students"))


def _invitation(person, route):
    """Return what the form's page says of signing in: the address that invites, or that they do."""
    url = "" if person.signs_in else reverse(route, args=[person.pk])
    return {"url": url, "label": f"Invite {person.called} to sign in"}
