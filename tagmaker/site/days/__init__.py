"""What came back of the first days: tables and forms read, and readings that stand out."""
