"""What each printed thing says: tags, placards, walk sheets; no geometry here."""
