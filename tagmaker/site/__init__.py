"""What comes back from site: scanned codes, filled-in walks."""
