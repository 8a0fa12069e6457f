"""The fast editor: all requirements of a set as rows that are typed through, saved as one batch."""
