"""What a rope does: strength, tackles, friction round a post, the legs of a bridle."""
