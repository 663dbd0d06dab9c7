"""What the trade declares once: families, stocks, words, columns, faces. Alone reads `layouts/`."""
