#include "pull/doubt.h"

#include <algorithm>
#include <cmath>

#include "quantity/angle.h"
#include "stations/prove.h"

namespace fettle::pull {

namespace {

/// Greatest standard uncertainty among the findings of an id.
std::optional<double> greatest_u(const stations::Report& report, std::string_view id) {
  std::optional<double> u;
  for (const stations::Finding& finding : report.findings) {
    if (finding.id == id && finding.value && finding.u > 0.0) {
      u = std::max(u.value_or(0.0), finding.u);
    }
  }
  return u;
}

}  // namespace

std::vector<DoubtSource> doubt_sources(const build::Build& build) {
  stations::ProveOptions options;
  options.advise = false;
  const stations::Report report = stations::prove(build, options);
  // Steps: wide enough that what is left of the iteration does not matter, narrow enough for a straight line.
  constexpr double cam_step = 3.0 * quantity::radians_per_degree;
  constexpr double ratio_step = 0.4;
  return {{"cam phase", "cam.phase_error", greatest_u(report, "cam.phase_error"), {cam_step, 0.0}},
          {"compression ratio",
           "compression.static_ratio",
           greatest_u(report, "compression.static_ratio"),
           {0.0, ratio_step}}};
}

TorqueDoubt torque_doubt(const DoubtSource& source, const Curve& less, const Curve& more) {
  TorqueDoubt doubt{source.name, source.finding, source.u, {}};
  for (std::size_t i = 0; i < less.points.size(); ++i) {
    TorqueDoubt::At at;
    at.speed = less.points[i].speed;
    at.per_unit = (more.points[i].brake_torque - less.points[i].brake_torque) / (2.0 * source.size());
    if (source.u) {
      at.torque_u = std::abs(at.per_unit) * *source.u;
    }
    doubt.at.push_back(at);
  }
  return doubt;
}

}  // namespace fettle::pull
