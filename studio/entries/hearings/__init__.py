"""The whole programme heard in one go: mock auditions and recordings, and what they score."""
