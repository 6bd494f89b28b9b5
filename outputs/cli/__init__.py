"""The command line: arguments and words on the screen, nothing else."""
