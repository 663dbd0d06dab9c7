"""What differs between two revisions of a job, and what that asks for on site."""
