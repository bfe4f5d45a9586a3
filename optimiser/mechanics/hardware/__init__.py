"""What joins rope and anchor: straps, chains, shackles."""
