#include "gasflow/cell_loops.h"
#include "gasflow/end_kernel.h"

namespace fettle::gasflow {

const Kernels* kernels_avx512() {
  namespace own = FETTLE_LANES;
  static constexpr Kernels made{"avx512",    own::Lanes::size, own::cells,     own::friction,
                                own::traces, own::closed,      own::reservoirs};
  return &made;
}

}  // namespace fettle::gasflow
