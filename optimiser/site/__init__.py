"""The site: where the load lies, what stands there, what pulls and what gear is owned."""
