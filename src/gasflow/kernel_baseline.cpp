#include "gasflow/cell_loops.h"
#include "gasflow/junction_kernel.h"

namespace fettle::gasflow {

const Kernels* kernels_baseline() {
  namespace own = FETTLE_LANES;
  static constexpr Kernels made{"baseline",  own::Lanes::size, own::cells,      own::friction, own::traces,
                                own::closed, own::shut,        own::reservoirs, own::junctions};
  return &made;
}

}  // namespace fettle::gasflow
