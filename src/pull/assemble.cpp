#include "pull/assemble.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

namespace fettle::pull {

namespace {

using gasflow::Duct;
using gasflow::DuctEnd;
using gasflow::GasState;
using gasflow::Network;
using gasflow::Side;

constexpr double pi = std::numbers::pi;
constexpr double cycle = 4.0 * pi;

/// Lengths of cells over the bore. Sound is nearly twice as fast in the exhaust: like time steps on both
/// sides.
constexpr double intake_cell = 0.42;
constexpr double exhaust_cell = 0.65;
constexpr double roughness = 25e-6;  // drawn and cast walls, m: common practice, no source

double linear(const std::vector<double>& at, const std::vector<double>& values, double x) {
  std::size_t i = 1;
  while (i + 1 < at.size() && at[i] < x) {
    ++i;
  }
  const double part = std::clamp((x - at[i - 1]) / (at[i] - at[i - 1]), 0.0, 1.0);
  return values[i - 1] + part * (values[i] - values[i - 1]);
}

Duct duct_of(const PipePlan& pipe, double cell_length) {
  const auto cells = static_cast<std::size_t>(std::clamp(std::ceil(pipe.length / cell_length), 4.0, 2000.0));
  Duct duct;
  duct.length = pipe.length;
  duct.roughness = roughness;
  const double dx = pipe.length / static_cast<double>(cells);
  for (std::size_t i = 0; i <= cells; ++i) {
    const double d = linear(pipe.at, pipe.diameters, dx * static_cast<double>(i));
    duct.face_areas.push_back(0.25 * pi * d * d);
  }
  for (std::size_t i = 0; i < cells; ++i) {
    duct.wall_temperatures.push_back(linear(pipe.at, pipe.wall, dx * (static_cast<double>(i) + 0.5)));
  }
  return duct;
}

double disc(double diameter) {
  return 0.25 * pi * diameter * diameter;
}

gasflow::EngineValve engine_valve(const ValvePlan& plan, DuctEnd end, std::size_t cylinder, bool intake) {
  return {end, cylinder,
          [areas = plan.area](double angle, bool) {
            const double place = angle / cycle * static_cast<double>(areas.size());
            const auto i = static_cast<std::size_t>(place);
            const double part = place - std::floor(place);
            const double a = areas[i % areas.size()];
            return a + part * (areas[(i + 1) % areas.size()] - a);
          },
          intake};
}

/// Puts the parts of the plan into a network.
class Builder {
 public:
  Builder(const EnginePlan& plan, const ModelOptions& model)
      : plan_(plan),
        model_(model),
        network_(gases_of(plan), options(model)),
        outside_{plan.ambient.pressure + plan.ambient.vapour_pressure, plan.ambient.temperature, 0.0, 0.0},
        hot_{1.08 * outside_.pressure, 950.0, 0.0, 1.0} {}

  Assembled build() {
    for (std::size_t i = 0; i < plan_.cylinders.size(); ++i) {
      add_cylinder(i);
    }
    add_intake();
    for (const CollectorPlan& collector : plan_.collectors) {
      add_collector(collector);
    }
    std::vector<gasflow::EngineCylinder> cylinders;
    for (const CylinderPlan& c : plan_.cylinders) {
      cylinders.push_back({cylinder_setup(plan_, c, model_), c.phase, {outside_.pressure, 500.0, 0.0, 0.3}});
    }
    return {gasflow::Engine(std::move(network_), cylinders, std::move(valves_)), intake_ends_, exhaust_ends_};
  }

 private:
  static gasflow::NetworkOptions options(const ModelOptions& model) {
    gasflow::NetworkOptions o;
    o.wall_heat = model.wall_heat ? 1.0 : 0.0;
    return o;
  }

  /// Gas in a cylinder near what a fired cycle has at the crank angle it starts from: the first cycle is then
  /// not lost. Polytropes between usual states at intake closing and exhaust opening.
  GasState first_gas(const CylinderPlan& c) const {
    const mechanism::SliderCrank crank(plan_.crank);
    const double area = disc(plan_.bore);
    const double clearance = area * crank.stroke() / (c.compression_ratio - 1.0);
    const auto volume = [&](double x) { return clearance + area * crank.depth(x); };
    const double x = std::fmod(2.0 * cycle - c.phase, cycle);
    const auto polytrope = [&](double from, double p, double t, double exponent, double burned) {
      const double ratio = volume(from) / volume(x);
      return GasState{p * std::pow(ratio, exponent), t * std::pow(ratio, exponent - 1.0), 0.0, burned};
    };
    const double p = outside_.pressure;
    constexpr double left_over = 0.06;
    if (x < c.intake.closes) {
      return {p, 370.0, 0.0, left_over};
    }
    if (x < 2.0 * pi) {
      return polytrope(c.intake.closes, p, 370.0, 1.32, left_over);
    }
    if (x < c.exhaust.opens + cycle) {
      return model_.burning ? polytrope(c.exhaust.opens + cycle, 5.0 * p, 1600.0, 1.27, 0.97)
                            : polytrope(c.intake.closes, p, 370.0, 1.32, left_over);
    }
    return {1.1 * p, 1200.0, 0.0, 0.97};
  }

