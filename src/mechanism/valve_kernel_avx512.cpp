#include "mechanism/valve_kernel_loops.h"

namespace fettle::mechanism::valve_kernel {

Revolve revolve_avx512() {
  return &revolve;
}

}  // namespace fettle::mechanism::valve_kernel
