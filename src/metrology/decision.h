#pragma once

#include <optional>
#include <string_view>

namespace fettle::metrology {

/// `holds`: inside the limits by more than the expanded uncertainty; `fails`: outside by more than it;
/// `too_close`: a limit lies within it; `open`: nothing can be decided yet (no value, no uncertainty or no
/// limit).
enum class Verdict { holds, fails, too_close, open };

/// "holds", "fails", "too close", "open".
std::string_view name(Verdict verdict);

/// An accepted interval; an empty side is unbounded. The limits themselves belong to it.
struct LimitInterval {
  std::optional<double> min;
  std::optional<double> max;

  bool bounded() const { return min.has_value() || max.has_value(); }
};

/// Decision rule of ISO 14253-1:2017 with both guard bands g equal to the expanded uncertainty (95 %):
/// conformity is proved for min + g <= value <= max - g, nonconformity for value < min - g or value > max +
/// g. Choosing g = U rather than the smaller one-sided factor of the standard's default (1.65 u for a
/// probability of conformity of 95 %) errs to "too close". An interval narrower than 2 g can never be proved
/// to hold. Without limits the verdict is `open`; so it is for a value or expanded uncertainty that is
/// absent. Throws std::invalid_argument for numbers that are not finite, expanded < 0, min > max.
Verdict decide(std::optional<double> value, std::optional<double> expanded, const LimitInterval& limit);

/// Probability that the true value lies inside the limits, when (truth - value) / u follows a Student t with
/// `dof` degrees of freedom (infinity: normal). JCGM 106:2012, 7.3 and 7.4 (one- and two-sided). With u = 0:
/// 1 or 0. Throws std::invalid_argument for numbers that are not finite, u < 0, dof <= 0, min > max.
double conformity_probability(double value, double standard_uncertainty, double dof,
                              const LimitInterval& limit);

}  // namespace fettle::metrology
