"""How photos are named on pages."""

from django import template

from stash.services.appearance import photo_name

register = template.Library()
register.filter(photo_name)
