"""Layouts of quilts: the value, its patches, its finished size, its units and cut list.

The pieces live in modules by subject; this one gathers what pages need.
"""

from __future__ import annotations

from projects.quilt_design.layouts.blocks import Block, BlockUnit, LayoutError
from projects.quilt_design.layouts.known_blocks import KNOWN_BLOCKS, known_block
from projects.quilt_design.layouts.listing import (
    Methods,
    UnitCount,
    cut_list,
    off_ruler,
    unit_count,
    unit_cuts,
    units,
    units_of_block,
)
from projects.quilt_design.layouts.model import (
    MAX_ACROSS,
    MAX_PATCHES,
    Border,
    Cell,
    Layout,
    Sashing,
    Setting,
    Single,
    alternating,
)
from projects.quilt_design.layouts.placing import Chosen, exact_size, finished_size, patches

__all__ = [
    "KNOWN_BLOCKS",
    "MAX_ACROSS",
    "MAX_PATCHES",
    "Block",
    "BlockUnit",
    "Border",
    "Cell",
    "Chosen",
    "Layout",
    "LayoutError",
    "Methods",
    "Sashing",
    "Setting",
    "Single",
    "UnitCount",
    "alternating",
    "cut_list",
    "exact_size",
    "finished_size",
    "known_block",
    "off_ruler",
    "patches",
    "unit_count",
    "unit_cuts",
    "units",
    "units_of_block",
]
