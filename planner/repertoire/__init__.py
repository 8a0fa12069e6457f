"""The least music that covers what the auditions ask.

Read `model` for what goes in and comes out.
"""
