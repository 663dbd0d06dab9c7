"""What the user declares: a job folder read into plain records, each knowing where it came from."""
