#include "pull/point.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "pull/correction.h"
#include "pull/observer.h"
#include "pull/spark.h"

namespace fettle::pull {

namespace {

constexpr double pi = std::numbers::pi;
constexpr double degree = pi / 180.0;
constexpr double firing = 2.0 * pi;

/// Greatest turn of the crank in a step.
constexpr double longest_turn = 1.2 * degree;

/// Sets the burns of all cylinders after each cycle: by what they trapped, at the spark given or sought.
class SparkControl {
 public:
  /// `memory` of the speed before, if any: the first guess.
  SparkControl(const EnginePlan& plan, const ModelOptions& model, double speed, SparkMemory& memory)
      : plan_(plan),
        memory_(memory),
        first_to_seek_(memory.charges.empty() ? 2 : 1),  // the first cycle of all is far from what comes
        advance_(plan.spark.empty() ? 0.0 : given_advance(plan, speed)) {
    for (const CylinderPlan& cylinder : plan.cylinders) {
      closed_.emplace_back(plan, model, cylinder, speed);
    }
  }

  double advance() const { return advance_; }
  bool held_back() const { return held_back_; }
  std::optional<double> knock_advance() const { return knock_advance_; }

  void before_first(gasflow::Engine& engine) {
    if (memory_.charges.empty()) {
      // As the first gas in the cylinders is (assemble.cpp).
      memory_.charges.assign(closed_.size(),
                             closed_.front().charge_at({plan_.ambient.pressure, 370.0, 0.0, 0.06}));
    }
    if (plan_.spark.empty()) {
      advance_ = asked();
    }
    set_burns(engine);
  }

  void after_cycle(gasflow::Engine& engine, const gasflow::EngineResult& result) {
    for (std::size_t i = 0; i < closed_.size(); ++i) {
      memory_.charges[i] = closed_[i].charge(result.cylinders[i].record);
    }
    memory_.worst = nearest_to_knock(result);
    if (plan_.spark.empty() && !settled_ && result.cycles >= first_to_seek_) {
      const double advance = asked();
      constexpr double near_enough = 0.3 * degree;
      settled_ = std::abs(advance - advance_) < near_enough;
      move_to(advance);
    }
    set_burns(engine);
  }

  /// Spark at which the cylinder nearest to knock would knock, with the last cycle's charges.
  void find_knock_limit() {
    const double limit = closed_[memory_.worst].knock_advance(memory_.charges[memory_.worst], advance_);
    if (limit < ClosedCycle::most_advance) {
      knock_advance_ = limit;
    }
  }

 private:
  static std::size_t nearest_to_knock(const gasflow::EngineResult& result) {
    const auto worst = std::max_element(
        result.cylinders.begin(), result.cylinders.end(),
        [](const auto& a, const auto& b) { return a.record.knock_integral < b.record.knock_integral; });
    return static_cast<std::size_t>(worst - result.cylinders.begin());
  }

  void set_burns(gasflow::Engine& engine) const {
    for (std::size_t i = 0; i < closed_.size(); ++i) {
      gasflow::CylinderSetup setup = engine.cylinder(i).setup();
      closed_[i].set_burn(setup, memory_.charges[i], advance_);
      if (setup.flame_burn) {
        engine.set_flame_burn(i, setup.flame_burn);
      } else {
        engine.set_burn(i, setup.burn);
      }
    }
  }

  /// Spark of most work for the cylinder with the middle charge, held back by the one nearest to knock.
  double asked() {
    const std::vector<Charge>& charges = memory_.charges;
    std::vector<std::size_t> order(charges.size());
    for (std::size_t i = 0; i < order.size(); ++i) {
      order[i] = i;
    }
    std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
      return charges[a].mass != charges[b].mass ? charges[a].mass < charges[b].mass : a < b;
    });
    const std::size_t middle = order[order.size() / 2];
    const double best = closed_[middle].best_advance(charges[middle]);
    const double limit = closed_[memory_.worst].knock_advance(charges[memory_.worst], advance_, best);
    held_back_ = limit < best;
    return std::min(best, limit);
  }

