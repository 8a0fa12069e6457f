"""Practice on the site: rows in, the plan of `planner.practice` out, for today and for weeks.

`rows` reads, `bridge` asks, `moving` says what differs from yesterday, `today` and `page` show.
"""
