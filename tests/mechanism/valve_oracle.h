#pragma once

#include <algorithm>
#include <cmath>
#include <functional>
#include <stdexcept>
#include <vector>

#include <cvode/cvode.h>
#include <nvector/nvector_serial.h>
#include <sundials/sundials_context.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>

#include "mechanism/valve_dynamics.h"

// The equations that stand at the head of valve_dynamics.h, written out again for one train with a pushrod
// and solid tappet, so that general integrators can be held against the program's own.
namespace fettle::mechanism::test {

class ValveOracle {
 public:
  ValveOracle(const RunningLobe& lobe, const ValveTrain& train, double speed, int elements)
      : lobe_(lobe), train_(train), speed_(speed), n_(elements) {}

  std::size_t places() const { return 3 + train_.springs.size() * (static_cast<std::size_t>(n_) - 1); }
  double turn_time() const { return 4.0 * std::numbers::pi / speed_; }
  double angle(double time) const { return lobe_.top - 2.0 * std::numbers::pi + speed_ * time; }

  /// y: places, then velocities.
  void operator()(const double* y, double* rate, double time) const {
    const double* v = y + places();
    double* a = rate + places();
    std::copy(v, v + places(), rate);
    const double x = angle(time);
    const double s = lobe_.lift->value(x) - lobe_.base_level;
    const double s_rate = speed_ * lobe_.lift->derivative(x, 1);
    const double ratio = train_.lever.lift[0] / train_.lever.rise[0];
    const double m0 = train_.tappet_mass;
    const double m1 = train_.lever_mass;
    const double mv = train_.valve_mass;
    const double rise_slope = slope_at(train_.lever.rise, y[1]);
    const double lift_slope = slope_at(train_.lever.lift, y[1]);
    const double cam = push(s - y[0], s_rate - v[0], train_.cam_stiffness, m0);
    const double link = push(y[0] - at(train_.lever.rise, y[1]), v[0] - rise_slope * v[1],
                             train_.link_stiffness, m0 * m1 / (m0 + m1));
    const double lever_at_valve = m1 / (ratio * ratio);
    const double tip = push(at(train_.lever.lift, y[1]) - train_.lash - y[2], lift_slope * v[1] - v[2],
                            train_.tip_stiffness, lever_at_valve * mv / (lever_at_valve + mv));
    const double seat =
        push(standing_load(train_, 0.0) / train_.seat_stiffness - y[2], -v[2], train_.seat_stiffness, mv);
    double spring_force = 0.0;
    double moving = mv;
    std::size_t node = 3;
    for (const ChainSpring& spring : train_.springs) {
      spring_force += chain(spring, y, v, a, node);
      moving += 0.5 * spring.active_mass / n_;
      node += static_cast<std::size_t>(n_) - 1;
    }
    const bool loose = at(train_.lever.lift, y[1]) - train_.lash - y[2] < 0.0;
    const double drag = loose ? train_.loose_drag : 0.0;
    a[0] = (cam - link) / m0 - train_.settling - drag * v[0];
    a[1] = (rise_slope * link - lift_slope * tip) / m1 - train_.settling - drag * v[1];
    a[2] = (tip + seat - spring_force) / moving;
    cam_force = cam;
  }

  mutable double cam_force = 0.0;

 private:
  double push(double squeeze, double rate, double k, double mass) const {
    if (squeeze <= 0.0) {
      return 0.0;
    }
    const double c = 2.0 * train_.contact_damping * std::sqrt(k * mass);
    return std::max(0.0, k * squeeze + c * rate * std::min(1.0, squeeze / 2e-6));
  }

  double chain(const ChainSpring& spring, const double* y, const double* v, double* a,
               std::size_t first) const {
    const double pi = std::numbers::pi;
    const double damping =
        2.0 * spring.damping_ratio * spring.rate / (pi * std::sqrt(spring.rate / spring.active_mass));
    const double mass = spring.active_mass / n_;
    double last = 0.0;
    for (int j = 0; j < n_; ++j) {
      const auto here = first + static_cast<std::size_t>(j);
      const double low = j == 0 ? 0.0 : y[here - 1];
      const double low_v = j == 0 ? 0.0 : v[here - 1];
      const double high = j + 1 == n_ ? y[2] : y[here];
      const double high_v = j + 1 == n_ ? v[2] : v[here];
      const double c = n_ * (high - low);
      double force = spring.load + c * spring.rate + c * c * spring.bend + damping * n_ * (high_v - low_v);
      if (spring.travel_to_solid) {
        force += 9.0 * spring.rate * std::max(0.0, c - *spring.travel_to_solid);
      }
      if (j > 0) {
        a[here - 1] = (force - last) / mass;
      }
      last = force;
    }
    return last;
  }

  RunningLobe lobe_;
  ValveTrain train_;
  double speed_;
  int n_;
};

/// What an integrator saw over the last revolution, at equal angles.
struct OracleTrace {
  std::vector<double> lift;
  std::vector<double> cam_force;
};

/// CVODE (backward differences, Newton, dense) through `revolutions`, sampled `samples` times in the last.
inline OracleTrace by_cvode(const ValveOracle& oracle, int revolutions, int samples, double tolerance) {
  SUNContext context = nullptr;
  SUNContext_Create(nullptr, &context);
  const auto size = static_cast<sunindextype>(2 * oracle.places());
  N_Vector y = N_VNew_Serial(size, context);
  N_VConst(0.0, y);
  void* memory = CVodeCreate(CV_BDF, context);
  const CVRhsFn function = [](realtype t, N_Vector state, N_Vector rate, void* user) {
    (*static_cast<const ValveOracle*>(user))(N_VGetArrayPointer(state), N_VGetArrayPointer(rate), t);
    return 0;
  };
  CVodeInit(memory, function, 0.0, y);
  CVodeSStolerances(memory, tolerance, tolerance * 1e-3);
  CVodeSetUserData(memory, const_cast<ValveOracle*>(&oracle));
  SUNMatrix matrix = SUNDenseMatrix(size, size, context);
  SUNLinearSolver solver = SUNLinSol_Dense(y, matrix, context);
  CVodeSetLinearSolver(memory, solver, matrix);
  CVodeSetMaxNumSteps(memory, 50000000);
  // No step so long that it could pass over a whole lobe.
  CVodeSetMaxStep(memory, oracle.turn_time() / 200.0);
  OracleTrace trace;
  std::vector<double> rate(static_cast<std::size_t>(size));
  bool failed = false;
  for (int i = 1; i <= samples && !failed; ++i) {
    const double time = oracle.turn_time() * (revolutions - 1 + static_cast<double>(i) / samples);
    double reached = 0.0;
    failed = CVode(memory, time, y, &reached, CV_NORMAL) < 0;
    oracle(N_VGetArrayPointer(y), rate.data(), time);
    trace.lift.push_back(N_VGetArrayPointer(y)[2]);
    trace.cam_force.push_back(oracle.cam_force);
  }
  SUNLinSolFree(solver);
  SUNMatDestroy(matrix);
  CVodeFree(&memory);
  N_VDestroy(y);
  SUNContext_Free(&context);
  if (failed) {
    throw std::runtime_error("CVODE did not reach the end");
  }
  return trace;
}

}  // namespace fettle::mechanism::test
