"""What the trade and the shop declare once: families, stocks, words, columns, faces. Alone reads `layouts/`."""
