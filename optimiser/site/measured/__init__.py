"""Places of a site file that are measured, not given: from what was read to a document with coordinates.

`spots` knows every place by its name, `sighted` makes observations of what was read, `placing` has the places
worked out (`optimiser.site.survey`) and puts them into the document, `outcome` is what is kept of it.
"""
