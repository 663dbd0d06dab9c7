"""What the trade makes of a job: ports, loads, switch settings, checks."""
