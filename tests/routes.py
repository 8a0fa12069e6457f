"""Every route of the site: who comes in, and what its address is made of.

The access walk and the accessibility walk both go through this table; a new route needs a line.
"""

from dataclasses import dataclass, field

from studio.accounts.history import acting
from studio.accounts.models import Invitation, Membership, Role
from studio.reminders.sending import stop_path
from tests.factories import (
    AccompanistFactory,
    DayAwayFactory,
    ErratumFactory,
    GuardianFactory,
    HearingFactory,
    JudgementFactory,
    LeadTimeFactory,
    RecommenderFactory,
    StudentFactory,
    StudioDayFactory,
    TakeFactory,
    TrialLessonFactory,
    UserSessionFactory,
    full_entry,
)

TEACHERS = frozenset({"owner", "teacher"})
STAFF = TEACHERS | {"assistant"}
OWN = frozenset({"sam"})
READ = OWN | {"gil"}  # a guardian reads what their child reads
STAFF_ANYWHERE = STAFF | {"otto"}
TEACHERS_ANYWHERE = TEACHERS | {"otto"}
EVERY_SEAT = STAFF | {"sam", "mia", "gil", "paz", "otto"}
PUBLIC = EVERY_SEAT | {"nobody"}
NONE = frozenset()


@dataclass(frozen=True)
class Route:
    """Who comes in by GET and by POST, and what the address is made of.

    args: a function of the studio's rows. A frozenset left empty means nobody.
    """

    get: frozenset = NONE
    post: frozenset = NONE
    args: object = field(default=lambda rows: [])


def page(who, key=None):
    """A page, with or without a form: whoever may see it may post to it."""
    return Route(get=who, post=who, args=_args(key))


def act(who, key=None):
    """An act without a page of its own: posted only."""
    return Route(post=who, args=_args(key))


def _args(key):
    return (lambda rows: [rows[key]]) if key else (lambda rows: [])


