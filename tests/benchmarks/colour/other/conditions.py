"""The conditions: each a named row that changes an ordinary plan, with random strength."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from tests.benchmarks.colour.other.cameras import Camera
from tests.benchmarks.colour.other.curves import (
    random_filmic,
    random_logarithmic,
    random_response,
    srgb,
)
from tests.benchmarks.colour.other.local_curves import by_bilateral, by_fusion, by_local_laplacian
from tests.benchmarks.colour.other.printed import Press, ink_density
from tests.benchmarks.colour.other.shots import Plan, random_plan
from tests.benchmarks.colour.other.spectra import LAMPS, light
from tests.benchmarks.colour.other.usual import brightener

Change = Callable[[np.random.Generator, Plan], Plan]


def _camera(change: Callable[[np.random.Generator], dict[str, object]]) -> Change:
    def changed(rng: np.random.Generator, plan: Plan) -> Plan:
        return replace(plan, camera=replace(plan.camera, **change(rng)))

    return changed


def _press(change: Callable[[np.random.Generator], dict[str, object]]) -> Change:
    def changed(rng: np.random.Generator, plan: Plan) -> Plan:
        return replace(plan, press=replace(plan.press, **change(rng)))

    return changed


def _plan(change: Callable[[np.random.Generator], dict[str, object]]) -> Change:
    return lambda rng, plan: replace(plan, **change(rng))


def _bilateral(low: float, high: float) -> Change:
    def change(rng: np.random.Generator) -> dict[str, object]:
        contrast, detail = rng.uniform(low, high), rng.uniform(1.0, 1.25)
        return {"curve": srgb, "local": lambda linear: by_bilateral(linear, contrast, detail)}

    return _camera(change)


def _laplacian(low: float, high: float) -> Change:
    def change(rng: np.random.Generator) -> dict[str, object]:
        beta, alpha = rng.uniform(low, high), rng.uniform(0.6, 1.0)
        return {"curve": srgb, "local": lambda linear: by_local_laplacian(linear, alpha, beta)}

    return _camera(change)


def _fusion(rng: np.random.Generator) -> dict[str, object]:
    stops = rng.uniform(0.7, 2.0)
    return {"fused": lambda linear: by_fusion(linear, stops)}


def _heavy(rng: np.random.Generator) -> dict[str, object]:
    return {
        "widening": rng.uniform(0.05, 0.085),
        "softness": rng.uniform(0.015, 0.035),
        "scatter": rng.uniform(0.04, 0.11),
        "dust": rng.uniform(0.0, 0.015),
    }


def _far(rng: np.random.Generator) -> dict[str, object]:
    return {"share": rng.uniform(0.17, 0.26), "tilt": rng.uniform(22, 35)}


CONDITIONS: dict[str, Change] = {
    "plain curve": _camera(lambda rng: {"curve": srgb}),
    "filmic curve": _camera(lambda rng: {"curve": random_filmic(rng)}),
    "log-like curve": _camera(lambda rng: {"curve": random_logarithmic(rng)}),
    "response form": _camera(lambda rng: {"curve": random_response(rng)}),
    "bilateral, mild": _bilateral(0.75, 0.95),
    "bilateral, strong": _bilateral(0.4, 0.7),
    "local Laplacian, mild": _laplacian(0.75, 0.95),
    "local Laplacian, strong": _laplacian(0.35, 0.7),
    "exposure fusion": _camera(_fusion),
    "toner": _press(
        lambda rng: {
            "density": ink_density(rng.uniform(1.2, 1.9), blue=rng.uniform(0, 0.1)),
            "gloss": rng.uniform(0.004, 0.02),
            "dust": rng.uniform(0.002, 0.02),
        }
    ),
    "cyan cast": _press(
        lambda rng: {"density": ink_density(rng.uniform(1.0, 1.5), cyan=rng.uniform(0.1, 0.3))}
    ),
    "Yule-Nielsen": _press(
        lambda rng: {
            "n": rng.uniform(1.5, 2.2),
            "widening": rng.uniform(0, 0.05),
        }
    ),
    "heavy gain": _press(_heavy),
    "faded ink": _press(
        lambda rng: {
            "density": ink_density(rng.uniform(0.6, 0.95)),
            "voids": rng.uniform(0.0, 0.08),
        }
    ),
    "brightened paper": _press(lambda rng: {"glow": brightener(rng.uniform(0.1, 0.35))}),
    "mixed light": _plan(lambda rng: {"second": light(LAMPS[rng.integers(len(LAMPS))])}),
    "noise and JPEG 60": _camera(
        lambda rng: {
            "shot": rng.uniform(0.02, 0.06),
            "read": rng.uniform(0.003, 0.012),
            "chroma": rng.uniform(0.004, 0.02),
            "quality": 60,
        }
    ),
    "sharpened": _camera(lambda rng: {"sharpening": (rng.uniform(0.8, 2.0), rng.uniform(1, 3))}),
    "vignetting": _camera(lambda rng: {"vignette": rng.uniform(0.3, 0.6)}),
    "far and tilted": _plan(_far),
    "uneven light": _plan(lambda rng: {"slope": rng.uniform(0.5, 1.3)}),
    "dark cloth": _plan(lambda rng: {"tone": "dark"}),
    "light cloth": _plan(lambda rng: {"tone": "light"}),
    "three at once": lambda rng, plan: _several(rng, plan),
    "shadow on the cloth": _plan(lambda rng: {"shadow": rng.uniform(0.25, 0.65)}),
}


def _several(rng: np.random.Generator, plan: Plan) -> Plan:
    """Return a plan that three of the other conditions have changed, one after the other."""
    others = [name for name in CONDITIONS if name not in ("three at once", *MUST_WARN)]
    for name in rng.choice(others, 3, replace=False):
        plan = CONDITIONS[name](rng, plan)
    return plan


# A row where a wrong value needs a warning whatever the interval is, and its card need not be used.
MUST_WARN = ("shadow on the cloth",)


def plan_of(condition: str, rng: np.random.Generator) -> Plan:
    """Return a random plan of a condition."""
    return CONDITIONS[condition](rng, random_plan(rng))


__all__ = ["CONDITIONS", "MUST_WARN", "Camera", "Press", "plan_of"]
