"""What can be but hardly is, and where the published data end: printed with every answer, never refused."""
