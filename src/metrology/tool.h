#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "metrology/uncertainty.h"

namespace fettle::metrology {

/// How a tool's permissible error acts on its readings.
enum class ErrorForm {
  offset,        ///< the same on every reading (a micrometer's zero): cancels in a difference
  proportional,  ///< grows in proportion to the reading, the permissible error at `range` (an indicator's
                 ///< scale)
  once_a_turn    ///< e = c cos(angle) + s sin(angle), amplitude up to the permissible error (an angular scale
                 ///< off centre)
};

/// A measuring instrument. Every length or angle is in the SI unit of what the tool measures, is >= 0 and may
/// be absent.
struct Tool {
  std::string kind;  ///< for labels only
  ErrorForm error_form = ErrorForm::offset;
  std::optional<double> resolution;         ///< least step that is read
  std::optional<double> permissible_error;  ///< greatest error the tool may have and still be accepted
  std::optional<double> range;              ///< > 0, needed with a proportional error
  std::optional<double> drift;              ///< greatest shift of the zero during a reading or sweep
  std::optional<double> parallax;           ///< greatest error from where the eye was
  std::optional<double> noise;              ///< standard deviation of one reading repeated
  double noise_dof = 8.0;  ///< > 0, of `noise`: 8 stands for a noise known to 25 % (JCGM 100:2008, G.4.2)
};

/// Throws std::invalid_argument naming what is wrong with a tool.
void check(const Tool& tool);

/// Statistics of one reading taken n >= 1 times.
struct Repeats {
  std::size_t count = 0;
  double mean = 0.0;
  double least = 0.0;
  double greatest = 0.0;
  std::optional<double> standard_deviation;  ///< with two or more
};

/// Throws std::invalid_argument without values or with one that is not finite.
Repeats repeats(std::span<const double> values);

/// The independent part of a reading's doubt, its estimate the mean of the repeats:
/// - resolution: rectangular of half a step; it does not average, as repeats tend to fall on the same step;
/// - parallax: rectangular, of this reading alone; not averaged, as the eye comes back to its place between
/// repeats;
/// - repeatability of the mean of n: s / sqrt(n), where s^2 = (d0 noise^2 + (n - 1) s_n^2) / (d0 + n - 1)
/// pools the tool's noise
///   (d0 = noise_dof) with the scatter of the repeats (JCGM 100:2008, 4.2.4 and G.4.2). Without a stated
///   noise the repeats alone speak (n - 1 degrees of freedom), without repeats the stated noise.
Input reading_input(const Tool& tool, std::string label, std::span<const double> values);

/// Standard uncertainty of the independent part of one reading taken once.
double own_u(const Tool& tool);

/// The shared errors of a tool, estimate zero, one set for all readings taken with it: none without a
/// permissible error; one for `offset` (rectangular within the permissible error); one for `proportional`
/// (relative, rectangular within permissible error / range); two for `once_a_turn`, c and s. With an
/// amplitude rectangular in 0..a and a uniform phase, c and s are uncorrelated with variance E[A^2] E[cos^2]
/// = (a^2 / 3) / 2, so u = a / sqrt(6), and lie within -a..a with most weight at zero; they are drawn as
/// triangular of half-width a, which has that same u.
std::vector<Input> bias_inputs(const Tool& tool, const std::string& label);

/// A reading with the tool's shared error taken off: `bias` holds values of the bias_inputs. With no bias
/// (empty) the reading itself. An angular reading is in radians. Throws std::invalid_argument where the
/// number of values does not fit the tool.
double without_bias(const Tool& tool, double reading, std::span<const double> bias);

/// The shift of the tool's zero, one for each reading or sweep over which it may have moved: rectangular;
/// empty without drift.
std::optional<Input> drift_input(const Tool& tool, std::string label);

}  // namespace fettle::metrology
