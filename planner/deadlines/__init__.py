"""What has to be done, by whom, and when must each thing be started?

Read `model` for what goes in and comes out, then `solve`. `closing` says when a deadline really
closes, `counting` counts working days, `wording` writes the sentences, `leads` holds the usual
lead times. Nothing here reads a clock: `Problem.now` and every zone are given.
"""

from planner.deadlines.counting import Workdays
from planner.deadlines.example import example
from planner.deadlines.leads import DAY, DAY_TIMES, LEAD_TIMES, NEEDS, Kind, LeadTime
from planner.deadlines.model import (
    After,
    Anchor,
    Answer,
    Chain,
    Deadline,
    Lead,
    Move,
    Problem,
    Task,
    TaskDue,
    Undated,
    Unit,
    When,
)
from planner.deadlines.solve import answer

QUESTION = "What has to be done, by whom, and when must each thing be started?"

__all__ = [
    "DAY",
    "DAY_TIMES",
    "LEAD_TIMES",
    "NEEDS",
    "QUESTION",
    "After",
    "Anchor",
    "Answer",
    "Chain",
    "Deadline",
    "Kind",
    "Lead",
    "LeadTime",
    "Move",
    "Problem",
    "Task",
    "TaskDue",
    "Undated",
    "Unit",
    "When",
    "Workdays",
    "answer",
    "example",
]
