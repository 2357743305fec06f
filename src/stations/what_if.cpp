#include "stations/what_if.h"

namespace fettle::stations {

double crank_advance(const build::TimingSet& set, double position) {
  return set.marked_in == build::MarkedIn::cam ? 2 * position : position;
}

double fitted_position(const build::Build& build) {
  return build.timing_set && build.timing_set->fitted ? build.timing_set->fitted->si() : 0;
}

}  // namespace fettle::stations
