"""Restarts: processes of the service, on one database, each with a clock, are killed at any moment and come back."""
