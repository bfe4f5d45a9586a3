"""What a partial walk can still reach at best: tables, prices, uses of pieces."""
