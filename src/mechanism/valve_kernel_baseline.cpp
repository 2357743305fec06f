#include "mechanism/valve_kernel_loops.h"

namespace fettle::mechanism::valve_kernel {

Revolve revolve_baseline() {
  return &revolve;
}

}  // namespace fettle::mechanism::valve_kernel
