#include "mechanism/preload.h"

#include <cmath>
#include <initializer_list>
#include <stdexcept>

namespace fettle::mechanism {

namespace {

void require_finite(std::initializer_list<double> numbers) {
  for (const double number : numbers) {
    if (!std::isfinite(number)) {
      throw std::invalid_argument("preload: every number must be finite");
    }
  }
}

void require_positive(double number, const char* what) {
  if (!(number > 0.0)) {
    throw std::invalid_argument(what);
  }
}

}  // namespace

double preload_per_turn(Adjuster adjuster, double thread_pitch, double ratio) {
  require_finite({thread_pitch, ratio});
  require_positive(thread_pitch, "preload: the thread's pitch must be greater than zero");
  require_positive(ratio, "preload: the rocker's ratio must be greater than zero");
  return adjuster == Adjuster::pivot ? thread_pitch * (1.0 + 1.0 / ratio) : thread_pitch;
}

double preload_from_turns(Adjuster adjuster, double turns, double thread_pitch, double ratio) {
  require_finite({turns});
  return turns * preload_per_turn(adjuster, thread_pitch, ratio);
}

double turns_for_preload(Adjuster adjuster, double preload, double thread_pitch, double ratio) {
  require_finite({preload});
  return preload / preload_per_turn(adjuster, thread_pitch, ratio);
}

double preload_from_plunger(double free_depth, double depth_in_place) {
  require_finite({free_depth, depth_in_place});
  return depth_in_place - free_depth;
}

double preload_after(double preload, double lowered, double tip_raised, double ratio) {
  require_finite({preload, lowered, tip_raised, ratio});
  require_positive(ratio, "preload: the rocker's ratio must be greater than zero");
  return preload + lowered + tip_raised / ratio;
}

double plunger_place(double preload, double travel) {
  require_finite({preload, travel});
  require_positive(travel, "preload: the plunger's travel must be greater than zero");
  return preload / travel;
}

double warm_growth(const WarmPart& part, double ratio) {
  require_finite({part.expansion, part.length, part.temperature_rise, ratio});
  require_positive(ratio, "preload: the rocker's ratio must be greater than zero");
  const double growth = part.expansion * part.length * part.temperature_rise;
  return (part.widens_lash ? growth : -growth) * (part.at_pushrod ? ratio : 1.0);
}

}  // namespace fettle::mechanism
