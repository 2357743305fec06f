#pragma once

#include <optional>
#include <string>
#include <vector>

namespace fettle::mechanism {

/// Spring wire of round section. Source of strengths and their ranges: Shigley, *Mechanical Engineering
/// Design*, table "constants A and m of Sut = A/d^m" (10-4 of the 8th to 10th editions), metric column.
enum class WireKind { music, oil_tempered, hard_drawn, chrome_vanadium, chrome_silicon };

struct WireStrength {
  double tensile = 0.0;      ///< Sut, Pa
  double shear_yield = 0.0;  ///< Ssy, Pa: 0.45 Sut music and hard-drawn, 0.50 the others (table 10-6, before
                             ///< set is removed); 0.60 and 0.65 after
  double shear_ultimate = 0.0;  ///< Ssu = 0.67 Sut, Pa
  bool tabulated = false;       ///< the diameter lies in the table's range
};

/// Strength of wire of a diameter, m. Throws std::invalid_argument unless diameter > 0.
WireStrength wire_strength(WireKind kind, double wire_diameter, bool set_removed = false);

enum class SpringEnds { plain, plain_ground, squared, squared_ground };

/// Turns of one mean diameter, or tapering evenly from one to another.
struct WoundPart {
  double coils = 0.0;          ///< active; > 0
  double diameter_from = 0.0;  ///< mean, m; > wire diameter
  double diameter_to = 0.0;    ///< mean, m; the same for a cylinder
  double pitch = 0.0;          ///< free, along the axis, m per coil; > its own solid height
};

/// A helical compression spring of round wire as wound. Cylindrical: one part; beehive: a cylinder and a
/// taper; conical: one taper.
struct WoundSpring {
  double wire_diameter = 0.0;  ///< m; > 0
  double shear_modulus = 0.0;  ///< G, Pa; > 0
  double density = 0.0;        ///< kg/m³; > 0
  SpringEnds ends = SpringEnds::squared_ground;
  std::vector<WoundPart> parts;
};

/// Active coils of a total (Shigley table 10-1): less 0, 1, 2, 2 for plain, plain ground, squared, squared
/// and ground.
double active_coils(SpringEnds ends, double total_coils);

/// A cylindrical spring of `total_coils` and `free_height`, its pitch following from them.
WoundSpring cylindrical_spring(double wire_diameter, double mean_diameter, double total_coils,
                               double free_height, SpringEnds ends, double shear_modulus, double density);

/// Why a spring cannot be wound so, in words fit for a builder, one line each.
std::vector<std::string> wound_spring_problems(const WoundSpring& spring);

enum class CurvatureFactor {
  bergstraesser,  ///< (4C + 2)/(4C − 3)
  wahl            ///< (4C − 1)/(4C − 4) + 0.615/C
};

/// Factor of the shear stress 8 F D/(π d³) for an index C = D/d > 1 (Shigley eqs. 10-4, 10-5).
double curvature_factor(CurvatureFactor factor, double index);

/// What follows from wire and winding. Every coil of local mean diameter D has the flexibility
/// 8 D³/(G d⁴) (Shigley eq. 10-9 per coil) until it lies on its neighbour, and none afterwards; the parts'
/// integrals are closed forms, so that load and height are smooth but where a part goes solid as a whole.
/// Neighbouring coils of a taper whose radii differ by e per coil lie solid sqrt(d² − e²) apart (they sink
/// into one another; zero where e >= d). All throw std::invalid_argument with wound_spring_problems()'s
/// words.
double wound_free_height(const WoundSpring& spring);          ///< m
double wound_solid_height(const WoundSpring& spring);         ///< m, with Table 10-1's solid ends
double wound_height(const WoundSpring& spring, double load);  ///< at a load >= 0, m
/// Load at a height, N; zero above the free height, nothing at or below the solid height.
std::optional<double> wound_load(const WoundSpring& spring, double height);
/// −dF/dh under a load, N/m; nothing once all coils are solid. The free rate is at load zero.
std::optional<double> wound_rate(const WoundSpring& spring, double load);
/// Greatest shear stress anywhere along the wire under a load, Pa. Coils that have gone solid keep the stress
/// at which they did.
double wound_stress(const WoundSpring& spring, double load,
                    CurvatureFactor factor = CurvatureFactor::bergstraesser);
double wound_active_mass(const WoundSpring& spring);  ///< of the active coils, kg
double wound_mass(const WoundSpring& spring);         ///< dead coils with it, kg

/// Lowest natural frequency of a cylindrical spring between fixed ends, ½ sqrt(k/m), Hz, m the mass of the
/// active coils (Shigley eq. 10-25; Wolford and Smith). Tapers throw std::invalid_argument.
double surge_frequency(const WoundSpring& spring);

/// Endurance of spring wire in shear at infinite life (Zimmerli 1957, as printed in Shigley, section 10-9,
/// from memory): amplitude 241 MPa at mean 379 MPa, peened 398 at 534; of size and material independent.
struct SpringFatigue {
  double amplitude = 0.0;  ///< shear stress, Pa
  double mean = 0.0;       ///< Pa
  double goodman = 0.0;    ///< factor of safety, Goodman line through Zimmerli's point, load line from zero
  double sines = 0.0;      ///< Zimmerli's amplitude over the amplitude (a torsional mean does not count)
  double yield = 0.0;      ///< shear yield over the greatest stress
};

/// Factors of safety for a spring that works between two loads, 0 <= seat <= open, open > 0, N; nothing where
/// the strength is less than Zimmerli's mean, for which the line has no meaning. With equal loads Sines' and
/// Goodman's are infinite and Ssu over mean. Throws std::invalid_argument.
std::optional<SpringFatigue> spring_fatigue(const WoundSpring& spring, const WireStrength& strength,
                                            double seat_load, double open_load, bool peened);

}  // namespace fettle::mechanism
