#include <stdexcept>

#include "gasflow/kernel.h"

namespace fettle::gasflow {

#ifndef FETTLE_KERNELS_X86
const Kernels* kernels_avx512() {
  return nullptr;
}

const Kernels* kernels_avx2() {
  return nullptr;
}
#endif

bool runs_here(InstructionSet set) {
  switch (set) {
    case InstructionSet::best:
    case InstructionSet::baseline:
      return true;
#ifdef FETTLE_KERNELS_X86
    case InstructionSet::avx512:
      return __builtin_cpu_supports("avx512f") != 0 && __builtin_cpu_supports("avx512dq") != 0 &&
             __builtin_cpu_supports("avx512vl") != 0;
    case InstructionSet::avx2:
      return __builtin_cpu_supports("avx2") != 0 && __builtin_cpu_supports("fma") != 0;
#else
    case InstructionSet::avx512:
    case InstructionSet::avx2:
      return false;
#endif
  }
  return false;
}

const Kernels& kernels(InstructionSet wanted) {
  if (!runs_here(wanted)) {
    throw std::invalid_argument("kernels: this machine cannot run the instruction set asked for");
  }
  const auto is = [&](InstructionSet set) {
    return wanted == set || (wanted == InstructionSet::best && runs_here(set));
  };
  if (is(InstructionSet::avx512)) {
    return *kernels_avx512();
  }
  if (is(InstructionSet::avx2)) {
    return *kernels_avx2();
  }
  return *kernels_baseline();
}

}  // namespace fettle::gasflow
