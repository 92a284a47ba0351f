"""The operator's commands, one module for each group."""
