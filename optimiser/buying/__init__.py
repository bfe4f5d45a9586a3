"""What to buy: the least money, the fewest pieces, and what further money brings."""
