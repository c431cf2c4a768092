#!/usr/bin/env python3
"""Writes the values that the tests of src/twin compare with: void fractions, friction factors and
two-phase pressure gradients of the library `fluids` (Debian: python3-fluids) on a grid.

usage: fluids_reference.py > fluids_reference.csv      exit 77 when the library is missing
"""
import sys

try:
    from fluids.friction import Churchill_1977
    from fluids.two_phase import Muller_Steinhagen_Heck
    from fluids.two_phase_voidage import Rouhani_1, Smith, Steiner, Zivi, homogeneous
except ImportError:
    print("python3-fluids is not installed", file=sys.stderr)
    sys.exit(77)

# Saturated R-410A at about -15, 5 and 45 degC, rounded: rho_l, rho_g, mu_l, mu_g, sigma (SI).
STATES = [
    (1225.0, 18.5, 1.93e-4, 1.15e-5, 1.11e-2),
    (1150.0, 35.9, 1.55e-4, 1.23e-5, 8.03e-3),
    (956.0, 113.0, 9.2e-5, 1.5e-5, 2.5e-3),
]
BORES = (0.0064, 0.0145, 0.0270)
FLUXES = (20.0, 80.0, 150.0, 400.0)
QUALITIES = (0.01, 0.05, 0.2, 0.5, 0.8, 0.95, 0.99)


def main():
    print("# fluids (Debian python3-fluids 1.0.22), tests/twin/fluids_reference.py. SI.")
    print("what,rho_l,rho_g,mu_l,mu_g,sigma,x,bore,mass_flux,value")
    for rho_l, rho_g, mu_l, mu_g, sigma in STATES:
        for x in QUALITIES:
            def row(what, value, bore=0.0, flux=0.0):
                print(",".join([what] + [f"{v:.10g}" for v in
                                         (rho_l, rho_g, mu_l, mu_g, sigma, x, bore, flux, value)]))
            row("homogeneous", homogeneous(x, rho_l, rho_g))
            row("zivi", Zivi(x, rho_l, rho_g))
            row("smith", Smith(x, rho_l, rho_g))
            for bore in BORES:
                area = 3.141592653589793 * bore * bore / 4.0
                for flux in FLUXES:
                    m = flux * area
                    row("steiner", Steiner(x, rho_l, rho_g, sigma=sigma, m=m, D=bore), bore, flux)
                    row("rouhani1", Rouhani_1(x, rho_l, rho_g, sigma=sigma, m=m, D=bore), bore, flux)
                    row("mueller_heck", Muller_Steinhagen_Heck(
                        m=m, x=x, rhol=rho_l, rhog=rho_g, mul=mu_l, mug=mu_g, D=bore, L=1.0),
                        bore, flux)
    for reynolds in (10.0, 500.0, 2000.0, 3000.0, 1e4, 1e5, 1e6, 1e7):
        for roughness in (0.0, 1e-4, 1e-2):
            # Reynolds number and relative roughness stand in the columns x and bore.
            print(f"churchill,0,0,0,0,0,{reynolds:.10g},{roughness:.10g},0,"
                  f"{Churchill_1977(reynolds, roughness):.10g}")


main()
