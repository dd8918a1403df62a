"""The shell: options, streams, exit codes."""
