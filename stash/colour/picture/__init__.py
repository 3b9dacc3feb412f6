"""Bytes of a photo -> an upright picture in linear light, with what is pointed at in it."""
