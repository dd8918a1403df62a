"""The shell: options, streams and exit codes, one small file per command family."""
