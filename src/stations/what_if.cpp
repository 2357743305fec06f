#include "stations/what_if.h"

namespace fettle::stations {

double crank_advance(const build::TimingSet& set, double position) {
  return set.marked_in == build::MarkedIn::cam ? 2 * position : position;
}

double fitted_position(const build::Build& build, build::Valve valve) {
  if (!build.timing_set) {
    return 0;
  }
  const auto& set = *build.timing_set;
  const auto& fitted = valve == build::Valve::exhaust && set.exhaust_fitted ? set.exhaust_fitted : set.fitted;
  return fitted ? fitted->si() : 0;
}

bool cams_set_apart(const build::Build& build) {
  return build.timing_set && build.timing_set->exhaust_fitted;
}

}  // namespace fettle::stations
