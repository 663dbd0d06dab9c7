"""The commands: each parses, calls, prints and exits; heavy imports stand within."""
