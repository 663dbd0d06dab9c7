"""What came back of systems: pressure test, vacuum, charge, and what was done before start."""
