#include "gasflow/cell_loops.h"
#include "gasflow/end_kernel.h"

namespace fettle::gasflow {

const Kernels* kernels_baseline() {
  namespace own = FETTLE_LANES;
  static constexpr Kernels made{"baseline",  own::Lanes::size, own::cells,     own::friction,
                                own::traces, own::closed,      own::reservoirs};
  return &made;
}

}  // namespace fettle::gasflow
