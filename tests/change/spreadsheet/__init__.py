"""Spreadsheets out and in again."""
