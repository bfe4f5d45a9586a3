"""Commands that need no site: what words mean, the schema of files and answers, completion in a shell."""