ROUTES = {
    # the program that signs people in
    "account_login": page(PUBLIC),
    "account_logout": page(PUBLIC),
    "account_signup": page(PUBLIC),
    "account_inactive": Route(get=PUBLIC),
    "account_email_verification_sent": Route(get=PUBLIC),
    "account_confirm_email": Route(get=PUBLIC, args=lambda rows: ["no-such-key"]),
    "account_reset_password": page(PUBLIC),
    "account_reset_password_done": Route(get=PUBLIC),
    "account_reset_password_from_key": Route(
        get=PUBLIC, post=PUBLIC, args=lambda rows: ["1", "no-such-key"]
    ),
    "account_reset_password_from_key_done": Route(get=PUBLIC),
    "account_reauthenticate": page(EVERY_SEAT),
    "account_change_password": page(EVERY_SEAT),
    "account_set_password": page(EVERY_SEAT),
    "account_email": page(EVERY_SEAT),
    "account_request_login_code": page(PUBLIC),
    "account_confirm_login_code": page(EVERY_SEAT),
    "mfa_authenticate": page(EVERY_SEAT),
    "mfa_login_webauthn": page(EVERY_SEAT),
    "mfa_reauthenticate": page(EVERY_SEAT),
    "mfa_reauthenticate_webauthn": page(EVERY_SEAT),
    "mfa_index": Route(get=EVERY_SEAT),
    "mfa_activate_totp": page(EVERY_SEAT),
    "mfa_deactivate_totp": Route(),  # nobody here has a second factor
    "mfa_add_webauthn": page(EVERY_SEAT),
    "mfa_list_webauthn": Route(get=EVERY_SEAT),
    # first of all one has to show again that it is oneself
    "mfa_edit_webauthn": Route(get=EVERY_SEAT, post=EVERY_SEAT, args=lambda rows: [1]),
    "mfa_remove_webauthn": Route(get=EVERY_SEAT, post=EVERY_SEAT, args=lambda rows: [1]),
    "mfa_view_recovery_codes": Route(),
    "mfa_generate_recovery_codes": page(EVERY_SEAT),
    "mfa_download_recovery_codes": Route(),
    "account": page(EVERY_SEAT),
    "seat_choose": act(frozenset({"owner"}), "owner_seat"),
    "sessions": page(EVERY_SEAT),
    "session_end": act(frozenset({"owner"}), "owner_session"),
    # accounts
    "home": page(EVERY_SEAT),
    "studio": page(TEACHERS_ANYWHERE),
    "journey_settings": page(TEACHERS_ANYWHERE),
    "people": page(TEACHERS_ANYWHERE),
    "membership_remove": page(TEACHERS, "assistant_seat"),
    "invitation": page(PUBLIC, "invitation"),
    "history": page(TEACHERS_ANYWHERE),
    "history_batch": page(TEACHERS, "batch"),
    "bin": page(TEACHERS_ANYWHERE),
    "undo": act(TEACHERS, "batch"),
    # privacy
    "privacy": Route(get=TEACHERS_ANYWHERE | {"sam", "mia", "gil"}),
    "student_privacy": Route(get=TEACHERS | READ, args=_args("student")),
    "student_export": Route(get=TEACHERS | READ, args=_args("student")),
    "student_erase": page(TEACHERS, "student"),
    "student_keep": act(TEACHERS, "student"),
    # students
    "students": page(STAFF_ANYWHERE),
    "student_add": page(TEACHERS_ANYWHERE),
    "student_edit": page(TEACHERS, "student"),
    "student_remove": page(TEACHERS, "student"),
    "student_invite": act(TEACHERS, "student"),
    "away_add": page(TEACHERS, "student"),
    "away_edit": page(TEACHERS, "away"),
    "away_remove": page(TEACHERS, "away"),
    "recommender_add": page(TEACHERS, "student"),
    "recommender_edit": page(TEACHERS, "recommender"),
    "recommender_remove": page(TEACHERS, "recommender"),
    "guardian_add": page(TEACHERS, "student"),
    "guardian_edit": page(TEACHERS, "guardian"),
    "guardian_remove": page(TEACHERS, "guardian"),
    "guardian_invite": act(TEACHERS, "guardian"),
    "accompanist_invite": act(TEACHERS, "accompanist"),
    "accompanists": page(STAFF_ANYWHERE),
    "accompanist_add": page(TEACHERS_ANYWHERE),
    "accompanist_edit": page(TEACHERS, "accompanist"),
    "accompanist_remove": page(TEACHERS, "accompanist"),
    "own_days": page(STAFF_ANYWHERE),
    "own_day_add": page(TEACHERS_ANYWHERE),
    "own_day_edit": page(TEACHERS, "own_day"),
    "own_day_remove": page(TEACHERS, "own_day"),
    "instruments": page(STAFF_ANYWHERE),
    "instruments_usual": act(TEACHERS_ANYWHERE),
    "instrument_add": page(TEACHERS_ANYWHERE),
    "instrument_edit": page(TEACHERS, "instrument"),
    "instrument_remove": page(TEACHERS, "instrument"),
    # institutions
    "institutions": page(STAFF_ANYWHERE),
    "institution_add": page(TEACHERS_ANYWHERE),
    "institution": page(STAFF, "institution"),
    "institution_edit": page(TEACHERS, "institution"),
    "institution_remove": page(TEACHERS, "institution"),
    "audition_add": page(TEACHERS, "institution"),
    "audition": page(STAFF, "audition"),
    "audition_edit": page(TEACHERS, "audition"),
    "audition_remove": page(TEACHERS, "audition"),
    "deadline_add": page(TEACHERS, "audition"),
    "deadline_edit": page(TEACHERS, "deadline"),
    "deadline_remove": page(TEACHERS, "deadline"),
    "date_add": page(TEACHERS, "audition"),
    "date_edit": page(TEACHERS, "date"),
    "date_remove": page(TEACHERS, "date"),
    # requirements
    "pieces": page(STAFF_ANYWHERE),
    "piece_add": page(TEACHERS_ANYWHERE),
    "piece": page(STAFF, "piece"),
    "piece_edit": page(TEACHERS, "piece"),
    "piece_remove": page(TEACHERS, "piece"),
    "requirement_sets": page(STAFF_ANYWHERE),
    "requirement_set_add": page(TEACHERS, "institution"),
    "requirement_set": page(STAFF, "requirement_set"),
    "requirement_set_verify": page(TEACHERS, "requirement_set"),
    "requirement_set_copy": page(TEACHERS, "requirement_set"),
    "requirement_set_fill": act(TEACHERS, "requirement_set"),
    "requirement_sets_roll": page(TEACHERS_ANYWHERE),
    "requirement_set_write": page(TEACHERS, "requirement_set"),
    "notation": page(STAFF_ANYWHERE),
    "requirement_set_edit": page(TEACHERS, "requirement_set"),
    "requirement_set_remove": page(TEACHERS, "requirement_set"),
    "requirement_add": page(TEACHERS, "requirement_set"),
    "requirement": page(STAFF, "requirement"),
    "requirement_judge": act(TEACHERS, "requirement"),
    "judgement_remove": act(TEACHERS, "judgement"),
    "recording_rules_add": page(TEACHERS, "requirement_set"),
    "recording_rules_edit": page(TEACHERS, "recording_rules"),
    "recording_rules_remove": page(TEACHERS, "recording_rules"),
    "erratum_add": page(TEACHERS, "requirement_set"),
    "erratum_edit": page(TEACHERS, "erratum"),
    "erratum_remove": page(TEACHERS, "erratum"),
    "requirement_edit": page(TEACHERS, "requirement"),
    "requirement_remove": page(TEACHERS, "requirement"),
    # entries
    "readiness": Route(get=STAFF | READ, args=_args("student")),
    "lesson": page(STAFF, "student"),
    "checks": page(STAFF, "student"),
    "check_edit": page(STAFF, "check"),
    "check_remove": page(TEACHERS, "check"),
    "entry_add": page(TEACHERS, "student"),
    "entry": page(STAFF, "entry"),
    "entry_edit": page(TEACHERS, "entry"),
    "entry_remove": page(TEACHERS, "entry"),
    "entry_date": act(TEACHERS, "entry"),
    "entry_result": act(TEACHERS, "entry"),
    "entry_errata": act(TEACHERS, "entry"),
    "assign": act(TEACHERS, "entry"),
    "unassign": act(TEACHERS, "assignment"),
    "task_add": page(TEACHERS, "entry"),
    "task_edit": page(TEACHERS, "task"),
    "task_drop": act(TEACHERS, "task"),
    "task_remove": page(TEACHERS, "task"),
    "plan": Route(get=STAFF, args=_args("student")),
    "plan_wish": act(TEACHERS, "student"),
    "plan_accept": act(TEACHERS, "student"),
    "plan_frontier": Route(get=STAFF, post=TEACHERS, args=_args("student")),
    "plan_entry": act(TEACHERS, "entry"),
    "dates_plan": Route(get=STAFF, args=_args("student")),
    "dates_accept": act(TEACHERS, "student"),
    "date_wish": act(TEACHERS, "entry"),
    "date_ranks": act(TEACHERS, "entry"),
    "date_journey": act(TEACHERS, "entry"),
    "date_kept": act(TEACHERS, "entry"),
    "drill": Route(get=STAFF | READ, args=_args("student")),
    "drill_tempo": act(STAFF | OWN, "student"),
    "sight_reading": Route(get=STAFF | READ, args=_args("student")),
    "compare": Route(get=STAFF, args=_args("student")),
    "compare_instrument": Route(get=STAFF, args=_args("instrument")),
    "lead_times": page(STAFF_ANYWHERE),
    "lead_times_usual": act(TEACHERS_ANYWHERE),
    "lead_time_add": page(TEACHERS_ANYWHERE),
    "lead_time_edit": page(TEACHERS, "lead_time"),
    "lead_time_remove": page(TEACHERS, "lead_time"),
    "applications": page(STAFF, "student"),
    "trial_lessons": page(STAFF, "student"),
    "trial_lesson_add": page(TEACHERS, "student"),
    "trial_lesson_edit": page(TEACHERS, "trial_lesson"),
    "trial_lesson_remove": page(TEACHERS, "trial_lesson"),
    "trial_lesson_words": page(TEACHERS | OWN, "trial_lesson"),
    "hearings": Route(get=STAFF | READ, post=STAFF, args=_args("entry")),
    "hearing_edit": page(STAFF, "hearing"),
    "hearing_remove": page(TEACHERS, "hearing"),
    "recordings": page(STAFF, "entry"),
    "take_add": page(STAFF, "entry"),
    "take_edit": page(STAFF, "take"),
    "take_remove": page(TEACHERS, "take"),
    "results": page(STAFF_ANYWHERE),
    "practice": Route(get=STAFF | READ, args=_args("student")),
    "practice_log": act(STAFF | OWN, "student"),
    "practice_day": act(STAFF | OWN, "student"),
    "practice_settings": page(TEACHERS_ANYWHERE),
    # the part
    "part": Route(get=EVERY_SEAT - {"paz"}),
    "student": Route(get=STAFF | {"gil"}, args=_args("student")),
    "check_log": act(OWN, "piece"),
    "deadlines": Route(get=STAFF, args=_args("student")),
    "task_tick": act(STAFF | OWN, "task"),
    # days
    "days": page(STAFF_ANYWHERE),
    "accompanying": Route(get=frozenset({"paz"})),
    "day_settings": page(TEACHERS_ANYWHERE),
    "day": page(STAFF | READ, "entry"),
    "day_edit": page(TEACHERS, "entry"),
    "day_remove": page(TEACHERS, "entry"),
    # the week
    "week": Route(get=STAFF_ANYWHERE),
    "week_sheet": Route(get=STAFF_ANYWHERE, args=_args("day_date")),
    "letters": Route(get=STAFF_ANYWHERE),
    "together": Route(get=STAFF_ANYWHERE),
    "together_accept": act(TEACHERS_ANYWHERE),
    # the score
    "score": Route(get=STAFF_ANYWHERE),
    "cues": Route(get=STAFF_ANYWHERE),
    # handouts
    "day_sheet": Route(get=STAFF | READ, args=_args("entry")),
    "day_sheets": Route(get=STAFF, args=_args("day_date")),
    "trips_sheet": Route(get=STAFF | READ, args=_args("student")),
    "part_sheet": Route(get=frozenset({"sam", "mia"})),
    "student_part_sheet": Route(get=STAFF | {"gil"}, args=_args("student")),
    "readiness_sheet": Route(get=STAFF | READ, args=_args("student")),
    "drill_sheet": Route(get=STAFF | READ, args=_args("student")),
    "deadlines_sheet": Route(get=STAFF | READ, args=_args("student")),
    "compare_sheet": Route(get=STAFF, args=_args("student")),
    # the workbook
    "workbook": page(TEACHERS_ANYWHERE),
    "workbook_check": page(TEACHERS_ANYWHERE),
    "workbook_apply": act(TEACHERS_ANYWHERE),
    "workbook_export": Route(get=TEACHERS_ANYWHERE),
    "workbook_export_csv": Route(get=TEACHERS_ANYWHERE),
    "workbook_empty": Route(get=TEACHERS_ANYWHERE),
    # the weekly e-mail: whoever has its address may stop it
    "mail": page(TEACHERS_ANYWHERE | {"sam", "mia"}),
    "mail_stop": Route(get=PUBLIC, post=PUBLIC, args=_args("mail_token")),
    # whoever runs the site, and their proxy, may ask how it is
    "health": Route(get=PUBLIC),
    # feeds: whoever knows the address of a calendar may read it
    "student_feed": Route(get=PUBLIC, args=_args("student_token")),
    "studio_feed_calendar": Route(get=PUBLIC, args=_args("studio_token")),
    "studio_feed": page(TEACHERS_ANYWHERE),
    "studio_feed_renew": act(TEACHERS_ANYWHERE),
    "student_feed_address": page(TEACHERS, "student"),
    "student_feed_renew": act(TEACHERS, "student"),
    "part_feed": page(frozenset({"sam", "mia"})),
}


