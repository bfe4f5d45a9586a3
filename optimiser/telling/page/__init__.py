"""Shows a site and its answers as a page in the browser, served on this machine alone.

Two processes: the server, which keeps the site's text and hands it to the page, and one beside it that
works the answers out, so that a search never keeps the page waiting.
"""
