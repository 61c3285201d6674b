"""The Reedbank boathouse: sample pictures, their jobs and their truths."""
