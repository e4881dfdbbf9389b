"""The edge: each module is one command. It reads, calls the stages, writes and prints; nothing else does."""