def make_rows(people):
    """Return what the addresses are made of: rows of Ines's studio, those of a student Sam's."""
    entry = full_entry(people.sam_student)
    with acting(None) as removal:
        StudentFactory(studio=people.studio, name="Removed Student").delete()
    seat = Membership.objects.create(studio=people.studio, role=Role.ASSISTANT)
    assignment, task = entry.assignments.first(), entry.tasks.first()
    audition = entry.audition
    return {
        "assistant_seat": people.ana.pk,
        "owner_seat": people.ines.pk,
        "owner_session": UserSessionFactory(user=people.ines.user).pk,
        "invitation": Invitation.issue(seat, "new@studio.example").split("/")[-2],
        "batch": removal.batch,
        "student": people.sam_student.pk,
        "student_token": people.sam_student.feed_token,
        "studio_token": people.studio.feed_token,
        "mail_token": stop_path(people.sam).split("/")[2],
        "entry": entry.pk,
        "day_date": entry.chosen_date.on,
        "assignment": assignment.pk,
        "task": task.pk,
        "piece": assignment.piece_id,
        "check": people.sam_student.checks.first().pk,
        "away": DayAwayFactory(student=people.sam_student).pk,
        "recommender": RecommenderFactory(student=people.sam_student).pk,
        "guardian": GuardianFactory(studio=people.studio, students=[people.sam_student]).pk,
        "accompanist": AccompanistFactory(studio=people.studio).pk,
        "own_day": StudioDayFactory(studio=people.studio).pk,
        "instrument": people.sam_student.instrument_id,
        "institution": audition.institution_id,
        "audition": audition.pk,
        "deadline": audition.deadlines.first().pk,
        "date": entry.chosen_date_id,
        "requirement_set": entry.requirement_set_id,
        "requirement": assignment.requirement_id,
        "judgement": JudgementFactory(requirement=assignment.requirement).pk,
        "erratum": ErratumFactory(requirement_set=entry.requirement_set).pk,
        "take": (take := TakeFactory(entry=entry, pieces=[assignment.piece])).pk,
        "recording_rules": take.rules_id,
        "hearing": HearingFactory(entry=entry, take=take, pieces=[assignment.piece]).pk,
        "trial_lesson": TrialLessonFactory(student=people.sam_student).pk,
        "lead_time": LeadTimeFactory(studio=people.studio).pk,
    }
