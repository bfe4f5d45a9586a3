"""Works out what the pictures see of an answer: ropes, places, limits, whatever kind of rig it is."""
