"""Pulls that were read on a scale narrow what the load may weigh and how hard it goes.

`readings` understands them, `narrowing` works out what weight, resistance and break-out remain, all
ends of all ranges counted, `placing` puts that into the document, `contradictions` says what does not fit.
"""
