"""Scales key by key, and sight-reading: what is asked of a student, drawn and timed."""
