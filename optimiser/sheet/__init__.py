"""An answer as a page with pictures to take along."""
