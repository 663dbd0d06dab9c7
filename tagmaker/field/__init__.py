"""What comes back from site: scans and photos, judged against the job."""