  std::size_t add(const PipePlan& pipe, double cell, const GasState& gas) {
    return network_.add_duct(duct_of(pipe, cell * plan_.bore / model_.cells), [&](double) { return gas; });
  }

  void add_cylinder(std::size_t i) {
    const CylinderPlan& c = plan_.cylinders[i];
    const DuctEnd in{add(plan_.intake_pipe, intake_cell, outside_), Side::right};
    const DuctEnd out{add(plan_.exhaust_pipe, exhaust_cell, hot_), Side::left};
    network_.open_to(in, outside_, 0.0);
    network_.open_to(out, hot_, 0.0);
    valves_.push_back(engine_valve(c.intake, in, i, true));
    valves_.push_back(engine_valve(c.exhaust, out, i, false));
    intake_ends_.push_back(in);
    exhaust_ends_.push_back(out);
  }

  void add_intake() {
    if (plan_.individual) {
      for (const DuctEnd& end : intake_ends_) {
        const DuctEnd mouth{end.duct, Side::left};
        const double ratio = plan_.throttle_effective_area / disc(plan_.intake_pipe.diameters.front());
        network_.open_to(mouth, outside_, std::min(1.0, ratio));
      }
      return;
    }
    const std::size_t plenum = network_.add_plenum(plan_.plenum_volume, outside_);
    // The bores as one short pipe of their area, the restriction where it meets the plenum.
    const double d = std::sqrt(4.0 * plan_.throttle_area / pi);
    const double bore_length = plan_.bore;
    const auto throttle =
        add({bore_length, {0.0, bore_length}, {d, d}, {300.0, 300.0}}, intake_cell, outside_);
    network_.open_to({throttle, Side::left}, outside_);
    network_.open_to_plenum({throttle, Side::right}, plenum,
                            std::min(1.0, plan_.throttle_effective_area / plan_.throttle_area));
    for (const DuctEnd& end : intake_ends_) {
      network_.open_to_plenum({end.duct, Side::left}, plenum);
    }
  }

  void add_collector(const CollectorPlan& plan) {
    std::vector<DuctEnd> primaries;
    for (const int cylinder : plan.cylinders) {
      primaries.push_back({exhaust_ends_[static_cast<std::size_t>(cylinder) - 1].duct, Side::right});
    }
    DuctEnd last = primaries.front();
    if (plan.pipe) {
      const std::size_t pipe = add(*plan.pipe, exhaust_cell, hot_);
      if (primaries.size() == 1) {
        network_.step_in_area(last, {pipe, Side::left});
      } else {
        join_collector(primaries, {pipe, Side::left});
      }
      last = {pipe, Side::right};
    }
    network_.open_to(last, {outside_.pressure, 700.0, 0.0, 1.0});
  }

  /// The primaries come in side by side, a few degrees apart, straight into the collector.
  void join_collector(const std::vector<DuctEnd>& primaries, DuctEnd collector) {
    constexpr double spread = 0.14;
    std::vector<DuctEnd> pipes = primaries;
    std::vector<double> directions;
    for (std::size_t i = 0; i < primaries.size(); ++i) {
      directions.push_back(
          pi + spread * (static_cast<double>(i) - 0.5 * static_cast<double>(primaries.size() - 1)));
    }
    pipes.push_back(collector);
    directions.push_back(0.0);
    network_.join(pipes, directions);
  }

  const EnginePlan& plan_;
  const ModelOptions& model_;
  Network network_;
  GasState outside_, hot_;
  std::vector<gasflow::EngineValve> valves_;
  std::vector<DuctEnd> intake_ends_, exhaust_ends_;
};

}  // namespace

gasflow::GasPair gases_of(const EnginePlan& plan) {
  return {plan.fuel, plan.equivalence_ratio};
}

gasflow::CylinderSetup cylinder_setup(const EnginePlan& plan, const CylinderPlan& cylinder,
                                      const ModelOptions& model) {
  gasflow::CylinderSetup setup;
  setup.crank = plan.crank;
  setup.bore = plan.bore;
  setup.compression_ratio = cylinder.compression_ratio;
  setup.intake_closing = cylinder.intake.closes;
  setup.exhaust_opening = cylinder.exhaust.opens + cycle;
  setup.heat_law = model.wall_heat ? gasflow::HeatLaw::woschni : gasflow::HeatLaw::none;
  setup.octane_number = plan.octane;
  // Effective gap of the rings: about half a percent of the charge goes by (common practice, no source).
  setup.blow_by_area = model.blow_by ? 4e-6 * plan.bore : 0.0;
  setup.crankcase = {plan.ambient.pressure + plan.ambient.vapour_pressure, 360.0, 0.0, 1.0};
  return setup;
}

Assembled assemble(const EnginePlan& plan, const ModelOptions& model) {
  return Builder(plan, model).build();
}

}  // namespace fettle::pull
