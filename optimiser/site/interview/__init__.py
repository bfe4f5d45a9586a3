"""A site file by questions: what is asked for in which order, how an answer is read, the file it comes to."""
