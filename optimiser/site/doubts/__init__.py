"""What can be but hardly is, and where the published data end: said with every answer, never refused."""
