"""The command line: parses, calls one function of the engine, prints. No arithmetic here."""
