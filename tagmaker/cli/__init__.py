"""The command line, one file a command: options in, text or JSON out, exit code; heavy imports within."""
