#pragma once

#include <span>
#include <vector>

#include "mechanism/valve_dynamics.h"
#include "mechanism/valve_kernel.h"

namespace fettle::mechanism {

/// One to eight cases laid out for the kernel; lanes beyond them repeat the last one.
struct ValvePack {
  valve_kernel::Train train;
  valve_kernel::Run run;  ///< points into the tables below
  double from = 0.0;      ///< crank angle at which a revolution begins: on the base circle, half a cycle from
                          ///< the top
  double crank_step = 0.0;  ///< rad
  double lobe_at_start = 0.0;
  std::vector<double> lobe, lobe_slope;
};

/// Cases of one kind that passed valve_train_problem().
ValvePack pack_of(const RunningLobe& lobe, std::span<const RunningCase> cases,
                  const DynamicsOptions& options);

/// Energy of one lane at the start of a revolution: of motion, of springs and contacts, of height, J.
double energy_of(const ValvePack& pack, const valve_kernel::State& state, int lane);

/// Of the best instruction set that this machine has.
valve_kernel::Revolve valve_revolve();

}  // namespace fettle::mechanism
