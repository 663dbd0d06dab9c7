"""The content of each printed thing (tags, placards, walk sheets) as words and codes; no geometry here."""
