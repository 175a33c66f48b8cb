"""Compares laws with general-purpose libraries: python3-fluids (friction factors), python3-iapws (water).

    python3 -m validation.libraries.compare friction|water LAW_PROBE

Friction: to 1e-6 over pairs of Reynolds number and relative roughness, laminar, between and turbulent. Between Re 2000 and 4000
the specification's law is the straight line in the flow that joins the two ends, so f Re^2 is straight there; the ends are the
library's. Water: density and viscosity to 0.1 %, the specification's tolerance for a fit, against the standard's equations.
"""

from __future__ import annotations

import subprocess
import sys

ROUGHNESSES = (0.0, 1e-6, 1e-5, 1e-4, 1e-3, 1e-2, 0.05)
REYNOLDS = (100.0, 1000.0, 1999.9, 2000.1, 2500.0, 3000.0, 3999.9, 4000.1, 1e4, 1e5, 1e6, 1e7, 1e8)


def ask(probe: str, questions: list[str]) -> list[float]:
    done = subprocess.run([probe], input="\n".join(questions), capture_output=True, text=True, timeout=60, check=True)
    return [float(line) for line in done.stdout.split()]


def library_friction_factor(reynolds: float, roughness: float) -> float:
    from fluids.friction import Colebrook, friction_laminar
    if reynolds <= 2000:
        return friction_laminar(reynolds)
    if reynolds >= 4000:
        return Colebrook(reynolds, roughness)
    low, high = friction_laminar(2000) * 2000**2, Colebrook(4000, roughness) * 4000**2
    return (low + (high - low) * (reynolds - 2000) / 2000) / reynolds**2


def friction(probe: str) -> list[tuple[str, float, float, float]]:
    pairs = [(reynolds, roughness) for reynolds in REYNOLDS for roughness in ROUGHNESSES]
    found = ask(probe, [f"friction-factor {reynolds!r} {roughness!r}" for reynolds, roughness in pairs])
    return [(f"friction factor at Re {reynolds:g}, relative roughness {roughness:g}", value,
             library_friction_factor(reynolds, roughness), 1e-6) for (reynolds, roughness), value in zip(pairs, found)]


def water(probe: str) -> list[tuple[str, float, float, float]]:
    from iapws import IAPWS97
    rows = []
    temperatures = [0.01] + [float(t) for t in range(1, 41)]
    found = ask(probe, [f"{what} {t}" for t in temperatures for what in ("density", "viscosity")])
    for i, t in enumerate(temperatures):
        standard = IAPWS97(T=t + 273.15, P=0.101325)
        rows += [(f"density at {t} degC", found[2 * i], standard.rho, 1e-3),
                 (f"viscosity at {t} degC", found[2 * i + 1], standard.mu, 1e-3)]
    return rows


def main() -> int:
    rows = {"friction": friction, "water": water}[sys.argv[1]](sys.argv[2])
    wrong = 0
    for what, found, wanted, relative in rows:
        if not abs(found - wanted) <= relative * wanted:
            print(f"{what}: {found!r}, the library says {wanted!r} (off by {found / wanted - 1:.3g})")
            wrong += 1
    print(f"{len(rows) - wrong} of {len(rows)} agree; largest relative difference "
          f"{max(abs(found / wanted - 1) for _, found, wanted, _ in rows):.2g}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
