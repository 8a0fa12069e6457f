"""Running the site: backups, upgrades, its health and its log. RUNNING.md is for whoever does."""
