"""Cloth for parts: choosing it, its pictures, its lots and repeats."""
