"""Layouts of quilts: blocks, setting, borders; their patches and what they need."""
