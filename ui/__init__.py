"""The commands, the browser app and what they draw and write."""
