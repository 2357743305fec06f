#pragma once

#include <optional>
#include <string>

namespace fettle::mechanism {

/// Tensile stress area of a Unified thread, 0.7854 (D − 0.9743/n)², and of an ISO metric one, 0.7854
/// (d − 0.9382 p)², m². `pitch` is 1/n, m. Source: ASME B1.1; ISO 898-1; Shigley, section 8-1. Throws
/// std::invalid_argument unless the core is above zero.
enum class ThreadForm { unified, metric };
double tensile_stress_area(ThreadForm form, double nominal_diameter, double pitch);

/// State of thread and face when tightened, and its nut factor K in T = K F d: Shigley table 8-15 (from
/// memory): black 0.30, zinc 0.20, lubricated 0.18, cadmium 0.16. K scatters by some 25 to 30 % about these
/// (same section): stretch, not torque, tells the preload.
enum class ThreadFinish { black, zinc_plated, lubricated, cadmium_plated };
double nut_factor(ThreadFinish finish);

/// Strengths, Pa.
struct BoltStrength {
  double proof = 0.0;
  double yield = 0.0;
  double tensile = 0.0;
};

/// SAE J429 grades of quarter-inch to one-inch bolts (kpsi: 5: 85, 92, 120; 8: 120, 130, 150) and ISO 898-1
/// property classes (MPa: 8.8 up to M16: 580, 640, 800; 10.9: 830, 940, 1040; 12.9: 970, 1100, 1220); nothing
/// for other names. Written "5", "8", "8.8", "10.9", "12.9".
std::optional<BoltStrength> bolt_strength(const std::string& grade);

/// A bolt or stud that is stretched between head and nut, or head and first threads.
struct Bolt {
  double nominal_diameter = 0.0;  ///< d, m; > 0
  double stress_area = 0.0;       ///< of the thread, m²; > 0
  double shank_area = 0.0;        ///< of the shank or waist, m²; > 0
  double shank_length = 0.0;      ///< under tension, m; >= 0
  double thread_length = 0.0;     ///< under tension in the grip, m; >= 0, with the shank > 0
  double elastic_modulus = 0.0;   ///< Pa; > 0
};

/// What is wrong with a bolt, in words fit for a builder; nothing if it is sound.
std::optional<std::string> bolt_problem(const Bolt& bolt);

/// Axial stiffness, shank and threads in series, E/(l_d/A_d + l_t/A_t), N/m (Shigley eq. 8-17).
double bolt_stiffness(const Bolt& bolt);

/// Preload from torque, F = T/(K d), N, and back, N m (Shigley eq. 8-27).
double preload_from_torque(double torque, double nut_factor, double nominal_diameter);
double torque_for_preload(double preload, double nut_factor, double nominal_diameter);

/// Preload from the growth of the free length, elastic: F = k x; and back.
double preload_from_stretch(const Bolt& bolt, double stretch);
double stretch_for_preload(const Bolt& bolt, double preload);

/// Preload from an angle past snug, F = x/(1/k_b + 1/k_m) with x = pitch × angle/2π; member_stiffness
/// infinite: all of the angle stretches the bolt.
double preload_from_angle(const Bolt& bolt, double member_stiffness, double pitch, double angle);

struct BoltState {
  double preload = 0.0;       ///< N
  double stress = 0.0;        ///< on the stress area, Pa
  double proof_part = 0.0;    ///< stress over proof; usually 0.75 reused, 0.90 for good (Shigley eq. 8-31)
  double yield_margin = 0.0;  ///< (yield − stress)/yield; negative: it has yielded
};
BoltState bolt_state(const Bolt& bolt, const BoltStrength& strength, double preload);

/// The nut factor that a torque and a measured stretch show, K = T/(F d); nothing unless stretch > 0.
std::optional<double> shown_nut_factor(const Bolt& bolt, double torque, double stretch);

/// All throw std::invalid_argument for numbers out of range.

}  // namespace fettle::mechanism