  /// What is sought depends on the charges, and they on the last spark (a knock limit through hotter
  /// leftovers): a secant step towards the spark that asks for itself.
  void move_to(double asked) {
    double slope = 0.0;
    if (last_ && std::abs(advance_ - last_->first) > 0.05 * degree) {
      slope = std::clamp((asked - last_->second) / (advance_ - last_->first), -1.5, 0.3);
    }
    last_ = {advance_, asked};
    advance_ += (asked - advance_) / (1.0 - slope);
  }

  const EnginePlan& plan_;
  SparkMemory& memory_;
  int first_to_seek_;
  double advance_;
  bool settled_ = false;
  std::optional<std::pair<double, double>> last_;  // spark, and the spark that its charges asked for
  bool held_back_ = false;
  std::optional<double> knock_advance_;
  std::vector<ClosedCycle> closed_;
};

CylinderPoint cylinder_point(const gasflow::CylinderResult& r, const gasflow::CylinderSetup& setup,
                             double exhaust_temperature) {
  CylinderPoint point;
  point.imep = r.imep;
  point.pmep = r.pmep;
  point.volumetric_efficiency = r.volumetric_efficiency;
  point.residual = r.residual;
  point.trapping = r.trapping;
  point.trapped_mass = r.record.trapped_mass;
  point.peak_pressure = r.record.peak_pressure;
  point.peak_angle = r.record.peak_angle - firing;
  point.knock_integral = r.record.knock_integral;
  point.exhaust_temperature = exhaust_temperature;
  if (setup.burn) {
    point.burn_duration = setup.burn->duration;
    point.half_burned =
        setup.burn->start - firing +
        setup.burn->duration * std::pow(std::log(2.0) / setup.burn->a, 1.0 / (setup.burn->m + 1.0));
  } else if (setup.flame_burn) {
    point.burn_duration = r.record.nine_tenths_burned - setup.flame_burn->start;
    point.half_burned = r.record.half_burned - firing;
  }
  return point;
}

double mean_of(const std::vector<CylinderPoint>& points, double CylinderPoint::*which) {
  double sum = 0.0;
  for (const CylinderPoint& point : points) {
    sum += point.*which;
  }
  return sum / static_cast<double>(points.size());
}

/// Waves grow shorter as the engine runs faster, and so must the cells. It costs no steps: those are then as
/// long as the crank's turn allows, well below what the cells would.
ModelOptions for_speed(const EnginePlan& plan, ModelOptions model, double fastest) {
  constexpr double usual_piston_speed = 9.0;  // m/s
  const double piston_speed = mechanism::SliderCrank(plan.crank).stroke() * fastest / pi;
  model.cells *= std::clamp(piston_speed / usual_piston_speed, 1.0, 3.0);
  return model;
}

