"""Opens what a job names: the studio, its cards, its journal; what they teach; and writes what a job made.

Imports values, read, keep and work. Shared by the command line and the library.
"""
