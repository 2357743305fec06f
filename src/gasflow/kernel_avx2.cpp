#include "gasflow/cell_loops.h"
#include "gasflow/junction_kernel.h"

namespace fettle::gasflow {

const Kernels* kernels_avx2() {
  namespace own = FETTLE_LANES;
  static constexpr Kernels made{"avx2",      own::Lanes::size, own::cells,      own::friction, own::traces,
                                own::closed, own::shut,        own::reservoirs, own::junctions};
  return &made;
}

}  // namespace fettle::gasflow