/// Everything of the point that follows from the engine's result.
void sum_up(const EnginePlan& plan, const gasflow::EngineResult& result, const gasflow::Engine& engine,
            const Observer& observer, bool energy_closes, SpeedPoint& point) {
  point.converged = result.converged;
  point.alternates = result.alternates;
  point.why = result.why;
  point.cycles = result.cycles;
  point.steps = result.steps;
  point.last_change = result.last_change;
  if (result.cylinders.empty()) {
    return;
  }
  point.brake_torque = result.brake_torque;
  point.indicated_torque = result.indicated_torque;
  point.friction_torque = result.friction_torque;
  point.brake_power = result.brake_power;
  const double to_pressure = 4.0 * pi / (plan.swept() * static_cast<double>(plan.cylinders.size()));
  point.bmep = result.brake_torque * to_pressure;
  point.imep = result.indicated_torque * to_pressure;
  point.fmep = result.friction_torque * to_pressure;
  double energy_error = 0.0;
  double released = 0.0;
  double trapped = 0.0;
  for (std::size_t i = 0; i < result.cylinders.size(); ++i) {
    const auto& r = result.cylinders[i];
    point.cylinders.push_back(cylinder_point(r, engine.cylinder(i).setup(), observer.exhaust_temperature(i)));
    energy_error += std::abs(r.energy_error);
    released += r.record.released;
    trapped += r.record.trapped_mass;
    point.peak_pressure = std::max(point.peak_pressure, r.record.peak_pressure);
    point.knock_integral = std::max(point.knock_integral, r.record.knock_integral);
  }
  point.pmep = mean_of(point.cylinders, &CylinderPoint::pmep);
  point.volumetric_efficiency = mean_of(point.cylinders, &CylinderPoint::volumetric_efficiency);
  point.residual = mean_of(point.cylinders, &CylinderPoint::residual);
  point.trapping = mean_of(point.cylinders, &CylinderPoint::trapping);
  point.exhaust_temperature = observer.exhaust_temperature();
  point.fuel_flow = result.fuel_flow;
  point.air_flow = result.fuel_flow / engine.network().gas().fuel_fraction() *
                   (1.0 - engine.network().gas().fuel_fraction());
  if (result.brake_power > 0.0) {
    point.fuel_consumption = result.fuel_flow / result.brake_power;
  }
  const double scale = std::max(released, trapped * 3e5);  // motored: of the order of the charge's energy
  point.mass_error = std::abs(result.mass_error) / trapped;
  point.energy_error = (energy_error + (energy_closes ? std::abs(result.duct_heat) : 0.0)) / scale;
}

}  // namespace

PointRunner::PointRunner(const EnginePlan& plan, const PullOptions& options, double fastest)
    : plan_(plan), options_(options), assembled_(assemble(plan, for_speed(plan, options.model, fastest))) {}

SpeedPoint PointRunner::run(double speed) {
  SpeedPoint point;
  point.speed = speed;
  const gasflow::GasPair gas = gases_of(plan_);
  gasflow::EngineOptions run;
  run.speed = speed;
  run.most_cycles = options_.model.most_cycles;
  run.tolerance = options_.model.tolerance;
  run.longest_turn = longest_turn / options_.model.cells;
  // Fresh charge counts with its fuel, the air that would fill the cylinder without.
  constexpr double air_constant = 287.05;
  run.reference_density =
      plan_.ambient.pressure / (air_constant * plan_.ambient.temperature) / (1.0 - gas.fuel_fraction());
  SparkControl spark(plan_, options_.model, speed, memory_);
  const bool burning = options_.model.burning;
  if (burning) {
    spark.before_first(assembled_.engine);
  } else {
    for (std::size_t i = 0; i < plan_.cylinders.size(); ++i) {
      assembled_.engine.set_burn(i, std::nullopt);
    }
  }
  Observer observer(plan_, assembled_, speed,
                    options_.traces ? std::optional(options_.trace_cylinder) : std::nullopt);
  const auto result = assembled_.engine.run(
      run, [&](double angle, const gasflow::Engine& engine) { observer.look(angle, engine); },
      [&](gasflow::Engine& engine, const gasflow::EngineResult& so_far) {
        if (burning && !so_far.converged) {
          spark.after_cycle(engine, so_far);
        }
        return options_.cancel == nullptr || !options_.cancel->load(std::memory_order_relaxed);
      });
  sum_up(plan_, result, assembled_.engine, observer, !options_.model.wall_heat, point);
  if (burning && result.converged) {
    spark.find_knock_limit();
  }
  point.advance = burning ? spark.advance() : 0.0;
  point.knock_advance = spark.knock_advance();
  point.spark_held_back = spark.held_back();
  point.torque_sae = point.brake_torque * sae_j1349(plan_.ambient.pressure, plan_.ambient.temperature);
  point.torque_iso = point.brake_torque * iso_1585(plan_.ambient.pressure, plan_.ambient.temperature);
  if (options_.traces) {
    point.trace = observer.trace();
  }
  return point;
}

}  // namespace fettle::pull
