"""Tests of Rowfoot, by room."""
