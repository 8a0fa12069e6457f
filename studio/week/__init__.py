"""The studio's days: who is where, what it costs in lessons, which letters are due, whose dates
hang together."""
