"""Addresses of this app."""

from django.urls import path

from studio.entries.views import (
    applications,
    compare,
    dates,
    drill,
    entry,
    hearings,
    lead_times,
    lesson,
    part,
    plan,
    practice,
    recordings,
    results,
    trial_lessons,
)
from studio.entries.views.deadlines import deadlines
from studio.entries.views.readiness import readiness

urlpatterns = [
    # /part/
    path("part/", part.part, name="part"),
    path("students/<int:pk>/", part.student, name="student"),
    path("pieces/<int:pk>/log/", part.check_log, name="check_log"),
    # /students/<pk>/deadlines/, /tasks/
    path("students/<int:pk>/deadlines/", deadlines, name="deadlines"),
    path("tasks/<int:pk>/tick/", part.task_tick, name="task_tick"),
    path("tasks/<int:pk>/edit/", entry.task_edit, name="task_edit"),
    path("tasks/<int:pk>/drop/", entry.task_drop, name="task_drop"),
    path("tasks/<int:pk>/remove/", entry.task_remove, name="task_remove"),
    # /students/<pk>/readiness/
    path("students/<int:pk>/readiness/", readiness, name="readiness"),
    # /students/<pk>/lesson/, /students/<pk>/checks/, /checks/
    path("students/<int:pk>/lesson/", lesson.lesson, name="lesson"),
    path("students/<int:pk>/checks/", lesson.checks, name="checks"),
    path("checks/<int:pk>/edit/", lesson.check_edit, name="check_edit"),
    path("checks/<int:pk>/remove/", lesson.check_remove, name="check_remove"),
    # /students/<pk>/practice/, /practice/
    path("students/<int:pk>/practice/", practice.practice, name="practice"),
    path("students/<int:pk>/practice/log/", practice.practice_log, name="practice_log"),
    path("students/<int:pk>/practice/day/", practice.practice_day, name="practice_day"),
    path("practice/settings/", practice.practice_settings, name="practice_settings"),
    # /students/<pk>/music/, /repertoire/instruments/<pk>/
    path("students/<int:pk>/music/", compare.compare, name="compare"),
    path("repertoire/instruments/<int:pk>/", compare.compare_instrument, name="compare_instrument"),
    # /students/<pk>/drill/, /students/<pk>/sight-reading/
    path("students/<int:pk>/drill/", drill.drill, name="drill"),
    path("students/<int:pk>/drill/tempo/", drill.drill_tempo, name="drill_tempo"),
    path("students/<int:pk>/sight-reading/", drill.sight_reading, name="sight_reading"),
    # /students/<pk>/plan/
    path("students/<int:pk>/plan/", plan.plan, name="plan"),
    path("students/<int:pk>/plan/wish/", plan.plan_wish, name="plan_wish"),
    path("students/<int:pk>/plan/accept/", plan.plan_accept, name="plan_accept"),
    path("students/<int:pk>/plan/frontier/", plan.plan_frontier, name="plan_frontier"),
    path("entries/<int:pk>/plan/", plan.plan_entry, name="plan_entry"),
    # /students/<pk>/applications/, /students/<pk>/trial-lessons/, /trial-lessons/
    path("students/<int:pk>/applications/", applications.applications, name="applications"),
    path("students/<int:pk>/trial-lessons/", trial_lessons.trial_lessons, name="trial_lessons"),
    path(
        "students/<int:pk>/trial-lessons/add/",
        trial_lessons.trial_lesson_add,
        name="trial_lesson_add",
    ),
    path(
        "trial-lessons/<int:pk>/edit/",
        trial_lessons.trial_lesson_edit,
        name="trial_lesson_edit",
    ),
    path(
        "trial-lessons/<int:pk>/words/",
        trial_lessons.trial_lesson_words,
        name="trial_lesson_words",
    ),
    path(
        "trial-lessons/<int:pk>/remove/",
        trial_lessons.trial_lesson_remove,
        name="trial_lesson_remove",
    ),
    # /entries/<pk>/hearings/, /hearings/
    path("entries/<int:pk>/hearings/", hearings.hearings, name="hearings"),
    path("hearings/<int:pk>/edit/", hearings.hearing_edit, name="hearing_edit"),
    path("hearings/<int:pk>/remove/", hearings.hearing_remove, name="hearing_remove"),
    # /entries/<pk>/recordings/, /takes/; /results/
    path("entries/<int:pk>/recordings/", recordings.recordings, name="recordings"),
    path("entries/<int:pk>/takes/add/", recordings.take_add, name="take_add"),
    path("takes/<int:pk>/edit/", recordings.take_edit, name="take_edit"),
    path("takes/<int:pk>/remove/", recordings.take_remove, name="take_remove"),
    path("results/", results.results, name="results"),
    # /students/<pk>/dates/
    path("students/<int:pk>/dates/", dates.dates_plan, name="dates_plan"),
    path("students/<int:pk>/dates/accept/", dates.dates_accept, name="dates_accept"),
    path("entries/<int:pk>/dates/wish/", dates.date_wish, name="date_wish"),
    path("entries/<int:pk>/dates/ranks/", dates.date_ranks, name="date_ranks"),
    path("entries/<int:pk>/dates/journey/", dates.date_journey, name="date_journey"),
    path("entries/<int:pk>/dates/kept/", dates.date_kept, name="date_kept"),
    # /entries/, /assignments/
    path("students/<int:pk>/entries/add/", entry.entry_add, name="entry_add"),
    path("entries/<int:pk>/", entry.entry, name="entry"),
    path("entries/<int:pk>/edit/", entry.entry_edit, name="entry_edit"),
    path("entries/<int:pk>/remove/", entry.entry_remove, name="entry_remove"),
    path("entries/<int:pk>/date/", entry.entry_date, name="entry_date"),
    path("entries/<int:pk>/result/", entry.entry_result, name="entry_result"),
    path("entries/<int:pk>/errata/", entry.entry_errata, name="entry_errata"),
    path("entries/<int:pk>/assign/", entry.assign, name="assign"),
    path("entries/<int:pk>/tasks/add/", entry.task_add, name="task_add"),
    path("assignments/<int:pk>/unassign/", entry.unassign, name="unassign"),
    # /lead-times/
    path("lead-times/", lead_times.lead_times, name="lead_times"),
    path("lead-times/usual/", lead_times.lead_times_usual, name="lead_times_usual"),
    path("lead-times/add/", lead_times.lead_time_add, name="lead_time_add"),
    path("lead-times/<int:pk>/edit/", lead_times.lead_time_edit, name="lead_time_edit"),
    path("lead-times/<int:pk>/remove/", lead_times.lead_time_remove, name="lead_time_remove"),
]
