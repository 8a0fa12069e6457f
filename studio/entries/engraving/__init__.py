"""Scales on a staff: a planner.pitch.Scale in, an SVG drawing out.

`staff` decides clefs and octave lines, `mei` writes the music down in the open format of the Music
Encoding Initiative, `engrave` has it drawn, `sheet` says what the handout shows.
"""
