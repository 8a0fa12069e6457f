"""One student going for one audition: its date, its music, its tasks, its result; and checks."""

from studio.entries.models.entry import DateWish, Entry
from studio.entries.models.hearing import Hearing
from studio.entries.models.music import TEMPO, Assignment, LessonCheck, Take, Wish
from studio.entries.models.practice import KeyCheck, LearnedPace, PracticeDay, PracticeLog
from studio.entries.models.tasks import DAY_CHOICE, Doer, LeadTime, Needs, Task
from studio.entries.models.trial import TrialLesson

__all__ = [
    "DAY_CHOICE",
    "TEMPO",
    "Assignment",
    "DateWish",
    "Doer",
    "Entry",
    "Hearing",
    "KeyCheck",
    "LearnedPace",
    "LeadTime",
    "LessonCheck",
    "Needs",
    "PracticeDay",
    "PracticeLog",
    "Take",
    "Task",
    "TrialLesson",
    "Wish",
]
