"""The second door of the desk: an application of its own, for phones on the local network alone.

It shares no page with the desk. A phone that was let in by a job's code has that job's walk, response test
and check of tags, and nothing else; what it sends is kept in the job's folder of what came back.
"""
