"""The bench page: the same jobs as the commands, in a browser on the potter's own machine. Beside ``cli``."""
