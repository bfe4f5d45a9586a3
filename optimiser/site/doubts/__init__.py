"""What can be but hardly is, and where the published data end: printed with every answer, never refused.
And what else is wrong with a file that cannot be read as it is (`mended`)."""
