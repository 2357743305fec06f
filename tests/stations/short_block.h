#pragma once

#include "stations/top_end.h"

/// Readings of the short block written by hand.
namespace fettle::stations::test {

using build::ReadingKind;

inline build::Reading of_main(ReadingKind kind, int main) {
  build::Reading reading;
  reading.kind = kind;
  reading.main = main;
  return reading;
}
inline build::Reading of_cylinder(ReadingKind kind, int cylinder) {
  build::Reading reading;
  reading.kind = kind;
  reading.cylinder = cylinder;
  return reading;
}
inline build::Reading with_diameter(build::Reading reading, double diameter_in, const std::string& gauge,
                                    std::optional<double> along_in = {},
                                    std::optional<double> around_deg = {}) {
  reading.diameter = inches4(diameter_in);
  if (!gauge.empty()) {
    reading.gauge = gauge;
  }
  if (along_in) {
    reading.along = inches4(*along_in);
  }
  if (around_deg) {
    reading.around = angle(*around_deg);
  }
  return reading;
}
inline build::Reading with_wall(build::Reading reading, double wall_in, const std::string& gauge) {
  reading.wall = inches4(wall_in);
  reading.gauge = gauge;
  return reading;
}
inline build::Reading with_gap(build::Reading reading, double gap_in) {
  reading.gap = inches4(gap_in);
  return reading;
}
inline build::Reading piston_reading(int piston, double diameter_in, const std::string& gauge) {
  build::Reading reading;
  reading.kind = ReadingKind::piston_diameter;
  reading.piston = piston;
  return with_diameter(std::move(reading), diameter_in, gauge);
}
inline build::Reading ring_reading(ReadingKind kind, int cylinder, build::Ring ring, double gap_in) {
  build::Reading reading = with_gap(of_cylinder(kind, cylinder), gap_in);
  reading.ring = ring;
  return reading;
}

inline Where main_bearing(int number) {
  Where where;
  where.main = number;
  return where;
}

/// A length tool of these figures, inches.
inline build::Tool length_tool(build::ToolKind kind, double resolution_in, double permissible_in,
                               double noise_in) {
  build::Tool tool;
  tool.kind = kind;
  tool.resolution = length_measure(resolution_in);
  tool.permissible_error = length_measure(permissible_in);
  tool.noise = length_measure(noise_in);
  return tool;
}

/// The correction of that id, or null.
inline const Correction* correction(const Report& report, std::string_view id) {
  for (const Correction& one : report.corrections) {
    if (one.id == id) {
      return &one;
    }
  }
  return nullptr;
}

/// Value of a finding after a correction; throws where the correction does not move it.
inline double after(const Correction& correction, std::string_view id, const Where& where) {
  for (const Effect& effect : correction.effects) {
    if (effect.from.id == id && effect.from.where == where) {
      return effect.to.value.value();
    }
  }
  throw std::runtime_error(fmt::format("{} does not move", id));
}

inline double thousandths(const Report& report, std::string_view id, const Where& where) {
  return finding(report, id, where).value.value() / inch * 1000;
}

}  // namespace fettle::stations::test
