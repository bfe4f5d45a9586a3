"""Works out again where things stand: the path, the ground, trunks, lines that run free."""
