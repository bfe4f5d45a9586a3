"""The field sheet: one page a stage, to be taken to the water's edge on paper or on a phone."""
