"""Every sheet of the workbook, one place for each: the page, reading and writing follow this."""

from studio.workbook.sheets.going import (
    CHECKS,
    DATE_WISHES,
    DAYS,
    ENTRIES,
    HEARINGS,
    KEY_CHECKS,
    LEAD_TIMES,
    PRACTICE_DAYS,
    PRACTICE_LOGS,
    PROGRAMME,
    TAKES,
    TASKS,
    TRIAL_LESSONS,
    WISHES,
)
from studio.workbook.sheets.music import ERRATA, JUDGEMENTS, PIECES, RECORDINGS, REQUIREMENTS
from studio.workbook.sheets.people import (
    ACCOMPANISTS,
    AWAY,
    GUARDIANS,
    INSTRUMENTS,
    OWN_DAYS,
    RECOMMENDERS,
    STUDENTS,
)
from studio.workbook.sheets.places import AUDITIONS, DATES, DEADLINES, INSTITUTIONS

# In this order rows can be read and written: whatever a row links to comes before it.
SHEETS = (
    INSTRUMENTS,
    STUDENTS,
    AWAY,
    RECOMMENDERS,
    GUARDIANS,
    ACCOMPANISTS,
    OWN_DAYS,
    INSTITUTIONS,
    AUDITIONS,
    DEADLINES,
    DATES,
    REQUIREMENTS,
    RECORDINGS,
    ERRATA,
    PIECES,
    JUDGEMENTS,
    ENTRIES,
    PROGRAMME,
    WISHES,
    DATE_WISHES,
    TASKS,
    CHECKS,
    KEY_CHECKS,
    PRACTICE_LOGS,
    PRACTICE_DAYS,
    TAKES,
    HEARINGS,
    TRIAL_LESSONS,
    DAYS,
    LEAD_TIMES,
)
RECORDS = {record.name: record for one in SHEETS for record in one.records}
