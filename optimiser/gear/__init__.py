"""Which owned piece goes where."""
