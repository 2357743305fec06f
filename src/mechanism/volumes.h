#pragma once

#include <optional>
#include <string>
#include <vector>

#include "mechanism/slider_crank.h"

namespace fettle::mechanism {

/// What lies above the piston at TDC, one cylinder.
struct ClearanceParts {
  double bore = 0.0;           ///< m; > 0
  double chamber = 0.0;        ///< by burette, m³; >= 0
  double gasket_bore = 0.0;    ///< m; most often above the bore; > 0
  double gasket = 0.0;         ///< crushed thickness, m; >= 0
  double deck = 0.0;           ///< piston below the deck, m; negative: above it
  double dish = 0.0;           ///< net volume of dish and valve notches less dome, m³; negative: a dome
  double land_diameter = 0.0;  ///< of the land above the top ring, m; (0, bore]; zero: crevice left out
  double land_height = 0.0;    ///< m; >= 0
};

/// What is wrong with the parts, in words fit for a builder, one line each.
std::vector<std::string> clearance_problems(const ClearanceParts& parts);

double swept_volume(double bore, double stroke);  ///< π/4 b² s, m³

/// All of them together, m³: chamber + gasket + deck + dish + crevice of the land. Throws
/// std::invalid_argument with clearance_problems()'s words.
double clearance_volume(const ClearanceParts& parts);

/// 1 + Vs/Vc; throws std::invalid_argument unless both > 0.
double static_ratio(double swept, double clearance);

/// Clearance volume for a ratio > 1, m³.
double clearance_for_ratio(double swept, double ratio);

/// Change of each, alone, that brings the parts to a ratio: gasket thickness, deck height (m; positive: the
/// piston lower), chamber volume (m³), dish (m³), and head milling (m; positive: taken off) where the
/// chamber's open area at its face is given (m²).
struct RatioChanges {
  double gasket = 0.0;
  double deck = 0.0;
  double chamber = 0.0;
  double dish = 0.0;
  std::optional<double> milling;
};
RatioChanges changes_for_ratio(const ClearanceParts& parts, double stroke, double ratio,
                               std::optional<double> chamber_area = {});

/// Net dome from filling the cylinder with the piston `depth` below the deck: π/4 b² h − fill, m³; negative:
/// a dish. The crevice of the land fills with it unless it is greased shut.
double dome_from_fill(double bore, double depth, double fill);

double quench_distance(const ClearanceParts& parts);  ///< deck + gasket, m

/// Volume over the piston at a crank angle from true TDC, m³.
double cylinder_volume(const SliderCrank& crank, double bore, double clearance, double after_tdc);

/// Ratio from intake closing: volume there over clearance volume. `intake_closing` after TDC, rad, the *seat*
/// closing: at 0.050 in it flatters (say which lift it is taken at). Same as 1 + (s_eff/s) (ratio − 1).
double effective_ratio(const SliderCrank& crank, double bore, double clearance, double intake_closing);

/// Pressure of the standard atmosphere, Pa, at an altitude within −1 to 11 km: 101325 (1 − 2.25577e-5 h)^
/// 5.25588 (ISO 2533). Throws std::invalid_argument outside.
double standard_pressure(double altitude);

struct Cranking {
  double ambient_pressure = 101325.0;   ///< Pa; > 0
  double ambient_temperature = 293.15;  ///< K; > 0
  double polytropic_exponent = 1.30;    ///< n; >= 1; a cold cylinder takes heat out of the gas
  double crank_speed = 20.0;            ///< rad/s; > 0
  double leak_area = 0.0;               ///< effective, all leaks together, m²; >= 0
  double gas_constant = 287.05;         ///< J/(kg K)
};

/// Greatest absolute pressure of a cylinder that is cranked with the plug out and the throttle open, Pa,
/// which the gauge's check valve holds (it shows this less ambient). From intake closing at ambient pressure,
/// polytropic for what stays in, with a leak to ambient as an ideal nozzle, choked where the pressure
/// says (ratio of specific heats 1.4); without a leak exactly p (V_IC/Vc)^n. The gauge's own volume belongs
/// to `clearance`. Fourth-order Runge-Kutta and a parabola through the peak, some 1e-6 of the pressure.
/// Throws std::invalid_argument for numbers out of range.
double cranking_pressure(const SliderCrank& crank, double bore, double clearance, double intake_closing,
                         const Cranking& cranking);

}  // namespace fettle::mechanism
