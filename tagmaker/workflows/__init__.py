"""What each command does, as its stages; the command line and every other face call these."""
