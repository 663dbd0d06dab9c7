"""What a set says once it is issued, what of it hangs on site, and what the next one asks for."""
