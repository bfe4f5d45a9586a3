"""Makes of an answer a page with pictures to take along."""
