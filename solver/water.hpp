// Water at atmospheric pressure: what its temperature makes of it.
#pragma once

namespace evenhead::solver {

inline constexpr double gravity = 9.80665;  ///< m/s2

/// Density, kg/m3, of water at 0.101325 MPa and `temperature` (degC, 0..100). Kell, J. Chem. Eng. Data 20
/// (1975) 97-105, eq. 16; within 0.002 % of IAPWS R7-97.
double density(double temperature);

/// Dynamic viscosity, Pa s, at 0.1 MPa and `temperature` (degC, 0..110). IAPWS supplementary release on
/// liquid water at 0.1 MPa (SR6-08); within 0.05 % of IAPWS R12-08.
double viscosity(double temperature);

/// Isentropic bulk modulus, Pa: density times the square of the speed of sound (Bilaniuk & Wong, J. Acoust.
/// Soc. Am. 93 (1993) 1609-1612, coefficients from memory); within 0.4 % of IAPWS R7-97 between 0 and 60
/// degC.
double bulk_modulus(double temperature);

/// Height of water, m, that 1 Pa is worth at this temperature.
inline double metres_per_pascal(double temperature) {
    return 1 / (density(temperature) * gravity);
}

}  // namespace evenhead::solver
