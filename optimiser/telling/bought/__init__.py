"""Names what is bought, and prints purchases for several jobs."""
