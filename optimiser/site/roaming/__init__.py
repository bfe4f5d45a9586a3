"""Where a puller may stand that is given room instead of one spot: the room itself, and its stands on a
site."""
