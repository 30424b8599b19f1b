"""Rowfoot: a text-message service for insect scouting crews in cotton."""
