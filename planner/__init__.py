"""The engine: answers a teacher's questions. Pure Python: no Django, no database, no clock."""
